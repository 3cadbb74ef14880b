"""What the shop's facts may be."""

from collections.abc import Collection, Sequence
from dataclasses import dataclass
from datetime import date
from itertools import pairwise
from typing import Final

from app.basics.dates import Month, day_in_words, known_zone, require_not_future
from app.basics.errors import RuleError
from app.basics.money import known_currencies
from app.basics.quantities import Units
from app.basics.spells import DAY, Spell

DEFAULT_SITS_TOO_LONG_DAYS = 60
MOST_THRESHOLD_DAYS = 3650
WEEKDAYS: Final = ("Monday", "Tuesday", "Wednesday", "Thursday", "Friday", "Saturday", "Sunday")


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


@dataclass(frozen=True, order=True)
class UsualSpell:
    """A spell of the week for the bench, within one day: Monday is weekday 0, minutes count from midnight."""

    weekday: int
    from_minute: int
    minutes: int

    @property
    def until(self) -> int:
        """The minute of the day at which it ends."""
        return self.from_minute + self.minutes


def day_field(weekday: int) -> str:
    """The name of the form field that holds the spells of a weekday."""
    return f"day_{weekday}"


def usual_week(days: Sequence[Sequence[Spell]]) -> list[UsualSpell]:
    """The week from the spells typed for each day, Monday first; one that passes midnight is split over two days.

    Refuses spells that overlap, at the field of the later day (RuleError).
    """
    week: list[tuple[UsualSpell, int, Spell]] = []
    for weekday, spells in enumerate(days):
        for spell in spells:
            end = DAY if spell.passes_midnight else spell.end
            week.append((UsualSpell(weekday, spell.start, end - spell.start), weekday, spell))
            if spell.passes_midnight:
                week.append((UsualSpell((weekday + 1) % len(WEEKDAYS), 0, spell.end), weekday, spell))
    week.sort()
    for (one, one_day, first), (other, other_day, second) in pairwise(week):
        if one.weekday == other.weekday and other.from_minute < one.until:
            raise RuleError(
                f"{WEEKDAYS[other_day]} {second.words} overlaps with {WEEKDAYS[one_day]} {first.words}. Make them one"
                " spell, or shorten one of them.",
                day_field(other_day),
            )
    return [spell for spell, _, _ in week]


def days_typed(week: Collection[UsualSpell]) -> list[list[Spell]]:
    """The spells of each day as they are typed, Monday first: one that goes on after midnight is one again."""
    days = [sorted(spell for spell in week if spell.weekday == weekday) for weekday in range(len(WEEKDAYS))]
    typed: list[list[Spell]] = [[Spell(spell.from_minute, spell.until) for spell in day] for day in days]
    for weekday in range(len(WEEKDAYS)):
        today, morrow = typed[weekday], typed[(weekday + 1) % len(WEEKDAYS)]
        if today and morrow and today[-1].end == DAY and morrow[0].start == 0 and morrow[0].end < today[-1].start:
            today[-1] = Spell(today[-1].start, morrow.pop(0).end)
    return typed
