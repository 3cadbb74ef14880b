"""A step about to begin: what was really done before it, and how long ago."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from app.recipes.rules import Aim, Level, Part, Product, StepFacts, Task, check_leaving, check_start
from tests.recipes.start_cases import LONG_READY, NOW, START_CASES, StartCase, ago
from tests.recipes.steps import PLAIN, clean, clear, dust, hardware, paint, prime, ready, rinse, sand, strip, wax


@pytest.mark.parametrize("case", START_CASES, ids=str)
def test_beginning_a_step_now_breaks_or_keeps_a_rule(case: StartCase) -> None:
    found = check_start(case.done, case.step, case.surface, NOW)
    assert (case.key in {each.rule for each in found}) is case.breaks
    assert {each.place for each in found} <= {None}


def test_a_finish_done_in_its_time_is_never_held_up() -> None:
    planned = [*ready(), prime(), paint(), clear(), wax()]
    done = [ago(step, 240 - 30 * at, ready=24, closes=168) for at, step in enumerate(planned)]
    for at, step in enumerate(planned):
        # Each is held against the moment 30 hours after the one before it.
        before = [ago(each.facts, 30 * (at - place), ready=24, closes=168) for place, each in enumerate(done[:at])]
        assert check_start(before, step, PLAIN, NOW) == []


def test_what_is_still_to_come_is_not_asked_for() -> None:
    assert check_start(LONG_READY, paint(Product.MINERAL_PAINT, coats=1, colour="#22201e"), PLAIN, NOW) == []


def test_a_stop_stands_before_a_warning() -> None:
    done = [*LONG_READY, ago(paint(), 1, ready=4)]
    levels = [each.level for each in check_start(done, paint(Product.OIL_PAINT), PLAIN, NOW)]
    assert levels == [Level.STOP, Level.WARN]


@pytest.mark.parametrize(
    ("wetting", "from_what"),
    [(clean(), "cleaning"), (strip(), "stripping"), (rinse(), "rinsing"), (clean(Aim.BLEACH), "bleaching")],
)
def test_damp_wood_is_said_once_and_from_what(wetting: StepFacts, from_what: str) -> None:
    done = [ago(wetting, 1, ready=24)]
    found = {each.rule: each for each in check_start(done, paint(), PLAIN, NOW)}
    stop = found["damp_under_coat"]
    assert (stop.level, stop.words) == (
        Level.STOP,
        f"The wood is still damp from {from_what}. Let it dry before anything goes on.",
    )
    assert not {"not_dry", "wet_wood"} & set(found)
    (warned,) = [each for each in check_start(done, sand(), PLAIN, NOW) if each.rule == "damp_under_sanding"]
    assert (warned.level, warned.words) == (
        Level.WARN,
        f"The wood is still damp from {from_what}. Sand it when it is dry.",
    )


@pytest.mark.parametrize("then", [dust(), rinse(), hardware(Aim.FIT), StepFacts(Task.TEST), StepFacts(Task.PHOTOGRAPH)])
def test_what_damp_wood_does_not_hurt_waits_for_nothing(then: StepFacts) -> None:
    assert check_start([ago(clean(), 1, ready=24)], then, PLAIN, NOW) == []


def test_a_fresh_film_keeps_a_piece_from_leaving_for_a_week() -> None:
    (found,) = check_leaving([ago(clear(), 24 * 7 - 0.1)], NOW)
    assert (found.rule, found.level, found.place) == ("sticking", Level.WARN, None)
    assert check_leaving([ago(clear(), 24 * 7)], NOW) == []
    assert check_leaving([ago(wax(), 1), ago(paint(part=Part.HARDWARE), 1)], NOW) == []


@given(st.lists(st.tuples(st.sampled_from([*ready(), prime(), paint(), clear(), wax()]), st.floats(0, 2000))))
def test_any_past_is_checked_without_fail_and_always_alike(past: list[tuple[object, float]]) -> None:
    done = [ago(facts, hours, ready=hours / 2) for facts, hours in past]  # type: ignore[arg-type]
    found = check_start(done, paint(), PLAIN, NOW)
    assert found == check_start(done, paint(), PLAIN, NOW)
    assert len({each.rule for each in found}) == len(found)
