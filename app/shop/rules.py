"""What the shop's facts may be."""

from dataclasses import dataclass
from datetime import date

from app.basics.dates import Month, day_in_words, known_zone, require_not_future
from app.basics.errors import RuleError
from app.basics.money import known_currencies
from app.basics.quantities import Units

DEFAULT_SITS_TOO_LONG_DAYS = 60
MOST_THRESHOLD_DAYS = 3650


@dataclass(frozen=True)
class ShopFacts:
    """The shop's own facts, as one row holds them."""

    name: str
    currency: str
    time_zone: str
    units: Units
    started_on: date
    sits_too_long_days: int = DEFAULT_SITS_TOO_LONG_DAYS
    version: int = 0


class CurrencyIsFixed(RuleError):
    """Amounts stand in the ledger; their currency cannot be exchanged under them."""


def require_sound(facts: ShopFacts, today: date) -> None:
    """Refuse a shop without a name, in an unknown currency or zone, or starting in the future."""
    if not facts.name:
        raise RuleError("Give your shop a name; you can change it later.", "name")
    if facts.currency not in {code for code, _name in known_currencies()}:
        raise RuleError("Choose a currency from the list.", "currency")
    if not known_zone(facts.time_zone):
        raise RuleError("Choose a time zone from the list.", "time_zone")
    require_not_future(facts.started_on, today, "started_on")
    if not 1 <= facts.sits_too_long_days <= MOST_THRESHOLD_DAYS:
        raise RuleError(f"Give a number of days from 1 to {MOST_THRESHOLD_DAYS}.", "sits_too_long_days")


@dataclass(frozen=True)
class MonthFigures:
    """What a month came to, in cents, as it is kept when the month is closed.

    `profit` after shop costs and `cash` (in minus out) are of the month; `stock` at cost, `shelf` at cost and
    `deposits` owed to buyers are at its end.
    """

    profit: int
    cash: int
    stock: int
    shelf: int
    deposits: int


class MonthIsClosed(RuleError):
    """Something would change a month that is closed."""


class CannotClose(RuleError):
    """The month cannot be closed now."""


def require_open_day(day: date, closed_through: date | None, field: str | None = None) -> None:
    """Refuse, at `field`, a day in a closed month (MonthIsClosed); `closed_through` is the last closed day."""
    if closed_through is not None and day <= closed_through:
        raise MonthIsClosed(
            f"{Month.of(day).name} is closed, so nothing dated {day_in_words(day)} can be entered or changed."
            f" Date it after {day_in_words(closed_through)}; what stands there is corrected from its own page.",
            field,
        )


def require_closable(month: Month, *, closed_through: Month | None, first: Month, today: date) -> None:
    """Refuse to close a month twice, before its turn, before the books began, or while it runs (CannotClose).

    `closed_through` is the last closed month, `first` the first month with anything in it. Months close in
    their order, so that a closed month always rests on closed ones.
    """
    if closed_through is not None and month <= closed_through:
        raise CannotClose(f"{month.name} is closed already.")
    if today <= month.last:
        raise CannotClose(f"{month.name} is not over yet. It can be closed from its last day's morrow on.")
    expected = closed_through.next if closed_through is not None else first
    if month != expected:
        raise CannotClose(f"Close {expected.name} first: months close in their order.")
