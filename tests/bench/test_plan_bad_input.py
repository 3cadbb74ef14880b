"""What no plan can be made from is refused in words, and what has no place says why it has none."""

import pytest
from hypothesis import given

from app.bench.rules import CannotPlan, Job, LeftOver, Plan, PlanStep, Resources, Window, plan
from tests.bench.feasible import faults, muddles, starts_of
from tests.bench.shops import Shop, shops
from tests.builders.evenings import WORKSHOP, evenings, pieces

HOUR = 60
SAND = PlanStep("sand", "Sand", 30)
OPEN = (Window(0, 300),)


def chest(*steps: PlanStep, weight: int = 100) -> Job:
    return Job("chest", "Oak chest", weight, steps)


def planned(*jobs: Job, windows: tuple[Window, ...] = OPEN, resources: Resources = WORKSHOP) -> Plan:
    found = plan(jobs, windows, resources, evaluations=50, seed=1)
    assert faults(jobs, windows, resources, starts_of(found)) == []
    assert muddles(jobs, found) == []
    return found


@pytest.mark.parametrize(
    "windows",
    [
        pytest.param((), id="none"),
        pytest.param((Window(10, 10), Window(40, 40)), id="of no length"),
        pytest.param((Window(-100, -10), Window(-5, 0)), id="over"),
    ],
)
def test_without_free_time_there_is_no_plan(windows: tuple[Window, ...]) -> None:
    with pytest.raises(CannotPlan, match=r"^You gave no free time\.$"):
        planned(chest(SAND), windows=windows)


@pytest.mark.parametrize(
    ("job", "words"),
    [
        pytest.param(chest(PlanStep("sand", "Sand", -1)), "“Sand” of Oak chest has minutes below zero", id="work"),
        pytest.param(chest(PlanStep("a", "Oil", 5, -1)), "“Oil” of Oak chest has minutes below zero", id="drying"),
        pytest.param(chest(SAND, weight=-1), "Oak chest cannot bring less than nothing", id="weight"),
        pytest.param(chest(SAND, SAND), "Two steps of Oak chest have the same key, “sand”", id="doubled step"),
        pytest.param(
            chest(PlanStep("sand", "Sand", 5, after=("strip",))),
            "“Sand” of Oak chest comes after “strip”, and there is no such step",
            id="after nothing",
        ),
        pytest.param(
            chest(PlanStep("sand", "Sand", 5, after=("sand",))),
            "In Oak chest these steps would wait for one another: “Sand”",
            id="after itself",
        ),
    ],
)
def test_what_contradicts_itself_is_refused(job: Job, words: str) -> None:
    with pytest.raises(CannotPlan) as refused:
        planned(job)

    assert words in refused.value.message


def test_steps_in_a_ring_are_named_and_no_others() -> None:
    ring = chest(
        PlanStep("a", "Strip", 5, after=("c",)),
        PlanStep("b", "Sand", 5, after=("a",)),
        PlanStep("c", "Prime", 5, after=("b",)),
        PlanStep("d", "Coat", 5, after=("c",)),
        PlanStep("e", "Repair", 5),
    )
    with pytest.raises(CannotPlan) as refused:
        planned(ring)

    assert {word for word in ("Strip", "Sand", "Prime", "Coat", "Repair") if word in refused.value.message} == {
        "Strip",
        "Sand",
        "Prime",
    }


def test_two_pieces_with_one_key_are_refused() -> None:
    with pytest.raises(CannotPlan, match="Two pieces have the same key, “chest”"):
        planned(chest(SAND), chest(SAND))


@pytest.mark.parametrize(
    "resources",
    [Resources(drying_places=-1), Resources(spray_corners=-1), Resources(spray_clear=-1)],
)
def test_a_workshop_has_no_less_than_nothing(resources: Resources) -> None:
    with pytest.raises(CannotPlan):
        planned(chest(SAND), resources=resources)


def test_a_window_that_ends_before_it_begins_is_refused() -> None:
    with pytest.raises(CannotPlan, match="ends before it begins"):
        planned(chest(SAND), windows=(Window(0, 100), Window(50, 40)))


def test_a_step_too_long_for_any_window_is_left_over_with_what_follows() -> None:
    job = chest(
        PlanStep("strip", "Strip", 400),
        PlanStep("prime", "Prime", 20, after=("sand",)),
        PlanStep("sand", "Sand", 30, after=("strip",)),
        PlanStep("knobs", "Polish the knobs", 30),
    )
    found = planned(job, windows=(Window(0, 100), Window(100, 150), Window(400, 500)))

    assert [(line.step, line.start) for line in found.lines] == [("knobs", 0)]
    assert {one.step: one.why for one in found.left_over} == {
        "strip": "It takes 6 h 40 min and your longest free spell is 2 h 30 min. It can be split into shorter steps.",
        "sand": "It comes after “Strip”, which is left over.",
        "prime": "It comes after “Sand”, which is left over.",
    }
    assert found.done_at == {"chest": None}


def test_what_followed_a_long_step_that_began_is_not_left_over() -> None:
    job = chest(PlanStep("strip", "Strip", 400, started_at=-390), PlanStep("sand", "Sand", 30, after=("strip",)))

    assert planned(job).left_over == ()


def test_a_piece_without_steps_is_left_over_and_stops_no_other() -> None:
    found = planned(chest(), Job("stool", "Stool", 5, (SAND,)))

    assert found.left_over == (LeftOver("chest", "", "No steps are written down for it."),)
    assert found.done_at == {"chest": None, "stool": 30}


def test_without_places_what_needs_one_is_left_over() -> None:
    found = planned(chest(PlanStep("coat", "Coat", 30, takes_place=True)), resources=Resources(drying_places=0))

    assert [one.why for one in found.left_over] == ["It needs a place to dry and you have none."]


def test_without_a_corner_what_is_sprayed_is_left_over() -> None:
    found = planned(chest(PlanStep("coat", "Coat", 30, sprays=True)), resources=Resources(spray_corners=0))

    assert [one.why for one in found.left_over] == ["It is sprayed and you have no corner to spray in."]


def test_a_place_that_is_never_free_in_time_is_said() -> None:
    found = planned(
        chest(PlanStep("coat", "Coat", 30, takes_place=True)),
        resources=Resources(drying_places=1, taken_until=(290,)),
    )

    assert [one.why for one in found.left_over] == ["No place to dry is free for it while you have time."]


def test_a_corner_that_is_never_clear_in_time_is_said() -> None:
    jobs = [Job(key, key, 1, (PlanStep("coat", "Coat", 30, sprays=True),)) for key in "ab"]
    found = planned(*jobs, windows=(Window(0, 80),))

    assert [one.why for one in found.left_over] == ["No corner to spray in is free for it while you have time."]


def test_a_step_that_is_dry_too_late_is_said() -> None:
    found = planned(chest(PlanStep("coat", "Coat", 30, 12 * HOUR), PlanStep("fit", "Fit", 30, after=("coat",))))

    assert [one.why for one in found.left_over] == [
        "It can begin in about 12 h 30 min at the earliest; after that no free spell is long enough."
    ]


def test_a_step_whose_turn_never_comes_is_said() -> None:
    found = planned(chest(SAND), Job("stool", "Stool", 1, (SAND,)), windows=(Window(0, 50),))

    assert [(one.job, one.why) for one in found.left_over] == [
        ("stool", "Other work takes your free time before its turn comes.")
    ]


def test_a_step_that_began_and_fills_all_free_time_leaves_none() -> None:
    found = planned(chest(PlanStep("strip", "Strip", 900, started_at=-10)), Job("stool", "Stool", 1, (SAND,)))

    assert [one.why[:29] for one in found.left_over] == ["It takes 30 min and your long"]


@given(shop=shops())
def test_every_left_over_step_says_something_true_of_its_kind(shop: Shop) -> None:
    found = plan(shop.jobs, shop.windows, shop.resources, evaluations=10, seed=1)
    steps = {(job.key, step.key): step for job in shop.jobs for step in job.steps}
    gone = {(one.job, one.step) for one in found.left_over}
    for one in found.left_over:
        if not one.step:
            assert not next(job for job in shop.jobs if job.key == one.job).steps
            continue
        step = steps[one.job, one.step]
        waits = [name for name in step.after if (one.job, name) in gone]
        if "comes after" in one.why:
            assert any(f"“{steps[one.job, name].words}”" in one.why for name in waits)
        elif "longest free spell" not in one.why and "you have no" not in one.why:
            assert not waits
        if "place to dry" in one.why:
            assert step.takes_place
        if "corner" in one.why:
            assert step.sprays


def test_five_hundred_pieces_get_fewer_plans() -> None:
    jobs, windows = pieces(500, seed=1), evenings(30)
    found = plan(jobs, windows, WORKSHOP, evaluations=2500, seed=1)

    assert found.evaluations == 125
    assert muddles(jobs, found) == []
    assert len(found.lines) + len(found.left_over) == 3500
