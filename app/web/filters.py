"""Filters that turn the ledger's values into words on a page."""

from datetime import date, datetime
from zoneinfo import ZoneInfo

from babel.dates import format_date
from flask import Flask

from app.basics.dates import Month
from app.basics.money import format_money
from app.basics.quantities import format_minutes, format_percent, format_rate, format_wait
from app.basics.temperature import format_temperature
from app.web.frame import frame

MINUS = "\u2212"
_NEAR_DAYS = {-1: "yesterday ", 0: "", 1: "tomorrow "}


def money(cents: int | None) -> str:
    """An amount in the shop's currency, with a real minus sign; a dash when there is none."""
    if cents is None:
        return "\u2013"
    shown = format_money(abs(cents), frame().currency, frame().locale)
    return f"{MINUS}{shown}" if cents < 0 else shown


def day(value: date | None) -> str:
    """A date with its year: 25 Nov 2026."""
    return "" if value is None else format_date(value, "d MMM y", locale=frame().locale)


def short_day(value: date | None) -> str:
    """A date without its year when that is the present one."""
    if value is None:
        return ""
    pattern = "d MMM" if value.year == frame().today.year else "d MMM y"
    return format_date(value, pattern, locale=frame().locale)


def instant(value: datetime | None) -> str:
    """An instant in the shop's zone: 25 Nov 2026, 14:05."""
    if value is None:
        return ""
    local = value.astimezone(ZoneInfo(frame().zone))
    return f"{day(local.date())}, {local:%H:%M}"


def clock_time(value: datetime | None) -> str:
    """An instant near today as a clock and a calendar show it: 16:40, tomorrow 08:10, or Fri 4 Dec, 08:10."""
    if value is None:
        return ""
    local = value.astimezone(ZoneInfo(frame().zone))
    days_off = (local.date() - frame().today).days
    if days_off in _NEAR_DAYS:
        return f"{_NEAR_DAYS[days_off]}{local:%H:%M}"
    pattern = "EEE d MMM" if local.year == frame().today.year else "EEE d MMM y"
    return f"{format_date(local.date(), pattern, locale=frame().locale)}, {local:%H:%M}"


def clock_hour(value: datetime) -> str:
    """The time of day of an instant, where its day is said beside it: 16:40."""
    return f"{value.astimezone(ZoneInfo(frame().zone)):%H:%M}"


def month(value: Month) -> str:
    """A month's name and year."""
    return format_date(value.first, "MMMM y", locale=frame().locale)


def is_closed(value: date) -> bool:
    """Whether a day lies in a closed month."""
    last = frame().closed_through
    return last is not None and value <= last


def days_count(number: int) -> str:
    """A number of days in words."""
    return "1 day" if number == 1 else f"{number:,} days"


def counted(number: int, one: str, many: str) -> str:
    """A number with the right word behind it."""
    return f"{number:,} {one if number == 1 else many}"


def add_filters(app: Flask) -> None:
    """Make the filters known to templates."""
    for plain in (money, day, short_day, instant, clock_time, clock_hour, month, is_closed, days_count, counted):
        app.add_template_filter(plain)
    app.add_template_filter(lambda minutes: format_minutes(minutes) if minutes else "none", "minutes")
    app.add_template_filter(format_percent, "percent")
    app.add_template_filter(format_rate, "rate")
    app.add_template_filter(lambda tenths: format_temperature(tenths, frame().units), "temperature")
    app.add_template_filter(format_wait, "wait")
