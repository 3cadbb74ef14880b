"""The usual hours of the week: typed by day, kept within days, shown as they were typed."""

import pytest
from hypothesis import given
from hypothesis import strategies as st
from sqlalchemy.orm import Session

from app.basics.errors import RuleError
from app.basics.spells import DAY, Spell, parse_spells, spells_in_words
from app.shop.actions import set_usual_hours
from app.shop.queries import usual_hours
from app.shop.rules import UsualSpell, days_typed, usual_week


def week(**typed: str) -> list[list[Spell]]:
    names = ("mon", "tue", "wed", "thu", "fri", "sat", "sun")
    return [parse_spells(typed.get(name, "")) for name in names]


def test_several_spells_a_day_stand_in_their_order() -> None:
    assert usual_week(week(mon="19-21:30", sat="14-18, 9-12")) == [
        UsualSpell(0, 19 * 60, 150),
        UsualSpell(5, 9 * 60, 180),
        UsualSpell(5, 14 * 60, 240),
    ]


def test_a_spell_past_midnight_is_split_over_two_days_and_shown_as_one() -> None:
    typed = week(mon="22:00-1:30", sun="23:00-2:00")
    split = usual_week(typed)
    assert split == [
        UsualSpell(0, 0, 120),
        UsualSpell(0, 22 * 60, 120),
        UsualSpell(1, 0, 90),
        UsualSpell(6, 23 * 60, 60),
    ]
    assert days_typed(split) == typed


@pytest.mark.parametrize(
    ("typed", "field", "words"),
    [
        ({"mon": "19-21, 20-22"}, "day_0", "Monday 20:00-22:00 overlaps with Monday 19:00-21:00"),
        ({"mon": "22-2", "tue": "1-3"}, "day_1", "Tuesday 01:00-03:00 overlaps with Monday 22:00-02:00"),
        ({"sun": "22-2", "mon": "1-3"}, "day_0", "Monday 01:00-03:00 overlaps with Sunday 22:00-02:00"),
        ({"wed": "9-17, 10-11, 12-13"}, "day_2", "overlaps"),
        ({"thu": "9-12, 9-12"}, "day_3", "overlaps"),
    ],
)
def test_spells_that_overlap_are_refused_at_their_day(typed: dict[str, str], field: str, words: str) -> None:
    with pytest.raises(RuleError, match=words) as refused:
        usual_week(week(**typed))
    assert refused.value.field == field


def test_spells_that_touch_do_not_overlap() -> None:
    assert len(usual_week(week(mon="19-21, 21-22", tue="22-24", wed="0-2"))) == 4


@given(
    st.lists(
        st.lists(st.builds(Spell, st.integers(0, DAY - 1), st.integers(1, DAY)), max_size=3), min_size=7, max_size=7
    )
)
def test_a_week_covers_just_the_minutes_typed(days: list[list[Spell]]) -> None:
    days = [sorted(spell for spell in day if spell.start != spell.end) for day in days]
    try:
        split = usual_week(days)
    except RuleError:
        return
    assert all(0 <= spell.from_minute < spell.until <= DAY for spell in split)
    assert sum(spell.minutes for spell in split) == sum(spell.minutes for day in days for spell in day)
    assert usual_week(days_typed(split)) == split


def test_the_whole_week_is_replaced(session: Session) -> None:
    set_usual_hours(session, week(mon="19-21", sat="9-12"))
    set_usual_hours(session, week(tue="7pm-9pm"))
    assert usual_hours(session) == [UsualSpell(1, 19 * 60, 120)]
    with pytest.raises(RuleError):
        set_usual_hours(session, week(mon="19-21, 20-22"))
    assert spells_in_words(days_typed(usual_hours(session))[1]) == "19:00-21:00"
    set_usual_hours(session, week())
    assert usual_hours(session) == []
