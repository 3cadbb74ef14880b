"""What keeps a piece waiting is said only where it is certain, whatever else had been planned."""

from hypothesis import given

from app.bench.rules import Job, PlanStep, Resources, Waiting, Window, plan, waiting_of
from tests.bench.feasible import faults
from tests.bench.shops import Shop, shops

MOST = Resources(drying_places=99, spray_corners=9, spray_clear=0)
HOUR = 60


def waiting(job: Job, *windows: Window) -> Waiting | None:
    return waiting_of(job, plan([job], windows, MOST, evaluations=1, seed=1), windows)


def one(*steps: PlanStep) -> Job:
    return Job("A", "A", 100, steps)


def could_begin_before(shop: Shop, job: Job, until: int) -> bool:
    """Whether any step of it could be begun before a minute, with the whole workshop to itself."""
    fixed = {(job.key, step.key): step.started_at for step in job.steps if step.started_at is not None}
    return any(
        not faults([job], shop.windows, MOST, {**fixed, (job.key, step.key): minute})
        for step in job.steps
        if step.started_at is None
        for window in shop.windows
        for minute in range(max(0, window.start), min(until, window.end))
    )


@given(shop=shops())
def test_what_a_piece_waits_for_is_true_whatever_was_planned(shop: Shop) -> None:
    made = plan(shop.jobs, shop.windows, shop.resources, evaluations=5, seed=1)
    for job in shop.jobs:
        found = waiting_of(job, made, shop.windows)
        if found is None:
            continue
        if found.until is None:
            assert found.words in {step.held_by for step in job.steps if step.held_by}
        else:
            assert not could_begin_before(shop, job, found.until)


def test_a_wet_piece_says_until_when_it_dries() -> None:
    found = waiting(one(PlanStep("coat", "Coat", 30, ready_at=5 * HOUR)), Window(0, 2 * HOUR), Window(600, 700))

    assert found == Waiting("Nothing can be begun on it until it is dry", 5 * HOUR)


def test_a_long_step_says_that_no_spell_before_is_long_enough() -> None:
    found = waiting(one(PlanStep("sand", "Sand", 3 * HOUR)), Window(0, 2 * HOUR), Window(600, 900))

    assert found == Waiting("No free spell is long enough for it until then", 600)


def test_a_held_piece_says_what_holds_it_and_another_says_nothing() -> None:
    held = one(PlanStep("test", "Test", 5), PlanStep("sand", "Sand", 60, after=("test",), held_by="It waits."))

    assert waiting(held, Window(0, 600)) == Waiting("It waits.")
    assert waiting(one(PlanStep("sand", "Sand", 60)), Window(0, 600)) is None
