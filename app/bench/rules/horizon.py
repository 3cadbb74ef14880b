"""The free time a plan is made for: some hours asked for, the usual week, and what is counted on after them."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import UTC, date, datetime, timedelta
from enum import StrEnum
from typing import Final
from zoneinfo import ZoneInfo

from app.basics.dates import day_in_words
from app.basics.errors import RuleError
from app.basics.spells import DAY, Spell
from app.bench.rules.planned import CannotPlan, Window
from app.bench.rules.spans import to_mark
from app.shop.rules import UsualSpell

WEEKS: Final = 12
"""So many weeks ahead a plan reaches."""
DAYS_IN_WEEK: Final = 7
LONGEST_ASKED: Final = 16 * 60
FURTHEST_DAY: Final = timedelta(days=60)
MINUTE: Final = timedelta(minutes=1)


class NothingToPlan(CannotPlan):
    """No step of any finish is left to do."""


class CountedOn(StrEnum):
    """Which free time a plan counts on."""

    WEEK = "week"
    HOURS_THEN_WEEK = "hours_then_week"
    HOURS_THEN_SAME = "hours_then_same"


COUNTED_WORDS: Final = {
    CountedOn.WEEK: "It counts on your usual week.",
    CountedOn.HOURS_THEN_WEEK: "To judge what to do first it counts on your usual week after these hours.",
    CountedOn.HOURS_THEN_SAME: "To judge what to do first it counts on the same hours on every day that follows.",
}


@dataclass(frozen=True, order=True)
class FreeSpell:
    """Free time, from an instant until another."""

    start: datetime
    end: datetime


@dataclass(frozen=True)
class Horizon:
    """The free time of a plan, in order, and what it counts on."""

    spells: tuple[FreeSpell, ...]
    counted_on: CountedOn

    @property
    def words(self) -> str:
        """What it counts on, as a sentence."""
        return COUNTED_WORDS[self.counted_on]


def require_hours(day: date, spell: Spell, *, now: datetime, zone: str) -> None:
    """Refuse hours on a day that is past ("day") or far away, over already, or that end before they begin ("until").

    An end at most 16 hours after the begin may lie on the day after; RuleError.
    """
    today = now.astimezone(ZoneInfo(zone)).date()
    if day < today:
        raise RuleError(f"{day_in_words(day)} is past.", "day")
    if day - today > FURTHEST_DAY:
        raise RuleError(f"Plan for a day within the next {FURTHEST_DAY.days} days.", "day")
    if spell.start == spell.end:
        raise RuleError("That is no time at all.", "until")
    if spell.minutes > LONGEST_ASKED:
        words = "That ends before it begins." if spell.passes_midnight else "That is more than 16 hours."
        raise RuleError(words, "until")
    free = free_spell(day, spell, zone)
    if free.end <= now:
        raise RuleError("That time is over already.", "until")
    if free.start == free.end:
        raise RuleError("The clocks leave that time out on this day.", "until")


def free_spell(day: date, spell: Spell, zone: str) -> FreeSpell:
    """A spell of a day as instants, by the clock of the zone; one that passes midnight ends on the day after."""
    return FreeSpell(_instant(day, spell.start, zone), _instant(day, spell.start + spell.minutes, zone))


def usual_horizon(week: Sequence[UsualSpell], *, now: datetime, zone: str) -> Horizon:
    """The usual week from now on, for 12 weeks. Refuses a week without hours (CannotPlan)."""
    if not week:
        raise CannotPlan("You have no usual hours yet.")
    today = now.astimezone(ZoneInfo(zone)).date()
    spells = (spell for spell in _of_week(week, today, zone) if spell.end > now)
    return Horizon(tuple(_joined(spells)), CountedOn.WEEK)


def asked_horizon(day: date, spell: Spell, week: Sequence[UsualSpell], *, now: datetime, zone: str) -> Horizon:
    """The hours asked for, then the usual week from the day after on, else the same hours daily; refuses as above."""
    require_hours(day, spell, now=now, zone=zone)
    asked, morrow = free_spell(day, spell, zone), day + timedelta(days=1)
    if week:
        later = [each for each in _of_week(week, morrow, zone) if each.end > asked.end]
        later = [FreeSpell(max(each.start, asked.end), each.end) for each in later]
        return Horizon((asked, *_joined(later)), CountedOn.HOURS_THEN_WEEK)
    same = [free_spell(day + timedelta(days=each), spell, zone) for each in range(1, WEEKS * DAYS_IN_WEEK)]
    return Horizon((asked, *(each for each in same if each.start < each.end)), CountedOn.HOURS_THEN_SAME)


def windows_of(horizon: Horizon, zero: datetime) -> list[Window]:
    """The free time in whole minutes from `zero` on, each spell from a mark of five minutes on."""
    windows = (Window(max(0, minute_of(spell.start, zero)), (spell.end - zero) // MINUTE) for spell in horizon.spells)
    return [window for window in windows if window.start < window.end]


def minute_of(instant: datetime, zero: datetime) -> int:
    """An instant in minutes after `zero`, up to the next mark of five minutes; below 0 for what is over."""
    return to_mark(-((zero - instant) // MINUTE))


def _of_week(week: Sequence[UsualSpell], first: date, zone: str) -> list[FreeSpell]:
    """The spells of each day of 12 weeks; an hour that the clocks leave out in spring is none."""
    days = (first + timedelta(days=each) for each in range(WEEKS * DAYS_IN_WEEK))
    spells = (
        FreeSpell(_instant(day, spell.from_minute, zone), _instant(day, spell.until, zone))
        for day in days
        for spell in week
        if spell.weekday == day.weekday()
    )
    return sorted(spell for spell in spells if spell.start < spell.end)


def _joined(spells: Iterable[FreeSpell]) -> list[FreeSpell]:
    """Spells that touch or overlap as one, such as the two halves of one that passes midnight; taken in order."""
    joined: list[FreeSpell] = []
    for spell in spells:
        if joined and spell.start <= joined[-1].end:
            joined[-1] = FreeSpell(joined[-1].start, max(joined[-1].end, spell.end))
        else:
            joined.append(spell)
    return joined


def _instant(day: date, minute: int, zone: str) -> datetime:
    """A minute of a day as an instant: of one the clocks pass twice the first, for one they leave out their jump."""
    days, rest = divmod(minute, DAY)
    local = datetime(day.year, day.month, day.day, rest // 60, rest % 60, tzinfo=ZoneInfo(zone)) + timedelta(days=days)
    since_last = timedelta(0)
    while local.astimezone(UTC).astimezone(local.tzinfo) != local:
        local, since_last = local - MINUTE, MINUTE
    return local.astimezone(UTC) + since_last
