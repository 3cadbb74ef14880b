"""The best plan there is, proven by a constraint solver: what the planner is held against where pieces are few.

The model says what `app.bench.rules` says of steps, windows, corner, colours and places, in the solver's own words and
without any of the planner's code. It may also wait on purpose, which the planner never does. `best_makespan` is the
same model with other machines than one owner, so that a published instance can prove it.
"""

import warnings
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from itertools import combinations

from app.bench.rules import Job, PlanStep, Resources, Window

with warnings.catch_warnings():
    # The solver's own modules warn on import of what they themselves still use.
    warnings.simplefilter("ignore", DeprecationWarning)
    from ortools.sat.python import cp_model

Key = tuple[str, str]
Spells = Sequence[tuple[int, int]]
OWNER = "owner"
WORKERS = 2


class NothingFound(Exception):
    """The solver found no plan in its time, or there is none in which every step has a place."""


@dataclass(frozen=True)
class Best:
    """What the solver found: when each step starts, what that is worth, and whether nothing better exists."""

    starts: Mapping[Key, int]
    value: int
    is_proven: bool


class ShopModel:
    """Tasks on machines: each lies in one of its spells, no two on one machine at once, some after others."""

    def __init__(self, horizon: int) -> None:
        self.model = cp_model.CpModel()
        self.horizon = horizon
        self.starts: dict[Key, cp_model.IntVar] = {}
        self._on_machine: dict[str, list[cp_model.IntervalVar]] = {}

    def add(self, key: Key, minutes: int, machine: str, spells: Spells) -> None:
        """A task that begins and ends within one of the spells."""
        allowed = [[start, end - minutes] for start, end in spells if end - minutes >= start]
        start = self.model.new_int_var_from_domain(cp_model.Domain.from_intervals(allowed), f"start of {key}")
        self.starts[key] = start
        interval = self.model.new_fixed_size_interval_var(start, minutes, f"work on {key}")
        self._on_machine.setdefault(machine, []).append(interval)

    def follow(self, first: Key, then: Key, lag: int) -> None:
        """A task that begins `lag` after another began, or later."""
        self.model.add(self.starts[then] >= self.starts[first] + lag)

    def part(self, one: Key, other: Key, lag_of_one: int, lag_of_other: int) -> None:
        """Whichever of two tasks begins first, the other waits its lag."""
        is_first = self.model.new_bool_var(f"{one} before {other}")
        self.model.add(self.starts[other] >= self.starts[one] + lag_of_one).only_enforce_if(is_first)
        self.model.add(self.starts[one] >= self.starts[other] + lag_of_other).only_enforce_if(~is_first)

    def hold(self, held: Mapping[Key, int], taken_until: Sequence[int], places: int) -> None:
        """Tasks that hold one of so many places from their start on, for so long."""
        intervals = [
            self.model.new_fixed_size_interval_var(self.starts[key], minutes, f"place of {key}")
            for key, minutes in held.items()
        ]
        taken = [
            self.model.new_fixed_size_interval_var(0, until, f"taken {number}")
            for number, until in enumerate(taken_until)
            if until > 0
        ]
        everything = [*intervals, *taken]
        self.model.add_cumulative(everything, [1] * len(everything), places)

    def least(self, ends: Sequence[tuple[Sequence[tuple[Key, int]], int]], seconds: float) -> Best:
        """Make the sum of weighted ends small; each end is the last of its tasks' starts with their lags."""
        for intervals in self._on_machine.values():
            self.model.add_no_overlap(intervals)
        terms = []
        for number, (tasks, weight) in enumerate(ends):
            end = self.model.new_int_var(0, self.horizon, f"end {number}")
            for key, lag in tasks:
                self.model.add(end >= self.starts[key] + lag)
            terms.append(end * weight)
        self.model.minimize(sum(terms))
        solver = cp_model.CpSolver()
        solver.parameters.max_time_in_seconds = seconds
        solver.parameters.num_workers = WORKERS
        status = solver.solve(self.model)
        if status not in {cp_model.OPTIMAL, cp_model.FEASIBLE}:
            raise NothingFound(solver.status_name(status))
        starts = {key: solver.value(start) for key, start in self.starts.items()}
        return Best(starts, round(solver.objective_value), status == cp_model.OPTIMAL)


def best_plan(
    jobs: Sequence[Job], windows: Sequence[Window], resources: Resources, *, grain: int = 15, seconds: float = 60
) -> Best:
    """The plan of least weighted completion in which every step has a place, for one spray corner.

    All minutes are multiples of `grain`. Nothing is left over: raises NothingFound where free time is too short for
    all, or `seconds` for the solver.
    """
    if resources.spray_corners != 1:
        raise ValueError("The model knows one corner.")
    spells = [(max(0, window.start) // grain, window.end // grain) for window in windows]
    steps = {(job.key, step.key): step for job in jobs for step in job.steps}
    dries = {key: (step.active + step.passive) // grain for key, step in steps.items()}
    shop = ShopModel(spells[-1][1] + sum(dries.values()))
    for key, step in steps.items():
        shop.add(key, step.active // grain, OWNER, _spells_of(step, spells, grain))
        if step.started_at is None:
            for first in step.after:
                shop.follow((key[0], first), key, dries[key[0], first])
    clear = resources.spray_clear // grain
    sprayed = [key for key, step in steps.items() if step.sprays]
    for one, other in combinations(sprayed, 2):
        if not steps[one].colour or steps[one].colour != steps[other].colour:
            shop.part(one, other, steps[one].active // grain + clear, steps[other].active // grain + clear)
    held = {key: dries[key] for key, step in steps.items() if step.takes_place}
    shop.hold(held, [until // grain for until in resources.taken_until], resources.drying_places)
    counts = any(job.weight for job in jobs)
    ends = [
        ([((job.key, step.key), dries[job.key, step.key]) for step in job.steps], job.weight if counts else 1)
        for job in jobs
    ]
    found = shop.least(ends, seconds)
    return Best({key: start * grain for key, start in found.starts.items()}, found.value * grain, found.is_proven)


def _spells_of(step: PlanStep, spells: Spells, grain: int) -> Spells:
    if step.started_at is not None:
        return [(step.started_at // grain, (step.started_at + step.active) // grain)]
    ready = step.ready_at // grain
    return [(max(start, ready), end) for start, end in spells if end > ready]


def best_makespan(work: Sequence[Sequence[tuple[int, int]]], *, seconds: float = 60) -> Best:
    """The least time in which jobs, each a row of machine and time in its order, are all done."""
    horizon = sum(minutes for row in work for _, minutes in row)
    shop = ShopModel(horizon)
    last: list[tuple[Key, int]] = []
    for number, row in enumerate(work):
        for place, (machine, minutes) in enumerate(row):
            key = (str(number), str(place))
            shop.add(key, minutes, f"machine {machine}", [(0, horizon)])
            if place:
                shop.follow((str(number), str(place - 1)), key, row[place - 1][1])
            if place == len(row) - 1:
                last.append((key, minutes))
    return shop.least([(last, 1)], seconds)
