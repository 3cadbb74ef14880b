"""The order of steps: every rule is broken by one list and kept by another, and what is sound stays clean."""

from collections.abc import Sequence

import pytest
from hypothesis import given
from hypothesis import strategies as st

from app.pieces.rules import Age
from app.recipes.rules import (
    NOT_LOOKED_OVER,
    ORDER_RULES,
    PRODUCTS,
    TASK_AIMS,
    Aim,
    GritScale,
    Label,
    LeadTest,
    Level,
    OldFinish,
    Part,
    Product,
    StepFacts,
    Surface,
    Task,
    Way,
    check_order,
    products_for,
    sound_step,
)
from tests.recipes.order_cases import CASES, Case
from tests.recipes.sound_recipes import MISTAKES, SOUND
from tests.recipes.start_cases import START_CASES
from tests.recipes.steps import PLAIN, clean, clear, dust, paint, prime, ready, sand

BROKEN_LEVELS = {Level.STOP, Level.WARN}


def keys(case: Case) -> set[str]:
    return {finding.rule for finding in check_order(case.steps, case.surface, labels=case.labels)}


@pytest.mark.parametrize("case", CASES, ids=str)
def test_a_list_of_steps_breaks_or_keeps_a_rule(case: Case) -> None:
    assert (case.key in keys(case)) is case.breaks


def test_every_rule_is_broken_by_one_case_and_kept_by_another() -> None:
    broken = {case.key for case in CASES if case.breaks} | {case.key for case in START_CASES if case.breaks}
    kept = {case.key for case in CASES if not case.breaks} | {case.key for case in START_CASES if not case.breaks}
    assert broken == kept == set(ORDER_RULES)


@pytest.mark.parametrize("key", ORDER_RULES)
def test_every_rule_says_what_to_do_why_and_where_it_was_read(key: str) -> None:
    rule = ORDER_RULES[key]
    assert rule.key == key
    assert rule.level in Level
    for words in (rule.words, rule.reason):
        assert words[0].isupper()
        assert words.endswith(".")
    assert rule.source
    # An overruled rule is written down by its key, in a column of 40 characters.
    assert len(key) <= 40


def test_no_source_names_an_address() -> None:
    assert [rule.key for rule in ORDER_RULES.values() if "http" in rule.source or "www" in rule.source] == []


@pytest.mark.parametrize(("steps", "surface"), SOUND.values(), ids=SOUND)
def test_a_sound_recipe_is_neither_stopped_nor_warned_of(steps: Sequence[StepFacts], surface: Surface) -> None:
    for step in steps:
        sound_step(step)
    assert [found for found in check_order(steps, surface) if found.level in BROKEN_LEVELS] == []


@pytest.mark.parametrize(("key", "steps", "surface"), MISTAKES.values(), ids=MISTAKES)
def test_a_usual_mistake_is_found_and_nothing_worse_is_made_of_it(
    key: str, steps: Sequence[StepFacts], surface: Surface
) -> None:
    found = [finding.rule for finding in check_order(steps, surface) if finding.level in BROKEN_LEVELS]
    assert found == [key]


def test_the_plain_recipe_of_the_trade_says_nothing_at_all_on_a_new_dark_piece() -> None:
    steps = [clean(), sand(180), dust(), prime(), paint(), clear()]
    assert check_order(steps, PLAIN) == []


def test_findings_stand_by_place_and_the_most_serious_first() -> None:
    steps = [sand(80), paint(coats=1), sand(80), paint(Product.OIL_PAINT)]
    found = check_order(steps, NOT_LOOKED_OVER)
    order = list(Level)
    ranks = [(finding.place if finding.place is not None else -1, order.index(finding.level)) for finding in found]
    assert ranks == sorted(ranks)
    assert (found[0].rule, found[0].place, found[0].level) == ("lead_untested", 0, Level.STOP)


def test_the_lead_rule_defers_to_a_laboratory_and_says_what_a_kit_does_not_prove() -> None:
    (found,) = [each for each in check_order(ready(), Surface(age=Age.UNKNOWN)) if each.rule == "lead_untested"]
    assert "kit does not prove" in found.reason
    assert "laboratory" in found.reason


def test_one_untested_finish_is_stopped_once() -> None:
    steps = [*ready(), sand(220), dust(), paint(), sand(320), dust(), paint()]
    stops = [each.place for each in check_order(steps, NOT_LOOKED_OVER) if each.level is Level.STOP]
    assert stops == [1]


def test_what_only_a_label_tells_is_counted() -> None:
    labels = {3: Label(Product.OIL_VARNISH), 4: Label(Product.SHELLAC)}
    steps = [*ready(), StepFacts(Task.SEAL, material_id=4), StepFacts(Task.CLEAR_COAT, material_id=3)]
    assert "waxed_shellac" in {each.rule for each in check_order(steps, PLAIN, labels=labels)}
    assert "waxed_shellac" not in {each.rule for each in check_order(steps, PLAIN)}


TIMES = st.none() | st.integers(0, 10_000)
COLOURS = st.none() | st.integers(0, 0xFFFFFF).map(lambda number: f"#{number:06x}")


@st.composite
def any_step(draw: st.DrawFn) -> StepFacts:
    task = draw(st.sampled_from(Task))
    fitting = products_for(task)
    recoat = draw(TIMES)
    return sound_step(
        StepFacts(
            task,
            part=draw(st.sampled_from(Part)),
            aim=draw(st.none() | st.sampled_from(TASK_AIMS[task])) if task in TASK_AIMS else None,
            product=draw(st.none() | st.sampled_from(fitting)) if fitting else None,
            material_id=draw(st.none() | st.integers(1, 3)),
            colour=draw(COLOURS),
            ratio=draw(st.sampled_from(["", "1:4"])),
            grit=draw(st.none() | st.integers(12, 5000)),
            grit_scale=draw(st.sampled_from(GritScale)),
            coats=draw(st.integers(1, 12)),
            way=draw(st.none() | st.sampled_from(Way)),
            dwell=draw(TIMES),
            recoat=recoat,
            cure=draw(TIMES),
            note=draw(st.sampled_from(["", "steel wool"])),
        )
    )


ANY_SURFACE = st.builds(
    Surface,
    old_finish=st.sampled_from(OldFinish),
    is_glossy=st.booleans(),
    is_stained=st.booleans(),
    has_knots=st.booleans(),
    has_water_marks=st.booleans(),
    has_odour=st.booleans(),
    has_polish=st.booleans(),
    has_live_insects=st.booleans(),
    is_damp=st.booleans(),
    lead_test=st.sampled_from(LeadTest),
    age=st.sampled_from(Age),
    woods=st.sampled_from(["", "oak", "pine", "Nussbaum"]),
)
LABELS = st.dictionaries(
    st.integers(1, 3), st.builds(Label, st.none() | st.sampled_from(Product), recoat=TIMES, cure=TIMES, dwell=TIMES)
)


@given(st.lists(any_step(), max_size=12), ANY_SURFACE, LABELS)
def test_any_steps_are_checked_without_fail_and_always_alike(
    steps: list[StepFacts], surface: Surface, labels: dict[int, Label]
) -> None:
    found = check_order(steps, surface, labels=labels)
    assert found == check_order(steps, surface, labels=labels)
    assert len({(each.rule, each.place) for each in found}) == len(found)
    places = [each.place for each in found if each.place is not None]
    assert places == sorted(places)
    assert all(0 <= place < len(steps) for place in places)
    assert {each.rule for each in found} <= set(ORDER_RULES)


@given(st.lists(any_step(), min_size=1, max_size=8), ANY_SURFACE)
def test_steps_on_two_parts_that_do_not_meet_are_checked_as_if_alone(steps: list[StepFacts], surface: Surface) -> None:
    top = [StepFacts(each.task, Part.TOP, each.aim, each.product, coats=each.coats, grit=each.grit) for each in steps]
    legs = [clean(part=Part.LEGS), sand(part=Part.LEGS), dust(part=Part.LEGS), paint(part=Part.LEGS)]
    alone = {(each.rule, each.place) for each in check_order(top, surface)}
    together = {
        (each.rule, each.place)
        for each in check_order([*top, *legs], surface)
        if each.place is not None and each.place < len(top)
    }
    # Work on hardware is done to the whole piece, and a smell lives in all of it.
    beyond = {"hardware_off_late", "hardware_on_early", "odour"}
    assert {each for each in alone ^ together if each[0] not in beyond} == set()


def test_each_product_stands_in_some_case_or_sound_recipe() -> None:
    used = {step.product for case in CASES for step in case.steps}
    used |= {step.product for steps, _surface in SOUND.values() for step in steps}
    assert set(PRODUCTS) - used <= {Product.GLUE, Product.FILLER, Product.WATERBORNE_SEALER, Product.OIL_GLAZE}
    assert Aim.BOND in {step.aim for case in CASES for step in case.steps}
