"""The planner beside the best plan there is, proven by the oracle, where pieces are few enough to prove it."""

from dataclasses import replace

import pytest

from app.bench.rules import USUAL_EVALUATIONS, Job, PlanStep, Resources, Window, greedy_plan, plan
from tests.bench.feasible import faults, starts_of, worth
from tests.bench.oracle import best_plan
from tests.builders.evenings import WORKSHOP, evenings, pieces

WEEKS = 5
MOST_MEAN_EXCESS = 1.5
"""Percent; a plan without a search is well above it, as is shown and held beside it."""
FAMILY = [
    (count, seed, colours)
    for count, seeds in ((2, 4), (3, 4), (4, 3), (5, 2))
    for seed in range(seeds)
    for colours in (0, 2)
]


def excess(jobs: tuple[Job, ...], windows: tuple[Window, ...], resources: Resources) -> float:
    """How much more the planner's plan is worth, in percent of the proven best; both must keep every rule."""
    return both_excesses(jobs, windows, resources)[0]


def both_excesses(jobs: tuple[Job, ...], windows: tuple[Window, ...], resources: Resources) -> tuple[float, float]:
    """The same, and how much more the plan without a search is worth."""
    best = best_plan(jobs, windows, resources)
    found = plan(jobs, windows, resources, evaluations=USUAL_EVALUATIONS, seed=1)
    assert best.is_proven
    assert faults(jobs, windows, resources, best.starts) == []
    assert faults(jobs, windows, resources, starts_of(found)) == []
    assert best.value == worth(jobs, best.starts)
    assert found.left_over == ()
    assert found.value == worth(jobs, starts_of(found)) >= best.value
    greedy = greedy_plan(jobs, windows, resources)
    return 100 * (found.value / best.value - 1), 100 * (greedy.value / best.value - 1)


def test_plans_of_a_few_pieces_are_near_the_proven_best() -> None:
    compared = {one: both_excesses(pieces(*one), evenings(WEEKS), WORKSHOP) for one in FAMILY}
    found = {one: searched for one, (searched, _) in compared.items()}
    mean, unsearched = (sum(column) / len(column) for column in zip(*compared.values(), strict=True))
    said = [f"mean excess over the proven best, {len(found)} shops: {mean:.2f} %, most {max(found.values()):.2f} %"]
    said.append(f"  without a search: mean {unsearched:.2f} %")
    for count in (2, 3, 4, 5):
        some = [part for (pieces_there, _, _), part in found.items() if pieces_there == count]
        said.append(f"  {count} pieces: mean {sum(some) / len(some):.2f} %, most {max(some):.2f} %")
    print("\n".join(said))  # noqa: T201 - the figure is looked at, with -s

    assert mean <= MOST_MEAN_EXCESS < unsearched


def with_begun(jobs: tuple[Job, ...]) -> tuple[Job, ...]:
    """The same pieces, the first with its strip under way, the second with a coat that still dries."""
    first, second = jobs[0].steps, jobs[1].steps
    return (
        replace(jobs[0], steps=(replace(first[0], started_at=-15), *first[1:])),
        replace(jobs[1], steps=(*second[:4], replace(second[4], ready_at=3000), *second[5:])),
        *jobs[2:],
    )


@pytest.mark.parametrize("seed", [1, 2])
def test_the_same_holds_with_steps_begun_and_places_taken(seed: int) -> None:
    resources = Resources(drying_places=2, spray_clear=45, taken_until=(8000, 9000))

    assert excess(with_begun(pieces(3, seed, 1)), evenings(WEEKS), resources) <= 2 * MOST_MEAN_EXCESS


def test_one_colour_for_all_is_worth_as_much_to_both() -> None:
    coat = PlanStep("coat", "Coat", 30, sprays=True)
    fit = PlanStep("fit", "Fit", 15, after=("coat",))
    one_colour = tuple(
        Job(f"{n}", f"{n}", 100, (replace(coat, colour="red"), replace(fit, active=30))) for n in range(4)
    )
    many = tuple(
        replace(job, steps=(replace(job.steps[0], colour=f"{n}"), job.steps[1])) for n, job in enumerate(one_colour)
    )
    windows = (Window(0, 240), Window(300, 420))

    assert excess(one_colour, windows, WORKSHOP) == 0
    assert excess(many, windows, WORKSHOP) == 0
    assert best_plan(one_colour, windows, WORKSHOP).value <= best_plan(many, windows, WORKSHOP).value
