"""Spells of a day are read as people type them."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from app.basics.errors import RuleError
from app.basics.spells import DAY, Spell, parse_clock, parse_spells, spells_in_words


@pytest.mark.parametrize(
    ("typed", "shown"),
    [
        ("19:00-22:00", "19:00-22:00"),
        ("19.00 \u2013 21.30", "19:00-21:30"),
        ("7pm to 10pm", "19:00-22:00"),
        ("7 to 9:30 pm", "19:00-21:30"),
        ("7 PM \u2014 9.30 p.m.", "19:00-21:30"),
        ("9-12pm", "09:00-12:00"),
        ("11 until 1pm", "11:00-13:00"),
        ("10-2am", "22:00-02:00"),
        ("noon to 3pm", "12:00-15:00"),
        ("10am till noon", "10:00-12:00"),
        ("20:00 to midnight", "20:00-24:00"),
        ("midnight to 2am", "00:00-02:00"),
        ("20:00-0:00", "20:00-24:00"),
        ("22:00-01:00", "22:00-01:00"),
        ("0:00-24:00", "00:00-24:00"),
        ("7-9", "07:00-09:00"),
        ("19:00-21:30, 9:00-12:00", "09:00-12:00, 19:00-21:30"),
        ("9 to 12 and 14 to 18", "09:00-12:00, 14:00-18:00"),
        ("9-12;14-18;", "09:00-12:00, 14:00-18:00"),
        ("", ""),
        (" , ", ""),
    ],
)
def test_spells_are_read_as_they_are_typed(typed: str, shown: str) -> None:
    assert spells_in_words(parse_spells(typed)) == shown


@pytest.mark.parametrize(
    "typed",
    [
        "evening",
        "19:00",
        "19:00-",
        "-22:00",
        "19:00-25:00",
        "19:60-20:00",
        "13pm-14pm",
        "0am-2am",
        "19-20-21",
        "x" * 900,
        "24:01-24:30",
        "\N{ARABIC-INDIC DIGIT SEVEN}-9",
    ],
)
def test_what_is_no_spell_is_refused_with_an_example(typed: str) -> None:
    with pytest.raises(RuleError, match=r"is no spell\. Type it like 19:00-21:30") as refused:
        parse_spells(typed)
    assert len(refused.value.message) < 150


@pytest.mark.parametrize("typed", ["19:00-19:00", "7pm-19:00", "noon-12:00", "0:00-0:00"])
def test_a_spell_of_no_length_is_refused(typed: str) -> None:
    with pytest.raises(RuleError, match="has no length"):
        parse_spells(typed)


@given(st.integers(0, DAY - 1), st.integers(1, DAY))
def test_what_is_shown_reads_back(start: int, end: int) -> None:
    if start == end:
        return
    spell = Spell(start, end)
    assert parse_spells(spell.words) == [spell]
    assert 0 < spell.minutes <= DAY
    assert spell.passes_midnight == (end < start)


def test_a_time_of_day_is_read_alone() -> None:
    assert [parse_clock(typed) for typed in ("19:00", "7.30pm", "noon", "24:00", "12am", "9")] == [
        1140,
        1170,
        720,
        1440,
        0,
        540,
    ]
    with pytest.raises(RuleError, match="Type a time like"):
        parse_clock("late")
