"""In which order the steps of a finish are worked, what they wait for, and what is refused."""

from dataclasses import dataclass
from datetime import datetime, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from app.basics.errors import RuleError
from app.recipes.rules import (
    NotNow,
    Part,
    StepFacts,
    StepState,
    Task,
    coats_joined,
    done_instant,
    is_next,
    on_part,
    parts_meet,
    reach,
    ready_from,
    require_air,
    require_in_turn,
    require_ready_at,
    sound_step,
    steps_before,
)
from tests.conftest import NOW


@dataclass(frozen=True)
class Step:
    reach: Part
    state: StepState = StepState.WAITING
    ready_at: datetime | None = None


STEPS = st.lists(st.builds(Step, st.sampled_from(Part), st.sampled_from(StepState)), min_size=1, max_size=12)


def test_a_step_waits_for_the_last_one_on_its_part_only() -> None:
    steps = [Step(Part.WHOLE), Step(Part.BODY), Step(Part.TOP), Step(Part.BODY), Step(Part.TOP), Step(Part.WHOLE)]
    assert [steps_before(steps, place) for place in range(6)] == [[], [0], [0], [1], [2], [3, 4]]


def test_a_step_left_out_is_passed_over() -> None:
    steps = [Step(Part.BODY, StepState.DONE), Step(Part.BODY, StepState.LEFT_OUT), Step(Part.BODY)]
    assert steps_before(steps, 2) == [0]
    assert is_next(steps, 2)


def test_a_whole_step_in_between_stands_for_all_before_it() -> None:
    steps = [Step(Part.TOP), Step(Part.BODY), Step(Part.WHOLE), Step(Part.TOP)]
    assert steps_before(steps, 3) == [2]


def test_what_it_goes_over_is_dry_when_the_last_of_it_is() -> None:
    early, late = NOW, NOW + timedelta(hours=4)
    steps = [
        Step(Part.TOP, StepState.DONE, early),
        Step(Part.BODY, StepState.DONE, late),
        Step(Part.WHOLE),
        Step(Part.LEGS),
    ]
    assert ready_from(steps, 2) == late
    assert ready_from(steps, 3) is None


@given(STEPS)
def test_only_what_stands_before_is_waited_for_and_nothing_twice(steps: list[Step]) -> None:
    for place in range(len(steps)):
        before = steps_before(steps, place)
        assert before == sorted(set(before))
        assert all(each < place and parts_meet(steps[each].reach, steps[place].reach) for each in before)


@given(STEPS)
def test_while_steps_wait_one_of_them_can_be_done_unless_another_is_begun(steps: list[Step]) -> None:
    over = [step for step in steps if step.state is not StepState.STARTED]
    if any(step.state is StepState.WAITING for step in over):
        first = next(place for place, step in enumerate(over) if step.state is StepState.WAITING)
        assert is_next(over, first)


def test_out_of_turn_the_step_before_is_named() -> None:
    steps = [Step(Part.WHOLE), Step(Part.TOP)]
    with pytest.raises(NotNow, match="Before it comes step 1: Sand"):
        require_in_turn(steps, 1, ["Sand", "Paint"])
    require_in_turn(steps, 0, ["Sand", "Paint"])


@pytest.mark.parametrize("part", Part)
def test_a_part_meets_itself_and_all_of_it(part: Part) -> None:
    assert parts_meet(part, part)
    assert parts_meet(part, Part.WHOLE)
    assert parts_meet(Part.WHOLE, part)


def test_halves_meet_the_parts_they_cut_but_not_each_other() -> None:
    assert parts_meet(Part.LEFT_HALF, Part.TOP)
    assert parts_meet(Part.DOORS, Part.RIGHT_HALF)
    assert not parts_meet(Part.LEFT_HALF, Part.RIGHT_HALF)
    assert not parts_meet(Part.TOP, Part.BODY)


@pytest.mark.parametrize(
    ("ended", "started"),
    [(timedelta(minutes=1), None), (timedelta(hours=-2), timedelta(hours=-1)), (timedelta(days=-15), None)],
)
def test_a_step_does_not_end_in_the_future_before_it_began_or_long_ago(
    ended: timedelta, started: timedelta | None
) -> None:
    with pytest.raises(RuleError) as refused:
        done_instant(NOW + ended, None if started is None else NOW + started, NOW)
    assert refused.value.field == "ended"


def test_a_step_may_end_within_the_minute_it_was_begun_in() -> None:
    begun = NOW + timedelta(seconds=40)
    assert done_instant(NOW, begun, NOW + timedelta(seconds=50)) == begun
    assert done_instant(None, begun, NOW + timedelta(minutes=3)) == NOW + timedelta(minutes=3)


@pytest.mark.parametrize(
    ("tenths", "humidity", "field"), [(None, 140, "humidity"), (None, -1, "humidity"), (700, 50, "temperature")]
)
def test_air_nobody_works_in_is_refused_at_its_field(tenths: int | None, humidity: int, field: str) -> None:
    with pytest.raises(RuleError) as refused:
        require_air(tenths, humidity)
    assert refused.value.field == field
    require_air(None, None)
    require_air(200, 55)


def test_a_coat_is_not_dry_before_it_is_on() -> None:
    with pytest.raises(RuleError, match="before the coat was on"):
        require_ready_at(NOW - timedelta(hours=1), NOW, NOW)
    with pytest.raises(RuleError, match="more than a year"):
        require_ready_at(NOW + timedelta(days=400), NOW, NOW)


@pytest.mark.parametrize(
    ("said", "field"),
    [
        ({"coats": -1}, "coats"),
        ({"coats": 0}, "coats"),
        ({"coats": 13}, "coats"),
        ({"ratio": "0:0"}, "ratio"),
        ({"ratio": "one to four"}, "ratio"),
        ({"thin_hundredths": 10_001}, "thin"),
        ({"grit": 3}, "grit"),
        ({"recoat": -5}, "recoat"),
        ({"recoat": 120, "recoat_by": 60}, "recoat_by"),
        ({"active": 0}, "active"),
    ],
)
def test_a_step_that_cannot_be_is_refused_at_its_field(said: dict[str, object], field: str) -> None:
    step = StepFacts(**{"task": Task.SAND if "grit" in said else Task.PAINT, **said})  # type: ignore[arg-type]
    with pytest.raises(RuleError) as refused:
        sound_step(step)
    assert refused.value.field == field


def test_a_ratio_is_kept_as_it_is_written_here_and_mixed_with_water_unless_said() -> None:
    step = sound_step(StepFacts(Task.WASH, ratio=" 1 : 4 "))
    assert (step.ratio, step.mixed_with) == ("1:4", "water")


def test_coats_in_a_row_are_one_step_of_a_recipe_again() -> None:
    one = StepFacts(Task.PAINT, Part.BODY)
    sand = StepFacts(Task.SAND, Part.BODY, grit=220)
    joined = coats_joined([one, one, sand, one, sand, sand])
    assert [(step.task, step.coats) for step in joined] == [
        (Task.PAINT, 2),
        (Task.SAND, 1),
        (Task.PAINT, 1),
        (Task.SAND, 1),
        (Task.SAND, 1),
    ]


def test_a_recipe_for_one_part_goes_on_the_part_chosen_and_one_for_several_only_where_it_says_all() -> None:
    body = [StepFacts(Task.SAND, Part.BODY), StepFacts(Task.PAINT, Part.BODY)]
    assert {step.part for step in on_part(body, Part.LEGS)} == {Part.LEGS}
    mixed = [StepFacts(Task.CLEAN), StepFacts(Task.PAINT, Part.BODY), StepFacts(Task.WAX, Part.TOP)]
    assert [step.part for step in on_part(mixed, Part.LEGS)] == [Part.LEGS, Part.BODY, Part.TOP]


def test_hardware_and_photographs_wait_for_all_of_the_piece() -> None:
    assert reach(Task.HARDWARE, Part.HARDWARE) is Part.WHOLE
    assert reach(Task.PHOTOGRAPH, Part.TOP) is Part.WHOLE
    assert reach(Task.PAINT, Part.TOP) is Part.TOP
