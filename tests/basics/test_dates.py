"""Reading days and months, and telling the shop's own day of an instant."""

from datetime import UTC, date, datetime, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from app.basics.dates import (
    Month,
    day_in_words,
    known_zone,
    local_day,
    months_between,
    parse_day,
    require_not_before,
    require_not_future,
)
from app.basics.errors import RuleError

DAYS = st.dates(min_value=date(1900, 1, 1), max_value=date(2200, 12, 31))
INNER_MONTHS = st.builds(Month, st.integers(1901, 2199), st.integers(1, 12))


@pytest.mark.parametrize(
    "typed",
    ["2026-11-25", " 2026-11-25 ", "25 Nov 2026", "25 november 2026", "25 NOVEMBER 2026", "25 Nov. 2026"],
)
def test_a_day_is_read_in_digits_or_in_words(typed: str) -> None:
    assert parse_day(typed) == date(2026, 11, 25)


def test_september_may_be_shortened_to_four_letters() -> None:
    assert parse_day("3 Sept 2026") == date(2026, 9, 3)


@given(DAYS)
def test_a_day_reads_back_from_both_ways_it_is_written(day: date) -> None:
    assert parse_day(day.isoformat()) == day
    assert parse_day(day_in_words(day)) == day


@pytest.mark.parametrize(
    ("typed", "trouble"),
    [
        ("31 February 2026", "There is no 31 February."),
        ("2026-02-31", "There is no 31 February."),
        ("2026-02-29", "There is no 29 February in 2026."),
        ("2100-02-29", "There is no 29 February in 2100."),
        ("2026-11-31", "There is no 31 November."),
        ("2026-11-00", "There is no 0 November."),
        ("2026-13-01", "There is no month 13"),
        ("2026-00-01", "There is no month 0"),
        ("1899-12-31", "from 1900 to 2200"),
        ("2201-01-01", "from 1900 to 2200"),
        ("25 Brumaire 2026", "No month is called Brumaire"),
        ("", "Type the day like 2026-11-25"),
        ("25.11.2026", "Type the day like 2026-11-25"),
        ("11/25/2026", "Type the day like 2026-11-25"),
        ("2026-1-5", "Type the day like 2026-11-25"),
        ("25 Nov 26", "Type the day like 2026-11-25"),
        ("٢٠٢٦-١١-٢٥", "Type the day like 2026-11-25"),
        ("2026-11-25T10:00", "Type the day like 2026-11-25"),
    ],
)
def test_what_is_no_day_is_refused_by_name(typed: str, trouble: str) -> None:
    with pytest.raises(RuleError) as refusal:
        parse_day(typed)

    assert trouble in refusal.value.message


def test_a_leap_day_is_read_in_a_leap_year() -> None:
    assert parse_day("29 Feb 2028") == date(2028, 2, 29)


def test_today_is_allowed_and_tomorrow_is_refused_at_its_field() -> None:
    today = date(2026, 11, 25)
    require_not_future(today, today, "bought_on")

    with pytest.raises(RuleError, match="26 November 2026 has not come yet") as refusal:
        require_not_future(today + timedelta(days=1), today, "bought_on")
    assert refusal.value.field == "bought_on"


def test_the_same_day_is_allowed_and_the_day_before_is_refused_at_its_field() -> None:
    bought = date(2026, 11, 25)
    require_not_before(bought, bought, "sold_on", "the day it was bought")

    with pytest.raises(RuleError, match="is before the day it was bought, 25 November 2026") as refusal:
        require_not_before(bought - timedelta(days=1), bought, "sold_on", "the day it was bought")
    assert refusal.value.field == "sold_on"


@pytest.mark.parametrize(
    ("zone", "day"), [("UTC", 25), ("America/New_York", 24), ("Pacific/Kiritimati", 25), ("Asia/Kolkata", 25)]
)
def test_the_day_of_an_instant_is_the_shop_s_own(zone: str, day: int) -> None:
    assert local_day(datetime(2026, 11, 25, 3, 0, tzinfo=UTC), zone) == date(2026, 11, day)


def test_the_day_turns_at_local_midnight_on_either_side_of_a_clock_change() -> None:
    # Clocks in New York go back on 1 November 2026: midnight is 04:00 UTC that day and 05:00 UTC the next.
    turns = [datetime(2026, 11, 1, 4, tzinfo=UTC), datetime(2026, 11, 2, 5, tzinfo=UTC)]

    for turn in turns:
        assert local_day(turn, "America/New_York") == turn.date()
        assert local_day(turn - timedelta(seconds=1), "America/New_York") == turn.date() - timedelta(days=1)


def test_a_naive_instant_and_an_unknown_zone_are_refused() -> None:
    with pytest.raises(ValueError, match="zone"):
        local_day(datetime(2026, 11, 25, 3, 0), "UTC")  # noqa: DTZ001 - the naive instant is what is refused
    with pytest.raises(ValueError, match="Nowhere"):
        local_day(datetime(2026, 11, 25, 3, 0, tzinfo=UTC), "Nowhere/At_All")


@pytest.mark.parametrize("name", ["", "America", "../etc/passwd", "localtime", "Factory", "Nowhere/At_All"])
def test_what_is_no_place_is_no_zone(name: str) -> None:
    assert not known_zone(name)


@pytest.mark.parametrize("name", ["UTC", "America/New_York", "Europe/Berlin"])
def test_a_zone_is_known_by_its_place(name: str) -> None:
    assert known_zone(name)


def test_a_month_knows_its_days() -> None:
    february = Month(2028, 2)

    assert (february.first, february.last) == (date(2028, 2, 1), date(2028, 2, 29))
    assert february.contains(date(2028, 2, 29))
    assert not february.contains(date(2028, 3, 1))
    assert str(february) == "2028-02"
    assert february.name == "February 2028"


def test_months_cross_the_year_both_ways() -> None:
    assert Month(2026, 12).next == Month(2027, 1)
    assert Month(2027, 1).previous == Month(2026, 12)


@given(INNER_MONTHS)
def test_the_next_month_begins_the_day_after_the_last(month: Month) -> None:
    assert month.next.first == month.last + timedelta(days=1)
    assert month.next.previous == month
    assert month < month.next
    assert Month.parse(str(month)) == month


@given(DAYS)
def test_a_day_lies_in_its_own_month(day: date) -> None:
    assert Month.of(day).contains(day)


@pytest.mark.parametrize("typed", ["", "2026", "2026-13", "2026-00", "1899-12", "2201-01", "2026-1", "Nov 2026"])
def test_what_is_no_month_is_refused(typed: str) -> None:
    with pytest.raises(RuleError, match=r"[Mm]onth"):
        Month.parse(typed)


def test_the_last_month_held_has_none_after_it() -> None:
    with pytest.raises(RuleError, match="December 2200"):
        _ = Month(2200, 12).next
    with pytest.raises(RuleError, match="January 1900"):
        _ = Month(1900, 1).previous


def test_months_are_listed_with_both_ends() -> None:
    assert [str(month) for month in months_between(Month(2026, 11), Month(2027, 2))] == [
        "2026-11",
        "2026-12",
        "2027-01",
        "2027-02",
    ]
    assert months_between(Month(2026, 11), Month(2026, 11)) == [Month(2026, 11)]
    assert months_between(Month(2026, 12), Month(2026, 11)) == []
