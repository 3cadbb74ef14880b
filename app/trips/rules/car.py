"""A car's year: all it ran, what of that was business, the way to work, and the rest."""

from dataclasses import dataclass
from datetime import date

from app.basics.dates import day_in_words, require_not_future
from app.basics.errors import RuleError
from app.trips.rules.distance import Distance, DistanceUnit


@dataclass(frozen=True)
class CarFacts:
    """What the owner says of the car's year; distances in hundredths of the unit."""

    year: int
    unit: DistanceUnit
    total_hundredths: int
    commuting_hundredths: int
    in_service_on: date | None = None


def other_hundredths(facts: CarFacts, business: Distance) -> int:
    """What is neither business nor commuting; below zero when the log says more than the car ran."""
    return facts.total_hundredths - business.rounded_in(facts.unit).hundredths - facts.commuting_hundredths


def require_sound_car(facts: CarFacts, business: Distance, *, today: date) -> None:
    """Refuse a year to come, less distance than business and commuting take, or a car that serves later (RuleError)."""
    require_not_future(date(facts.year, 1, 1), today, None)
    if other_hundredths(facts, business) < 0:
        raise RuleError(
            f"The log holds {business.rounded_in(facts.unit).words} of business in {facts.year}, and with commuting"
            " that is more than the car ran in all.",
            "total",
        )
    if facts.in_service_on is None:
        return
    require_not_future(facts.in_service_on, today, "in_service_on")
    last = date(facts.year, 12, 31)
    if facts.in_service_on > last:
        raise RuleError(
            f"A car in service since {day_in_words(facts.in_service_on)} ran nothing in {facts.year}.", "in_service_on"
        )
