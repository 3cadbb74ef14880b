"""Pages of the trips: the mileage log, writing a trip down, the rates, the year of the car."""

from app.trips.routes import car, log, rates, trips
from app.trips.routes.blueprint import bp

PAGES = (car, log, rates, trips)

__all__ = ["PAGES", "bp"]
