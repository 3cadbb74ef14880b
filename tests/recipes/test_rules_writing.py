"""How a recipe is written: names, places of steps, what tasks can say, mixes, what editions changed, and labels."""

from dataclasses import fields
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from app.basics.errors import RuleError
from app.basics.quantities import LONGEST_WAIT, Units
from app.recipes.rules import (
    DAY,
    MOST_STEPS,
    TASK_AIMS,
    TASK_CLASSES,
    TASK_FACTS,
    Label,
    Part,
    StepFacts,
    Task,
    edition_changes,
    mix_words,
    moved,
    parse_spread,
    products_for,
    put_in,
    require_room,
    sound_label,
    sound_name,
    sound_note,
    sound_step,
    spread_plain,
)
from tests.builders.recipes import a_step, two_parts


def test_a_name_is_cleaned_and_none_or_a_long_one_is_refused() -> None:
    assert sound_name("  Sage \n body ") == "Sage body"
    for typed in ("", "   ", "\x00", "x" * 500):
        with pytest.raises(RuleError) as refused:
            sound_name(typed)
        assert refused.value.field == "name"


def test_a_note_that_is_too_long_is_refused_at_its_field() -> None:
    assert sound_note(" two\nlines ") == "two\nlines"
    with pytest.raises(RuleError) as refused:
        sound_note("x" * 4_001)
    assert refused.value.field == "note"


def test_a_recipe_has_sixty_steps_at_most() -> None:
    require_room(MOST_STEPS)
    with pytest.raises(RuleError, match="at most 60 steps"):
        require_room(MOST_STEPS + 1)


@pytest.mark.parametrize(
    ("at", "order"), [(None, "abX"), (1, "Xab"), (2, "aXb"), (3, "abX"), (9, "abX"), (0, "Xab"), (-4, "Xab")]
)
def test_a_step_is_put_where_it_is_wanted_or_as_near_as_can_be(at: int | None, order: str) -> None:
    assert "".join(put_in("ab", "X", at)) == order


def test_a_step_moves_one_place_and_not_beyond_the_ends() -> None:
    assert moved([1, 2, 3], 2, -1) == [2, 1, 3]
    assert moved([1, 2, 3], 2, 1) == [1, 3, 2]
    with pytest.raises(RuleError, match="first step already"):
        moved([1, 2, 3], 1, -1)
    with pytest.raises(RuleError, match="last step already"):
        moved([1, 2, 3], 3, 1)


def test_what_a_task_can_say_are_facts_of_a_step_and_fit_its_products_aims_and_classes() -> None:
    names = {field.name for field in fields(StepFacts)} - {"task"}
    for task in Task:
        said = TASK_FACTS[task]
        assert said <= names
        assert ("aim" in said) is (task in TASK_AIMS)
        assert ("product" in said) is bool(products_for(task))
        assert ("material_id" in said) is (task in TASK_CLASSES)
    assert set.union(*(set(said) for said in TASK_FACTS.values())) == names


@pytest.mark.parametrize(
    ("step", "words"),
    [
        (a_step(Task.WASH, ratio="1:4"), "1 paint : 4 water"),
        (a_step(Task.CLEAN, ratio="1:10"), "1 cleaner : 10 water"),
        (a_step(ratio="4:1:10%", mixed_with="thinner"), "4 paint : 1 : 10% thinner"),
        (a_step(thin_hundredths=1_250), "thinned by 12.5%"),
        (a_step(), ""),
    ],
)
def test_a_mix_is_said_in_words(step: StepFacts, words: str) -> None:
    assert mix_words(sound_step(step)) == words


@pytest.mark.parametrize("ratio", ["0:0", "1:x", "1:0", "0:4", "1", "1:2:3:4:5", "1,5:2", "1:9999"])
def test_a_ratio_that_is_none_is_refused_at_its_field(ratio: str) -> None:
    with pytest.raises(RuleError) as refused:
        sound_step(a_step(Task.WASH, ratio=ratio))
    assert refused.value.field == "ratio"


@pytest.mark.parametrize(
    ("facts", "field"),
    [
        ({"coats": -1}, "coats"),
        ({"coats": 0}, "coats"),
        ({"coats": 13}, "coats"),
        ({"colour": "red"}, "colour"),
        ({"recoat": -1}, "recoat"),
        ({"cure": LONGEST_WAIT + 1}, "cure"),
        ({"recoat": 60, "recoat_by": 30}, "recoat_by"),
        ({"active": 0}, "active"),
        ({"thin_hundredths": 10_001}, "thin"),
        ({"note": "x" * 201}, "note"),
    ],
)
def test_what_no_step_can_be_is_refused_at_its_field(facts: dict[str, Any], field: str) -> None:
    with pytest.raises(RuleError) as refused:
        sound_step(a_step(**facts))
    assert refused.value.field == field


def test_a_ratio_is_kept_as_it_is_read_with_water_where_nothing_is_named() -> None:
    kept = sound_step(a_step(Task.WASH, ratio=" 1 : 4 ", colour="#AABBCC"))
    assert (kept.ratio, kept.mixed_with, kept.colour) == ("1:4", "water", "#aabbcc")
    assert sound_step(a_step(mixed_with="water")).mixed_with == ""


def told(before: tuple[StepFacts, ...], after: tuple[StepFacts, ...]) -> list[tuple[str, str]]:
    return [(change.step.words, change.words) for change in edition_changes(before, after)]


def test_an_edition_says_what_changed_came_went_and_moved() -> None:
    clean, paint, wash, wax = two_parts()
    before = (clean, paint, wash, wax)
    assert told(before, before) == []
    three = a_step(part=Part.BODY, coats=3, recoat=DAY)
    assert told(before, (clean, three, wash, wax)) == [
        ("Paint, 3 coats", "step 2 now: coats, dry before the next coat")
    ]
    assert told(before, (clean, wash, wax)) == [("Paint, 2 coats", "step 2 taken out")]
    sand = a_step(Task.SAND, grit=180)
    assert told(before, (clean, sand, paint, wash, wax)) == [("Sand, P180", "new as step 2")]
    assert told((paint, wash, wax), (wash, wax, paint)) == [("Paint, 2 coats", "step 3 now, was 1")]
    assert told((), (clean,)) == [("Clean", "new as step 1")]


def test_a_label_that_cannot_be_is_refused_at_its_field() -> None:
    label = Label(recoat=240, recoat_by=DAY, cure=21 * DAY, spread_hundredths=900)
    assert sound_label(label) == label
    for wrong, field in (
        (Label(recoat=-1), "recoat"),
        (Label(handle=LONGEST_WAIT + 1), "handle"),
        (Label(recoat=DAY, recoat_by=60), "recoat_by"),
        (Label(spread_hundredths=0), "spread"),
        (Label(spread_hundredths=10_001), "spread"),
    ):
        with pytest.raises(RuleError) as refused:
            sound_label(wrong)
        assert refused.value.field == field


def test_how_far_it_goes_is_read_in_the_shops_units() -> None:
    # 100 square feet are 9.290304 m2 and a US quart is 0.946352946 litres.
    assert parse_spread("100", Units.IMPERIAL) == 982
    assert parse_spread("9.8", Units.METRIC) == 980
    assert spread_plain(982, Units.IMPERIAL) == "100"
    assert spread_plain(980, Units.METRIC) == "9.8"
    for typed in ("", "0", "-1", "1,5", "NaN", "about 9", "9" * 50):
        with pytest.raises(RuleError):
            parse_spread(typed, Units.IMPERIAL)


@given(st.integers(min_value=1, max_value=10_000), st.sampled_from(Units))
def test_how_far_it_goes_reads_back_as_it_is_written(hundredths: int, units: Units) -> None:
    assert parse_spread(spread_plain(hundredths, units), units) == hundredths
