"""Read how long steps took before, from the owner's own log."""

from collections import defaultdict
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from typing import TypeAlias

from sqlalchemy import func, select
from sqlalchemy.orm import Session

from app.pieces.models import Piece
from app.pieces.rules import Form
from app.recipes.models import Finish, FinishStep, StepTime
from app.recipes.rules import ENOUGH_LOGGED, Aim, Estimate, MinutesFrom, StepFacts, StepState, Task, estimate
from app.timelog.models import TimeEntry

Work: TypeAlias = tuple[Task, Aim | None]
"""A sort of work: taking dust off is no degreasing, though both are cleaning."""


@dataclass(frozen=True)
class LearnedMinutes:
    """The minutes logged for one thing, for each sort of work: on each form of piece, and on all."""

    by_form: Mapping[tuple[Work, Form], Sequence[int]]
    by_work: Mapping[Work, Sequence[int]]

    def estimate(self, step: StepFacts, form: Form | None = None, count: int = 1) -> Estimate:
        """How long a step takes on `count` things: from times on the same form, else on any, else as written."""
        work = step.task, step.aim
        same_form = self.by_form.get((work, form), ()) if form else ()
        logged = same_form if len(same_form) >= ENOUGH_LOGGED else self.by_work.get(work, ())
        known = estimate(step.task, step.active, logged)
        return replace(known, minutes=known.minutes * count) if known.source is MinutesFrom.LOG else known


def learned_minutes(session: Session) -> LearnedMinutes:
    """The minutes of every step done and timed, shared over the things of a set; one query."""
    worked = func.sum(TimeEntry.minutes)
    query = (
        select(FinishStep.task, FinishStep.aim, Piece.form, Piece.count, worked)
        .join(StepTime, StepTime.step_id == FinishStep.id)
        .join(TimeEntry, TimeEntry.id == StepTime.time_entry_id)
        .join(Finish, Finish.id == FinishStep.finish_id)
        .join(Piece, Piece.id == Finish.piece_id)
        .where(FinishStep.state == StepState.DONE, TimeEntry.struck_at.is_(None))
        .group_by(FinishStep.id, FinishStep.task, FinishStep.aim, Piece.form, Piece.count)
    )
    by_form: dict[tuple[Work, Form], list[int]] = defaultdict(list)
    by_work: dict[Work, list[int]] = defaultdict(list)
    for task, aim, form, count, minutes in session.execute(query):
        each = max(round(int(minutes) / count), 1)
        by_form[(task, aim), form].append(each)
        by_work[task, aim].append(each)
    return LearnedMinutes(by_form, by_work)
