"""The free time a plan is made for: asked for, or of the usual week, by the shop's own clock."""

from datetime import UTC, date, datetime, timedelta

import pytest

from app.basics.errors import RuleError
from app.basics.spells import Spell, parse_spells
from app.bench.rules import CannotPlan, Horizon, Window, asked_horizon, usual_horizon, windows_of
from app.shop.rules import UsualSpell, usual_week

ZONE = "America/Denver"
# A Wednesday, half past eight in the morning in the shop's zone.
NOW = datetime(2026, 11, 25, 15, 30, tzinfo=UTC)
TODAY = date(2026, 11, 25)
EVENING = Spell(19 * 60, 22 * 60)


def week(**typed: str) -> list[UsualSpell]:
    names = ("mon", "tue", "wed", "thu", "fri", "sat", "sun")
    return usual_week([parse_spells(typed.get(name, "")) for name in names])


def local(horizon: Horizon, number: int) -> list[str]:
    spells = horizon.spells[:number]
    zone = timedelta(hours=-7)
    return [f"{spell.start + zone:%a %d %H:%M}-{spell.end + zone:%a %H:%M}" for spell in spells]


def test_the_usual_week_goes_on_for_twelve_weeks_from_now_on() -> None:
    found = usual_horizon(week(wed="7-8, 8-9:30, 19-21", sat="9-12"), now=NOW, zone=ZONE)
    assert local(found, 3) == ["Wed 25 08:00-Wed 09:30", "Wed 25 19:00-Wed 21:00", "Sat 28 09:00-Sat 12:00"]
    assert len(found.spells) == 12 * 3
    assert found.spells[-1].end < NOW + timedelta(weeks=12)


def test_a_spell_past_midnight_is_one_again() -> None:
    found = usual_horizon(week(wed="22-1"), now=NOW, zone=ZONE)
    assert local(found, 2) == ["Wed 25 22:00-Thu 01:00", "Wed 02 22:00-Thu 01:00"]


def test_no_usual_hours_are_nothing_to_plan_with() -> None:
    with pytest.raises(CannotPlan, match="no usual hours"):
        usual_horizon([], now=NOW, zone=ZONE)


def test_hours_asked_for_are_followed_by_the_usual_week_from_the_day_after_on() -> None:
    found = asked_horizon(TODAY, EVENING, week(wed="18-21", thu="19-21"), now=NOW, zone=ZONE)
    assert local(found, 3) == ["Wed 25 19:00-Wed 22:00", "Thu 26 19:00-Thu 21:00", "Wed 02 18:00-Wed 21:00"]
    assert "usual week after these hours" in found.words


def test_without_a_usual_week_the_same_hours_are_counted_on_daily() -> None:
    found = asked_horizon(date(2026, 11, 28), EVENING, [], now=NOW, zone=ZONE)
    assert local(found, 2) == ["Sat 28 19:00-Sat 22:00", "Sun 29 19:00-Sun 22:00"]
    assert len(found.spells) == 84
    assert "same hours on every day" in found.words


def test_hours_asked_for_may_pass_midnight() -> None:
    found = asked_horizon(TODAY, Spell(22 * 60, 60), week(thu="0-3, 19-21"), now=NOW, zone=ZONE)
    assert local(found, 3) == ["Wed 25 22:00-Thu 01:00", "Thu 26 01:00-Thu 03:00", "Thu 26 19:00-Thu 21:00"]


@pytest.mark.parametrize(
    ("day", "spell", "field", "words"),
    [
        (date(2026, 11, 24), EVENING, "day", "24 November 2026 is past"),
        (date(2027, 2, 1), EVENING, "day", "within the next 60 days"),
        (TODAY, Spell(19 * 60, 18 * 60), "until", "ends before it begins"),
        (TODAY, Spell(19 * 60, 19 * 60), "until", "no time at all"),
        (TODAY, Spell(60, 23 * 60), "until", "more than 16 hours"),
        (TODAY, Spell(6 * 60, 8 * 60 + 30), "until", "over already"),
    ],
)
def test_hours_nobody_can_work_are_refused_at_their_box(day: date, spell: Spell, field: str, words: str) -> None:
    with pytest.raises(RuleError, match=words) as refused:
        asked_horizon(day, spell, [], now=NOW, zone=ZONE)
    assert refused.value.field == field


def test_windows_are_whole_minutes_from_now_and_none_lies_in_the_past() -> None:
    found = asked_horizon(TODAY, Spell(8 * 60, 9 * 60), [], now=NOW, zone=ZONE)
    assert windows_of(found, NOW)[:2] == [Window(0, 30), Window(23 * 60 + 30, 24 * 60 + 30)]


def test_the_clocks_going_back_make_an_evening_after_it_an_hour_later_from_now() -> None:
    before = datetime(2026, 10, 31, 18, 0, tzinfo=UTC)
    found = usual_horizon(week(sun="19-21"), now=before, zone=ZONE)
    assert windows_of(found, before)[0] == Window(32 * 60, 34 * 60)


SPRING = datetime(2027, 3, 13, 18, 0, tzinfo=UTC)
"""The noon before the night on which two o'clock becomes three."""
AUTUMN = datetime(2026, 10, 31, 18, 0, tzinfo=UTC)
"""The noon before the night on which two o'clock becomes one again."""


def minutes(typed: str, before: datetime) -> list[tuple[int, int]]:
    """The free time of the Sunday after, in minutes from its midnight as they really pass."""
    found = usual_horizon(week(sun=typed), now=before, zone=ZONE)
    midnight = before.replace(hour=6 if before is AUTUMN else 7) + timedelta(days=1)
    passed = [((spell.start - midnight), (spell.end - midnight)) for spell in found.spells]
    minute = timedelta(minutes=1)
    return [(start // minute, end // minute) for start, end in passed if start < timedelta(days=1)]


@pytest.mark.parametrize(
    ("typed", "free"),
    [
        ("2-3, 19-20", [(18 * 60, 19 * 60)]),
        ("1-2:30, 3-4", [(60, 180)]),
        ("1-2:30", [(60, 120)]),
        ("2:30-4", [(120, 180)]),
        ("0-2:15, 2:45-3:30", [(0, 150)]),
        ("1-1:30, 2:15-2:45", [(60, 90)]),
    ],
)
def test_an_hour_the_clocks_leave_out_is_no_free_time_and_nothing_overlaps(
    typed: str, free: list[tuple[int, int]]
) -> None:
    assert minutes(typed, SPRING) == free


@pytest.mark.parametrize(
    ("typed", "free"),
    [
        ("19-20", [(20 * 60, 21 * 60)]),
        ("0:30-1:30, 1:30-3", [(30, 240)]),
        ("0-1, 2-3", [(0, 60), (180, 240)]),
        ("0-1:15, 1:45-2:30", [(0, 75), (105, 210)]),
    ],
)
def test_an_hour_the_clocks_pass_twice_is_counted_as_it_passes_and_never_doubled(
    typed: str, free: list[tuple[int, int]]
) -> None:
    assert minutes(typed, AUTUMN) == free


def test_hours_asked_for_on_a_night_of_the_clocks() -> None:
    sunday = date(2027, 3, 14)
    with pytest.raises(RuleError, match="clocks leave that time out") as refused:
        asked_horizon(sunday, Spell(120, 180), [], now=SPRING, zone=ZONE)
    assert refused.value.field == "until"
    found = asked_horizon(sunday, Spell(60, 150), week(sun="2-3:30", mon="2-3"), now=SPRING, zone=ZONE)
    assert windows_of(found, SPRING)[0] == Window(14 * 60, 15 * 60)
    friday = SPRING - timedelta(days=1)
    daily = asked_horizon(sunday - timedelta(days=1), Spell(120, 180), [], now=friday, zone=ZONE)
    assert len(daily.spells) == 83
