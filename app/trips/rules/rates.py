"""Which mileage rate holds on a day, what a distance comes to at it, and what an own rate may be."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from fractions import Fraction
from typing import Final, TypeAlias

from app.basics.dates import day_in_words
from app.basics.errors import RuleError
from app.basics.money import MoneyError, half_up, money_plain, parse_money
from app.basics.words import LINE_LIMIT, clean_line
from app.trips.rules.distance import Distance, DistanceUnit
from app.trips.rules.published import PUBLISHED_RATES, PublishedRate

HIGHEST_RATE: Final = 10_000_000
"""The highest rate anybody may type, in hundredths of a cent."""

RATE_PLACES: Final = 2
"""How many more decimal places a rate has than the shop's money."""

_KM_PER_MILE: Final = Decimal("1.609344")


class RateGap(RuleError):
    """No mileage rate holds on the day; it says what to do about it."""

    def __init__(self, day: date, field: str | None = "on_date") -> None:
        """Name the day and both ways out."""
        super().__init__(
            f"No mileage rate is known for {day_in_words(day)}. Enter the one that holds then under Trips, Rates,"
            " or count the trip at what it really cost.",
            field,
        )
        self.day = day


@dataclass(frozen=True)
class MileageRateFacts:
    """The shop's own rate as it is told: from a day to a day, both included, in hundredths of a cent for one unit."""

    from_date: date
    until_date: date
    hundredths: int
    unit: DistanceUnit
    source: str


@dataclass(frozen=True)
class OwnRate(MileageRateFacts):
    """An own rate that stands in the ledger."""

    id: int

    @property
    def cents_per_mile(self) -> Decimal:
        """The rate in cents for one mile, exactly."""
        cents = Decimal(self.hundredths) / 100
        return cents * _KM_PER_MILE if self.unit is DistanceUnit.KM else cents


Rate: TypeAlias = OwnRate | PublishedRate


@dataclass(frozen=True)
class ShopRates:
    """The rates a shop counts by: its own go before the published ones, which another currency has no use for."""

    own: tuple[OwnRate, ...] = ()
    published: tuple[PublishedRate, ...] = PUBLISHED_RATES

    def find(self, day: date) -> Rate | None:
        """The rate that holds on a day, or None."""
        rates: tuple[Rate, ...] = (*self.own, *self.published)
        return next((rate for rate in rates if rate.from_date <= day <= rate.until_date), None)

    def on(self, day: date) -> Rate:
        """The rate that holds on a day; raises RateGap where there is none."""
        rate = self.find(day)
        if rate is None:
            raise RateGap(day)
        return rate


def rate_on(day: date, own: Iterable[OwnRate] = ()) -> Decimal:
    """Cents for one mile on a day: by an own rate that holds then, else by the published one; raises RateGap."""
    return ShopRates(tuple(own)).on(day).cents_per_mile


def amount_at(distance: Distance, rate_hundredths: int, rate_unit: DistanceUnit) -> int:
    """Cents that a distance comes to at a rate; a distance in the other unit is turned exactly, rounded once."""
    return half_up(distance.exactly_in(rate_unit) * Fraction(rate_hundredths, 100))


def parse_rate(text: str, places: int) -> int:
    """Read a typed rate, like 0.725, as hundredths of a minor unit of a currency with `places` decimal places.

    Refuses what is no amount, and more than two digits beyond the currency's own (RuleError).
    """
    try:
        return parse_money(text, places=places + RATE_PLACES)
    except MoneyError as refusal:
        example = rate_plain(7250, places)
        raise RuleError(
            f"Type the rate for one mile or km as money, with a point and at most {places + RATE_PLACES} digits"
            f" after it, like {example}."
        ) from refusal


def rate_plain(hundredths: int, places: int) -> str:
    """Write a rate as money, with the currency's own places at least, like 0.725 or 0.70."""
    whole, dot, part = money_plain(hundredths, places + RATE_PLACES).partition(".")
    part = part.rstrip("0").ljust(places, "0")
    return f"{whole}{dot}{part}" if part else whole


def require_sound_rate(new: MileageRateFacts, standing: Iterable[OwnRate]) -> None:
    """Refuse a rate of nothing, days the wrong way round, no source, or days another own rate holds (RuleError)."""
    if not 0 < new.hundredths <= HIGHEST_RATE:
        raise RuleError("Type a rate of more than nothing and at most 1,000 for one mile or km.", "rate")
    if new.until_date < new.from_date:
        raise RuleError(f"It ends before it begins, on {day_in_words(new.from_date)}.", "until_date")
    if not clean_line(new.source, LINE_LIMIT):
        raise RuleError("Say where the rate is from, like the tax office's notice.", "source")
    for other in standing:
        if other.from_date <= new.until_date and new.from_date <= other.until_date:
            raise RuleError(
                f"A rate of your own holds from {day_in_words(other.from_date)} to {day_in_words(other.until_date)}"
                " already. Choose other days, or strike that one out first.",
                "from_date",
            )
