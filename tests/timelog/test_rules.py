"""What a clock may run and what a day can hold."""

from dataclasses import replace
from datetime import UTC, date, datetime, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from app.basics.errors import RuleError
from app.timelog.rules import (
    ACTIVITY_WORDS,
    LONGEST_RUN_MINUTES,
    MINUTES_IN_DAY,
    Activity,
    DayIsFull,
    NewTime,
    RanTooLong,
    first_of_week,
    minutes_run,
    require_minutes,
    require_room_in_day,
    require_sound,
    require_usual_run,
    require_within_run,
    whole_minutes,
)

START = datetime(2026, 11, 25, 15, 30, tzinfo=UTC)
TODAY = date(2026, 11, 25)
WORK = NewTime(piece_id=1, activity=Activity.SANDING, on_date=TODAY, minutes=45)


@pytest.mark.parametrize(("seconds", "minutes"), [(0, 1), (1, 1), (60, 1), (61, 2), (3599, 60), (3600, 60), (-500, 1)])
def test_a_begun_minute_counts_as_a_whole_one(seconds: int, minutes: int) -> None:
    assert whole_minutes(START, START + timedelta(seconds=seconds)) == minutes


@given(st.integers(0, 10**6))
def test_what_is_saved_is_what_the_clock_showed_or_one_minute_more(seconds: int) -> None:
    now = START + timedelta(seconds=seconds)
    assert 0 <= whole_minutes(START, now) - minutes_run(START, now) <= 1


def test_a_clock_set_back_shows_nothing_below_zero() -> None:
    assert minutes_run(START, START - timedelta(hours=1)) == 0


def test_sixteen_hours_are_believed_and_a_minute_more_is_not() -> None:
    require_usual_run(LONGEST_RUN_MINUTES)
    with pytest.raises(RanTooLong, match="ran 16 h 1 min"):
        require_usual_run(LONGEST_RUN_MINUTES + 1)


def test_nobody_worked_longer_than_the_clock_ran() -> None:
    require_within_run(1140, 1140)
    with pytest.raises(RuleError, match="ran 19 h; it cannot have been more"):
        require_within_run(1141, 1140)


def test_a_day_holds_twenty_four_hours() -> None:
    require_room_in_day(TODAY, MINUTES_IN_DAY - 30, 30)
    with pytest.raises(DayIsFull, match=r"23 h 30 min are written down for 25 November 2026.*room for 30 min"):
        require_room_in_day(TODAY, MINUTES_IN_DAY - 30, 31)
    with pytest.raises(DayIsFull, match="no room left"):
        require_room_in_day(TODAY, MINUTES_IN_DAY, 1)


@pytest.mark.parametrize("minutes", [0, -1, MINUTES_IN_DAY + 1])
def test_minutes_are_at_least_one_and_at_most_a_day(minutes: int) -> None:
    with pytest.raises(RuleError, match="at least 1 minute"):
        require_minutes(minutes)


def test_work_in_the_future_is_refused() -> None:
    with pytest.raises(RuleError, match="has not come yet"):
        require_sound(replace(WORK, on_date=date(2026, 11, 26)), today=TODAY, earliest=None)


def test_work_before_piece_and_books_is_refused_in_fitting_words() -> None:
    early = replace(WORK, on_date=date(2023, 1, 1))
    with pytest.raises(RuleError, match="the day this piece or your books begin"):
        require_sound(early, today=TODAY, earliest=date(2024, 1, 1))
    with pytest.raises(RuleError, match="the day your books begin"):
        require_sound(replace(early, piece_id=None), today=TODAY, earliest=date(2024, 1, 1))


@given(st.dates(date(1900, 1, 8), date(2200, 1, 1)))
def test_a_week_begins_on_the_monday_before_or_on_the_day(day: date) -> None:
    monday = first_of_week(day)
    assert monday.isoweekday() == 1
    assert 0 <= (day - monday).days < 7


def test_every_activity_has_its_words() -> None:
    assert set(ACTIVITY_WORDS) == set(Activity)
