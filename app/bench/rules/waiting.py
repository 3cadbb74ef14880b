"""Why a piece is not worked on sooner, where that is certain; nothing where it was only another's turn."""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

from app.bench.rules.board import dry_of
from app.bench.rules.planned import Job, Plan, PlanStep, Window

DRIES: Final = "Nothing can be begun on it until it is dry"
NO_SPELL_BEFORE: Final = "No free spell is long enough for it until then"


@dataclass(frozen=True)
class Waiting:
    """What a piece waits for, in words; `until` is the minute that is meant, which belongs behind them."""

    words: str
    until: int | None = None


def waiting_of(job: Job, made: Plan, windows: Sequence[Window]) -> Waiting | None:
    """What keeps a piece from being worked on; None where nothing certain does.

    A place to dry or a corner is not told: another plan might have kept it free.
    """
    if held := next((step.held_by for step in job.steps if step.held_by), ""):
        return Waiting(held)
    first = next((line for line in made.lines if line.job == job.key and not line.is_fixed), None)
    opening = _opening(job)
    if first is None or not opening or any(step.left_since is not None for step in job.steps):
        return None
    free_from = min(max(0, window.start) for window in windows)
    dry = min(_ready(job, step) for step in opening)
    if dry > free_from:
        return Waiting(DRIES, dry)
    earlier = [window for window in windows if window.end <= first.start]
    shortest = min(step.active for step in opening)
    if earlier and all(window.end - max(0, window.start) < shortest for window in earlier):
        return Waiting(NO_SPELL_BEFORE, first.start)
    return None


def _opening(job: Job) -> list[PlanStep]:
    """The steps that come first of what is not begun."""
    begun = {step.key for step in job.steps if step.started_at is not None}
    return [step for step in job.steps if step.key not in begun and begun.issuperset(step.after)]


def _ready(job: Job, step: PlanStep) -> int:
    return max(step.ready_at, *(dry_of(one) for one in job.steps if one.key in step.after), 0)
