"""Keep what a car ran in a year."""

from datetime import datetime

from sqlalchemy import select
from sqlalchemy.orm import Session

from app.basics.dates import day_in_words
from app.basics.errors import StaleEdit
from app.pieces.actions.ground import shop_day
from app.trips.models import CarYear
from app.trips.queries import year_totals
from app.trips.rules import CarFacts, Distance, require_sound_car


def save_car_year(session: Session, facts: CarFacts, *, version: int | None, now: datetime) -> CarYear:
    """Say, or put right, what the car ran in a year; `version` is None where nothing was said yet.

    Refuses a year to come, and less than the log's business and the commuting together (RuleError); raises
    StaleEdit when it was said or changed since.
    """
    row = session.scalars(select(CarYear).where(CarYear.year == facts.year)).first()
    stands_at = None if row is None else row.version
    if stands_at != version:
        raise StaleEdit("year of the car", _as_words(row), stands_at)
    business = year_totals(session, facts.year).rate_distance(facts.unit)
    require_sound_car(facts, business, today=shop_day(session, now))
    if row is None:
        row = CarYear(year=facts.year)
        session.add(row)
    row.unit = facts.unit
    row.total_hundredths = facts.total_hundredths
    row.commuting_hundredths = facts.commuting_hundredths
    row.in_service_on = facts.in_service_on
    session.flush()
    return row


def _as_words(row: CarYear | None) -> dict[str, str]:
    if row is None:
        return {}
    return {
        "All it ran": Distance(row.total_hundredths, row.unit).words,
        "Commuting": Distance(row.commuting_hundredths, row.unit).words,
        "In service since": day_in_words(row.in_service_on) if row.in_service_on else "not said",
    }
