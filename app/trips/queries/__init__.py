"""Read trips with their shares, the rates they count by, the year of the car, and what contradicts itself."""

from app.trips.queries.car import CarYearSheet, car_year_sheet
from app.trips.queries.choosing import paid_for, pieces_meant, pieces_to_choose, places, purposes, usual_start
from app.trips.queries.findings import trip_findings
from app.trips.queries.rates import (
    OwnRateRow,
    Recharge,
    RechargePlan,
    own_rate,
    own_rates,
    plan_of_adding,
    plan_of_striking,
    shop_rates,
)
from app.trips.queries.rows import (
    TripRow,
    TripShareRow,
    TripTotals,
    mileage_log,
    totals_of,
    trip_by_id,
    trip_months,
    trips_between,
    trips_of,
    year_totals,
)

__all__ = [
    "CarYearSheet",
    "OwnRateRow",
    "Recharge",
    "RechargePlan",
    "TripRow",
    "TripShareRow",
    "TripTotals",
    "car_year_sheet",
    "mileage_log",
    "own_rate",
    "own_rates",
    "paid_for",
    "pieces_meant",
    "pieces_to_choose",
    "places",
    "plan_of_adding",
    "plan_of_striking",
    "purposes",
    "shop_rates",
    "totals_of",
    "trip_by_id",
    "trip_findings",
    "trip_months",
    "trips_between",
    "trips_of",
    "usual_start",
    "year_totals",
]
