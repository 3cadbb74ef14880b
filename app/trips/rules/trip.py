"""What a trip may be, what it costs at the rate or really, and how its pieces share that."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from enum import StrEnum
from types import MappingProxyType
from typing import Final

from app.basics.dates import require_not_before, require_not_future
from app.basics.errors import RuleError
from app.basics.money import split_exactly
from app.trips.rules.distance import Distance, DistanceUnit
from app.trips.rules.rates import ShopRates, amount_at

PLACE_LIMIT: Final = 120
MOST_PIECES: Final = 60
LONGEST_TRIP: Final = 999_999
"""The longest single trip, in hundredths of its unit."""


class TripPurpose(StrEnum):
    """What a trip was for."""

    FETCH = "fetch"
    DELIVER = "deliver"
    SUPPLIES = "supplies"
    LOOK = "look"
    OTHER = "other"


class CountsAs(StrEnum):
    """How a trip counts: at the rate of its day, or at what it really cost. Never both."""

    RATE = "rate"
    ACTUAL = "actual"


PURPOSE_WORDS: Mapping[TripPurpose, str] = MappingProxyType(
    {
        TripPurpose.FETCH: "Fetching",
        TripPurpose.DELIVER: "Delivering",
        TripPurpose.SUPPLIES: "Supplies",
        TripPurpose.LOOK: "Looking",
        TripPurpose.OTHER: "Other",
    }
)
COUNTS_WORDS: Mapping[CountsAs, str] = MappingProxyType(
    {CountsAs.RATE: "At the rate of the day", CountsAs.ACTUAL: "At what it really cost"}
)


@dataclass(frozen=True)
class NewTrip:
    """A trip to be written down; amounts in cents. Without pieces it is a cost of the shop."""

    on_date: date
    purpose: TripPurpose
    purpose_words: str
    from_place: str
    to_place: str
    distance: Distance
    counts_as: CountsAs = CountsAs.RATE
    piece_ids: tuple[int, ...] = ()
    by_value: bool = False
    extra_cents: int = 0
    actual_cents: int = 0
    note: str = ""


@dataclass(frozen=True)
class Charge:
    """What a trip costs in all, in cents, and the rate it counts at, in hundredths of a cent for one unit."""

    cents: int
    rate_hundredths: int | None = None
    rate_unit: DistanceUnit | None = None


def require_sound(new: NewTrip, *, today: date, books_begin: date | None) -> None:
    """Refuse a trip that lacks what the tax log asks for, goes nowhere, counts twice or has no day it can have.

    The log asks for date, places, purpose and distance. Each refusal is a RuleError at its field.
    """
    if not new.purpose_words:
        raise RuleError(
            "Say what the trip was for: a mileage log without its purpose counts for nothing.", "purpose_words"
        )
    for place, field, question in (
        (new.from_place, "from_place", "from where"),
        (new.to_place, "to_place", "where to"),
    ):
        if not place:
            raise RuleError(f"Say {question} it went: a town or a kind of place will do.", field)
    _require_a_way(new.distance)
    _require_one_count(new)
    if len(new.piece_ids) > MOST_PIECES:
        raise RuleError(f"One trip can be for at most {MOST_PIECES} pieces.", "pieces")
    require_not_future(new.on_date, today, "on_date")
    if books_begin is not None:
        require_not_before(new.on_date, books_begin, "on_date", "the day your books begin")


def _require_a_way(distance: Distance) -> None:
    if distance.hundredths <= 0:
        raise RuleError("Type how far it was; a distance of nothing is no trip.", "distance")
    if distance.hundredths > LONGEST_TRIP:
        raise RuleError(f"One trip is at most {Distance(LONGEST_TRIP, distance.unit).words}.", "distance")


def _require_one_count(new: NewTrip) -> None:
    if new.counts_as is CountsAs.RATE and new.actual_cents:
        raise RuleError(
            "A trip counts at the rate or at what it really cost, never both. Empty this, or choose the other way.",
            "actual",
        )
    if new.counts_as is CountsAs.ACTUAL and new.extra_cents:
        raise RuleError("Tolls and parking are part of what it really cost. Add them there and empty this.", "extra")
    if new.counts_as is CountsAs.ACTUAL and new.actual_cents <= 0:
        raise RuleError("Type what the trip really cost in all.", "actual")


def charge_of(new: NewTrip, rates: ShopRates) -> Charge:
    """What a trip costs: its distance at the rate of its day plus tolls and parking, or its actual cost.

    Raises RateGap where no rate holds on its day.
    """
    if new.counts_as is CountsAs.ACTUAL:
        return Charge(new.actual_cents)
    rate = rates.on(new.on_date)
    at_rate = amount_at(new.distance, rate.hundredths, rate.unit)
    return Charge(at_rate + new.extra_cents, rate.hundredths, rate.unit)


def shares_of(cents: int, weights: Sequence[int]) -> list[int]:
    """The exact share of each piece, in their order; equal ones where nothing was paid for any of them."""
    return split_exactly(cents, weights) if weights else []
