"""Print what the planner's search is worth beside one pass of simpler rules and beside a constraint solver.

`python -m tests.benchmarks.plan` takes two to three minutes. For 8, 15 and 25 pieces, five made-up shops each, it
prints the value of each way of planning over that of greedy, below 1 being better: the mean, and the least and most of
the five. The solver gets as many seconds as the search took on the same shop, then a fixed number; it has two threads
where the search has one, and where it finds no plan in its time that is said. Last comes the time of one plan tried in
the search over that of a whole greedy plan, which also reads the pieces and writes the reasons. All figures are of one
run.
"""

import argparse
import sys
import time
from collections.abc import Callable
from dataclasses import dataclass
from statistics import mean

from app.bench.rules import USUAL_EVALUATIONS, Job, Plan, Window, by_value, first_in, greedy_plan, plan
from tests.bench.feasible import faults, starts_of
from tests.bench.oracle import NothingFound, best_plan
from tests.builders.evenings import WORKSHOP, evenings, pieces

SIZES = ((8, 6), (15, 8), (25, 10))
SEEDS = range(1, 6)
TRIALS = 5
SECONDS = 5.0
WAYS = ("search", "by value", "first in", "solver, as long", "solver, longer")
WIDE = 24


@dataclass
class Measured:
    """One shop: the value of each way over greedy's, None where it found no plan, and the two times in milliseconds."""

    ratios: dict[str, float | None]
    evaluation_ms: float
    greedy_ms: float


def main() -> int:
    """Measure every size and print the table; 1 where a plan breaks a rule or the search is worse than greedy."""
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0] if __doc__ else None)
    parser.add_argument("--seconds", type=float, default=SECONDS, help="what the solver gets when it gets longer")
    longer = parser.parse_args().seconds
    print(f"{USUAL_EVALUATIONS} evaluations; value over greedy: mean (least to most) of {len(SEEDS)} shops")
    print(f"the solver gets as long as the search, and {longer:g} s")
    print(f"{'pieces':<8}" + "".join(f"{way:>{WIDE}}" for way in WAYS) + f"{'one evaluation':>{WIDE}}")
    is_wrong = False
    for count, weeks in SIZES:
        shops = [measure(pieces(count, seed), evenings(weeks), longer) for seed in SEEDS]
        cells = [spread([shop.ratios[way] for shop in shops]) for way in WAYS]
        times = mean(shop.evaluation_ms / shop.greedy_ms for shop in shops)
        cells.append(f"{times:.2f} ({mean(shop.evaluation_ms for shop in shops):.2f} ms)")
        print(f"{count:<8}" + "".join(f"{cell:>{WIDE}}" for cell in cells), flush=True)
        is_wrong |= any((shop.ratios["search"] or 0) > 1 for shop in shops)
    return 1 if is_wrong else 0


def measure(jobs: tuple[Job, ...], windows: tuple[Window, ...], longer: float) -> Measured:
    """One shop planned in every way; a plan that breaks a rule is none to be measured (RuntimeError)."""
    greedy, greedy_ms = least(lambda: greedy_plan(jobs, windows, WORKSHOP), TRIALS)
    began = time.perf_counter()
    found, search_ms = least(lambda: plan(jobs, windows, WORKSHOP, evaluations=USUAL_EVALUATIONS, seed=1), 1)
    seconds = time.perf_counter() - began
    others = {"by value": by_value(jobs, windows, WORKSHOP), "first in": first_in(jobs, windows, WORKSHOP)}
    for made in (greedy, found, *others.values()):
        if made.left_over or faults(jobs, windows, WORKSHOP, starts_of(made)):
            raise RuntimeError("a plan breaks a rule or leaves something over")
    values: dict[str, int | None] = {way: made.value for way, made in others.items()}
    values["search"] = found.value
    values |= {way: solved(jobs, windows, limit) for way, limit in zip(WAYS[3:], (seconds, longer), strict=True)}
    ratios = {way: None if value is None else value / greedy.value for way, value in values.items()}
    return Measured(ratios, search_ms / found.evaluations, greedy_ms)


def solved(jobs: tuple[Job, ...], windows: tuple[Window, ...], seconds: float) -> int | None:
    """What the solver's best plan is worth after so many seconds; None where it has none."""
    try:
        return best_plan(jobs, windows, WORKSHOP, seconds=seconds).value
    except NothingFound:
        return None


def least(deed: Callable[[], Plan], trials: int) -> tuple[Plan, float]:
    """A plan, and the least processor time of some trials in milliseconds."""
    times = []
    for _ in range(trials):
        start = time.process_time()
        made = deed()
        times.append((time.process_time() - start) * 1000)
    return made, min(times)


def spread(ratios: list[float | None]) -> str:
    """The mean of some ratios with their ends, and for how many of the shops there is none."""
    known = [ratio for ratio in ratios if ratio is not None]
    missing = f", {len(ratios) - len(known)} without" if len(known) < len(ratios) else ""
    if not known:
        return "none"
    return f"{mean(known):.3f} ({min(known):.3f}-{max(known):.3f}{missing})"


if __name__ == "__main__":
    sys.exit(main())
