"""Business days and months: reading what was typed, and the shop's own day of an instant."""

import re
from calendar import monthrange
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from functools import lru_cache
from typing import Final, Self
from zoneinfo import ZoneInfo, available_timezones

from app.basics.errors import RuleError

FIRST_YEAR: Final = 1900
LAST_YEAR: Final = 2200

_MONTH_NAMES: Final = (
    "January",
    "February",
    "March",
    "April",
    "May",
    "June",
    "July",
    "August",
    "September",
    "October",
    "November",
    "December",
)
_MONTHS_IN_YEAR: Final = len(_MONTH_NAMES)
_LEAP_YEAR: Final = 2000
_NUMBER_OF_MONTH: Final = {
    spelling: number
    for number, name in enumerate(_MONTH_NAMES, start=1)
    for spelling in (name.casefold(), name[:3].casefold())
} | {"sept": 9}

_IN_DIGITS = re.compile(r"([0-9]{4})-([0-9]{2})-([0-9]{2})")
_IN_WORDS = re.compile(r"([0-9]{1,2}) +([A-Za-z]+)\.? +([0-9]{4})")
_MONTH_IN_DIGITS = re.compile(r"([0-9]{4})-([0-9]{2})")

# Names of the machine's own clock settings: what they mean changes from machine to machine.
_NO_PLACES: Final = frozenset({"localtime", "Factory"})


def parse_day(text: str) -> date:
    """Read a day typed as 2026-11-25, 25 Nov 2026 or 25 November 2026.

    Refuses anything else, a day the calendar does not have, and years outside 1900 to 2200 (RuleError).
    """
    bare = text.strip()
    if match := _IN_DIGITS.fullmatch(bare):
        year, month, day = (int(part) for part in match.groups())
    elif match := _IN_WORDS.fullmatch(bare):
        day, year = int(match[1]), int(match[3])
        month = _NUMBER_OF_MONTH.get(match[2].casefold(), 0)
        if not month:
            raise RuleError(f"No month is called {match[2]}. Type the day like 25 Nov 2026.")
    else:
        raise RuleError("Type the day like 2026-11-25 or 25 Nov 2026.")
    return _day_of(year, month, day)


def _day_of(year: int, month: int, day: int) -> date:
    if not FIRST_YEAR <= year <= LAST_YEAR:
        raise RuleError(f"The year must be from {FIRST_YEAR} to {LAST_YEAR}.")
    if not 1 <= month <= _MONTHS_IN_YEAR:
        raise RuleError(f"There is no month {month}; months run from 1 to {_MONTHS_IN_YEAR}.")
    if not 1 <= day <= monthrange(year, month)[1]:
        missing = f"There is no {day} {_MONTH_NAMES[month - 1]}"
        only_some_years = 1 <= day <= monthrange(_LEAP_YEAR, month)[1]
        raise RuleError(f"{missing} in {year}." if only_some_years else f"{missing}.")
    return date(year, month, day)


def day_in_words(day: date) -> str:
    """Write a day as 25 November 2026, as the messages to the owner do."""
    return f"{day.day} {_MONTH_NAMES[day.month - 1]} {day.year}"


def require_not_future(day: date, today: date, field: str | None) -> None:
    """Refuse, at `field`, a day that has not come yet (RuleError)."""
    if day > today:
        raise RuleError(f"{day_in_words(day)} has not come yet.", field)


def require_not_before(day: date, earliest: date, field: str | None, what: str) -> None:
    """Refuse, at `field`, a day before `earliest`; `what` names it: "the day it was bought" (RuleError)."""
    if day < earliest:
        raise RuleError(f"{day_in_words(day)} is before {what}, {day_in_words(earliest)}.", field)


def local_day(instant: datetime, zone: str) -> date:
    """The calendar day in `zone` at an instant; refuses a naive instant or an unknown zone (ValueError)."""
    if instant.tzinfo is None:
        raise ValueError("An instant needs a zone before its day can be told.")
    if not known_zone(zone):
        raise ValueError(f"No time zone is called {zone!r}.")
    return instant.astimezone(ZoneInfo(zone)).date()


def known_zone(name: str) -> bool:
    """Tell whether a time zone of that name, like America/New_York, is known here."""
    return name in _zone_names()


@lru_cache(maxsize=1)
def _zone_names() -> frozenset[str]:
    return frozenset(available_timezones()) - _NO_PLACES


@dataclass(frozen=True, order=True)
class Month:
    """One calendar month; refuses months outside January 1900 to December 2200 (RuleError)."""

    year: int
    month: int

    def __post_init__(self) -> None:
        if not (FIRST_YEAR <= self.year <= LAST_YEAR and 1 <= self.month <= _MONTHS_IN_YEAR):
            raise RuleError(f"Months run from January {FIRST_YEAR} to December {LAST_YEAR}.")

    @classmethod
    def of(cls, day: date) -> Self:
        """The month a day lies in."""
        return cls(day.year, day.month)

    @classmethod
    def parse(cls, text: str) -> Self:
        """Read a month written as 2026-11; refuses anything else (RuleError)."""
        match = _MONTH_IN_DIGITS.fullmatch(text.strip())
        if match is None:
            raise RuleError("Write the month like 2026-11.")
        return cls(int(match[1]), int(match[2]))

    def __str__(self) -> str:
        return f"{self.year:04d}-{self.month:02d}"

    @property
    def name(self) -> str:
        """The month as people say it, like November 2026."""
        return f"{_MONTH_NAMES[self.month - 1]} {self.year}"

    @property
    def first(self) -> date:
        """Its first day."""
        return date(self.year, self.month, 1)

    @property
    def last(self) -> date:
        """Its last day."""
        return date(self.year, self.month, monthrange(self.year, self.month)[1])

    @property
    def next(self) -> Self:
        """The month after it; refuses to leave the years held (RuleError)."""
        return self.of(self.last + timedelta(days=1))

    @property
    def previous(self) -> Self:
        """The month before it; refuses to leave the years held (RuleError)."""
        return self.of(self.first - timedelta(days=1))

    def contains(self, day: date) -> bool:
        """Tell whether a day lies in this month."""
        return self.first <= day <= self.last


def months_between(a: Month, b: Month) -> list[Month]:
    """Every month from `a` to `b`, both included, in order; none when `b` comes before `a`."""
    numbers = range(a.year * _MONTHS_IN_YEAR + a.month - 1, b.year * _MONTHS_IN_YEAR + b.month)
    return [Month(number // _MONTHS_IN_YEAR, number % _MONTHS_IN_YEAR + 1) for number in numbers]
