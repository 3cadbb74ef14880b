"""Trips, own rates and the car's year for tests, written by the real actions."""

from datetime import date, datetime
from typing import Any
from uuid import uuid4

from sqlalchemy import select
from sqlalchemy.orm import Session

from app.trips.actions import add_rate, add_trip, save_car_year
from app.trips.models import CarYear, MileageRate, Trip
from app.trips.rules import CarFacts, CountsAs, Distance, DistanceUnit, MileageRateFacts, NewTrip, TripPurpose
from tests.builders.pieces import NOW

DAY = date(2026, 11, 20)
MILE, KM = DistanceUnit.MILE, DistanceUnit.KM


def miles(number: float) -> Distance:
    """A distance in miles."""
    return Distance(round(number * 100), MILE)


def some_trip(*piece_ids: int, **said: Any) -> NewTrip:
    """Twenty miles to fetch a find, at the rate of the day, but for what is said."""
    usual = {
        "on_date": DAY,
        "purpose": TripPurpose.FETCH,
        "purpose_words": "fetch a chest",
        "from_place": "the shop",
        "to_place": "estate sale, upper town",
        "distance": miles(20),
        "piece_ids": piece_ids,
    }
    return NewTrip(**{**usual, **said})


def a_trip(session: Session, *piece_ids: int, now: datetime = NOW, **said: Any) -> Trip:
    """A trip of twenty miles for the pieces, at the rate of the day."""
    return add_trip(session, some_trip(*piece_ids, **said), capture_id=str(uuid4()), now=now)


def an_actual_trip(session: Session, *piece_ids: int, cents: int = 45_00, now: datetime = NOW, **said: Any) -> Trip:
    """A trip with a hired van that cost 45.00."""
    return a_trip(session, *piece_ids, now=now, counts_as=CountsAs.ACTUAL, actual_cents=cents, **said)


def some_rate(
    first: date = date(2026, 1, 1), last: date = date(2026, 12, 31), hundredths: int = 50_00, unit: DistanceUnit = MILE
) -> MileageRateFacts:
    """An own rate of 50 cents a mile for 2026."""
    return MileageRateFacts(first, last, hundredths, unit, "worked out from a year of fuel")


def a_rate(session: Session, *said: Any, now: datetime = NOW) -> MileageRate:
    """An own rate in the ledger; `said` as `some_rate` takes it."""
    add_rate(session, some_rate(*said), now=now)
    return session.scalars(select(MileageRate).order_by(MileageRate.id.desc()).limit(1)).one()


def a_car_year(session: Session, year: int = 2026, *, total: int = 9000, commuting: int = 1000) -> CarYear:
    """A car that ran 9,000 miles in a year, 1,000 of them commuting."""
    facts = CarFacts(year, MILE, total * 100, commuting * 100, date(2021, 5, 3))
    return save_car_year(session, facts, version=None, now=NOW)
