"""The checker of plans finds each thing that can be wrong with one: a check that cannot fail proves nothing."""

import pytest

from app.bench.rules import Job, PlanStep, Resources, Window
from tests.bench.feasible import Key, faults

WINDOWS = (Window(0, 200), Window(300, 500))
RESOURCES = Resources(drying_places=1, spray_corners=1, spray_clear=30, taken_until=(40,))
JOBS = (
    Job(
        "chest",
        "the chest",
        1,
        (
            PlanStep("strip", "Strip", 20, 30),
            PlanStep("coat", "Coat", 20, 40, after=("strip",), sprays=True, takes_place=True, colour="red"),
        ),
    ),
    Job("stool", "the stool", 1, (PlanStep("coat", "Coat", 20, sprays=True, colour="blue", ready_at=10),)),
    Job("tray", "the tray", 1, (PlanStep("oil", "Oil", 20, 40, takes_place=True),)),
    Job("box", "the box", 1, (PlanStep("coat", "Coat", 20, sprays=True, colour="red"),)),
    Job("shelf", "the shelf", 1, (PlanStep("sand", "Sand", 5, started_at=-2),)),
)
SOUND: dict[Key, int] = {
    ("shelf", "sand"): -2,
    ("stool", "coat"): 10,
    ("chest", "strip"): 30,
    ("chest", "coat"): 80,
    ("box", "coat"): 100,
    ("tray", "oil"): 140,
}


def test_a_sound_plan_has_no_faults() -> None:
    assert faults(JOBS, WINDOWS, RESOURCES, SOUND) == []


@pytest.mark.parametrize(
    ("key", "start", "words"),
    [
        pytest.param(("shelf", "sand"), 0, "began at -2", id="a step that began is moved"),
        pytest.param(("tray", "oil"), 181, "outside the free time", id="over the end of a window"),
        pytest.param(("tray", "oil"), 250, "outside the free time", id="between two windows"),
        pytest.param(("tray", "oil"), 119, "at once", id="while the box is sprayed"),
        pytest.param(("stool", "coat"), 2, "at once", id="while a step that began is worked on"),
        pytest.param(("stool", "coat"), 9, "before it is ready", id="too early"),
        pytest.param(("chest", "coat"), 75, "is dry", id="on a wet coat"),
        pytest.param(("tray", "oil"), 120, "places are taken", id="while the one place is held"),
        pytest.param(("box", "coat"), 35, "no corner", id="red too soon after blue"),
        pytest.param(("stool", "coat"), 120, "no corner", id="blue at once after red"),
    ],
)
def test_one_step_out_of_place_is_a_fault(key: Key, start: int, words: str) -> None:
    found = faults(JOBS, WINDOWS, RESOURCES, {**SOUND, key: start})

    assert any(words in fault for fault in found)


def test_a_place_held_from_before_is_held() -> None:
    without_wait = {**SOUND, ("tray", "oil"): 39}
    del without_wait["chest", "coat"]
    del without_wait["chest", "strip"]

    assert faults(JOBS, WINDOWS, RESOURCES, without_wait) == ["2 places are taken at 39 while ('tray', 'oil') dries"]


def test_a_step_whose_first_is_missing_is_a_fault() -> None:
    without_first = dict(SOUND)
    del without_first["chest", "strip"]

    assert any("never is" in fault for fault in faults(JOBS, WINDOWS, RESOURCES, without_first))


def test_two_corners_take_what_one_cannot() -> None:
    starts = {**SOUND, ("stool", "coat"): 120}

    assert faults(JOBS, WINDOWS, Resources(drying_places=2, spray_corners=2), starts) == []
