"""Write trips down and strike them out, keep the shop's own mileage rates and the year of the car."""

from app.trips.actions.car import save_car_year
from app.trips.actions.rates import add_rate, strike_rate
from app.trips.actions.trips import add_trip, strike_trip

__all__ = ["add_rate", "add_trip", "save_car_year", "strike_rate", "strike_trip"]
