"""Activities of the trade, what a running clock may do, and what a day can hold."""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from enum import StrEnum
from types import MappingProxyType

from app.basics.dates import day_in_words, require_not_before, require_not_future
from app.basics.errors import RuleError
from app.basics.quantities import format_minutes


class Activity(StrEnum):
    """What the owner did with the time."""

    SOURCING = "sourcing"
    CLEANING = "cleaning"
    REPAIR = "repair"
    STRIPPING = "stripping"
    SANDING = "sanding"
    FINISHING = "finishing"
    HARDWARE = "hardware"
    LISTING = "listing"
    DELIVERY = "delivery"


ACTIVITY_WORDS: Mapping[Activity, str] = MappingProxyType(
    {
        Activity.SOURCING: "Sourcing",
        Activity.CLEANING: "Cleaning",
        Activity.REPAIR: "Repair",
        Activity.STRIPPING: "Stripping",
        Activity.SANDING: "Sanding",
        Activity.FINISHING: "Finishing",
        Activity.HARDWARE: "Hardware",
        Activity.LISTING: "Photos and listing",
        Activity.DELIVERY: "Delivery",
    }
)

MINUTES_IN_DAY = 24 * 60
# Nobody works this long in one go: a clock that ran on was forgotten.
LONGEST_RUN_MINUTES = 16 * 60
DAYS_IN_WEEK = 7


@dataclass(frozen=True)
class NewTime:
    """Work as it is typed in: on a piece, or for the shop when `piece_id` is None; whole minutes on one day."""

    piece_id: int | None
    activity: Activity
    on_date: date
    minutes: int
    note: str = ""


class TimerIsRunning(RuleError):
    """Another clock is running; one person does one thing at a time."""


class RanTooLong(RuleError):
    """The clock ran longer than anybody works in one go; the owner must say how long it really was."""


class DayIsFull(RuleError):
    """The day cannot hold that much work beside what is written down for it."""


def whole_minutes(started_at: datetime, now: datetime) -> int:
    """Minutes the clock ran, a begun minute counting as a whole one; at least 1, even if the clock was set back."""
    return max(1, -((started_at - now) // timedelta(minutes=1)))


def minutes_run(started_at: datetime, now: datetime) -> int:
    """Full minutes the clock has run so far, as its face shows them; never below 0."""
    return max(0, (now - started_at) // timedelta(minutes=1))


def require_usual_run(minutes: int) -> None:
    """Refuse a run of more than 16 hours (RanTooLong)."""
    if minutes > LONGEST_RUN_MINUTES:
        raise RanTooLong(f"The clock ran {format_minutes(minutes)}. Say how long you really worked.", "minutes")


def require_within_run(minutes: int, ran_minutes: int) -> None:
    """Refuse more minutes than the clock ran (RuleError)."""
    require_minutes(minutes)
    if minutes > ran_minutes:
        raise RuleError(f"The clock ran {format_minutes(ran_minutes)}; it cannot have been more.", "minutes")


def require_minutes(minutes: int) -> None:
    """Refuse no time at all, and more than a day (RuleError)."""
    if not 1 <= minutes <= MINUTES_IN_DAY:
        raise RuleError("The time must be at least 1 minute and at most 24 hours.", "minutes")


def require_room_in_day(on_date: date, minutes_there: int, minutes: int) -> None:
    """Refuse work that would fill a day with more than 24 hours (DayIsFull)."""
    if minutes_there + minutes > MINUTES_IN_DAY:
        left = MINUTES_IN_DAY - minutes_there
        holds = f"there is room for {format_minutes(left)}" if left > 0 else "there is no room left"
        raise DayIsFull(
            f"{format_minutes(minutes_there)} are written down for {day_in_words(on_date)} already; {holds}.",
            "minutes",
        )


def require_sound(new: NewTime, *, today: date, earliest: date | None) -> None:
    """Refuse impossible minutes, a day in the future, and one before `earliest` (RuleError)."""
    require_minutes(new.minutes)
    require_not_future(new.on_date, today, "on_date")
    if earliest is not None:
        begins = "the day your books begin" if new.piece_id is None else "the day this piece or your books begin"
        require_not_before(new.on_date, earliest, "on_date", begins)


def first_of_week(day: date) -> date:
    """The Monday of the week a day lies in."""
    return day - timedelta(days=day.weekday())
