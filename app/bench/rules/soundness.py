"""What no plan can be made from: named in plain words before anything is placed."""

from collections import Counter
from collections.abc import Iterable, Sequence
from graphlib import CycleError, TopologicalSorter

from app.bench.rules.planned import CannotPlan, Job, PlanStep, Resources, Window


def require_sound(jobs: Sequence[Job], windows: Sequence[Window], resources: Resources) -> None:
    """Refuse what contradicts itself (CannotPlan): the first thing found, by the names the owner gave."""
    _require_single((job.key for job in jobs), "pieces")
    for job in jobs:
        _require_sound_job(job)
    if min(resources.drying_places, resources.spray_corners) < 0:
        raise CannotPlan("There cannot be fewer than no places to dry and no corners to spray in.")
    if resources.spray_clear < 0:
        raise CannotPlan("The minutes until the spray corner is clear cannot be below zero.")
    for window in windows:
        if window.end < window.start:
            raise CannotPlan("One of your free times ends before it begins.")
    if not any(max(0, window.start) < window.end for window in windows):
        raise CannotPlan("You gave no free time.")


def _require_sound_job(job: Job) -> None:
    if job.weight < 0:
        raise CannotPlan(f"{job.words} cannot bring less than nothing.")
    _require_single((step.key for step in job.steps), f"steps of {job.words}")
    keys = {step.key for step in job.steps}
    for step in job.steps:
        if min(step.active, step.passive) < 0:
            raise CannotPlan(f"“{step.words}” of {job.words} has minutes below zero.")
        if missing := sorted(set(step.after) - keys):
            raise CannotPlan(f"“{step.words}” of {job.words} comes after “{missing[0]}”, and there is no such step.")
    if circle := _going_round(job.steps):
        names = ", ".join(f"“{step.words}”" for step in circle)
        raise CannotPlan(f"In {job.words} these steps would wait for one another: {names}.")


def _require_single(keys: Iterable[str], what: str) -> None:
    twice = [key for key, times in Counter(keys).items() if times > 1]
    if twice:
        raise CannotPlan(f"Two {what} have the same key, “{twice[0]}”.")


def _going_round(steps: Sequence[PlanStep]) -> list[PlanStep]:
    """Steps that wait for one another in a ring; empty where there are none."""
    by_key = {step.key: step for step in steps}
    try:
        TopologicalSorter({step.key: step.after for step in steps}).prepare()
    except CycleError as ring:
        return [by_key[key] for key in ring.args[1][1:]]
    return []
