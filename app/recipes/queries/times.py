"""Read the time worked on steps: what the clock wrote down, what runs now, and how long such steps took before."""

from collections.abc import Collection, Iterable, Mapping
from dataclasses import dataclass
from datetime import datetime

from sqlalchemy import select
from sqlalchemy.orm import Session

from app.recipes.models import Finish, FinishStep, StepTime
from app.recipes.queries.finish_rows import FinishSheet
from app.recipes.rules import TASK_ACTIVITIES, StepState, Task
from app.timelog.models import RunningTimer, TimeEntry


@dataclass(frozen=True)
class WorkedSoFar:
    """What was worked on a step since it was begun: minutes the clock wrote down, and since when it runs for it now."""

    logged: int = 0
    runs_since: datetime | None = None


def clock_on_step(session: Session, step: FinishStep, piece_id: int) -> RunningTimer | None:
    """The running clock, if it runs for this step: on its piece, for its sort of work, since it was begun last."""
    timer = session.scalars(select(RunningTimer)).first()
    begun = {id_: at for id_, task, at in _begun_on(session, piece_id) if _alike(task, step.task)}
    return (
        timer if timer is not None and _is_for(timer, piece_id, step.task) and _its(timer, begun) == step.id else None
    )


def entries_since(session: Session, step: FinishStep, piece_id: int) -> list[TimeEntry]:
    """What the clock wrote down for a step since it was begun and no other step has; none for one not begun."""
    if step.started_at is None:
        return []
    begun = {id_: at for id_, task, at in _begun_on(session, piece_id) if _alike(task, step.task)}
    return [entry for entry in _unlinked(session, {piece_id}, step.task) if _its(entry, begun) == step.id]


def worked_so_far(session: Session, finishes: Iterable[FinishSheet]) -> dict[int, WorkedSoFar]:
    """What was worked on each step that is begun, by its id; two queries for any number of finishes."""
    begun = [(step, each.piece.id) for each in finishes for step in each.steps if step.state is StepState.STARTED]
    timer = session.scalars(select(RunningTimer)).first()
    entries = _unlinked(session, {piece_id for _, piece_id in begun})
    found = {}
    for step, piece_id in begun:
        alike = {
            other.id: other.started_at
            for other, other_piece in begun
            if other_piece == piece_id and _alike(other.facts.task, step.facts.task) and other.started_at
        }
        times = [each for each in entries if _is_for(each, piece_id, step.facts.task) and _its(each, alike) == step.id]
        runs = timer is not None and _is_for(timer, piece_id, step.facts.task) and _its(timer, alike) == step.id
        found[step.id] = WorkedSoFar(sum(each.minutes for each in times), timer.started_at if timer and runs else None)
    return found


def _its(time: TimeEntry | RunningTimer, begun: Mapping[int, datetime]) -> int | None:
    """The step a clock ran for, out of the like ones that are begun: the one begun last before it was started."""
    if time.started_at is None:
        return None
    before = [(at, step_id) for step_id, at in begun.items() if at <= time.started_at]
    return max(before)[1] if before else None


def _is_for(time: TimeEntry | RunningTimer, piece_id: int, task: Task) -> bool:
    return time.piece_id == piece_id and time.activity is TASK_ACTIVITIES[task]


def _alike(one: Task, other: Task) -> bool:
    """Whether the minutes of two tasks are written down under the same activity."""
    return TASK_ACTIVITIES[one] is TASK_ACTIVITIES[other]


def _begun_on(session: Session, piece_id: int) -> list[tuple[int, Task, datetime]]:
    """The steps that are begun on a piece: their numbers, tasks, and since when."""
    query = (
        select(FinishStep.id, FinishStep.task, FinishStep.started_at)
        .join(Finish, Finish.id == FinishStep.finish_id)
        .where(Finish.piece_id == piece_id, FinishStep.state == StepState.STARTED)
    )
    return [(step_id, task, at) for step_id, task, at in session.execute(query) if at is not None]


def _unlinked(session: Session, piece_ids: Collection[int], task: Task | None = None) -> list[TimeEntry]:
    """What counts on pieces and belongs to no step yet."""
    query = (
        select(TimeEntry)
        .outerjoin(StepTime, StepTime.time_entry_id == TimeEntry.id)
        .where(TimeEntry.piece_id.in_(piece_ids), TimeEntry.struck_at.is_(None), StepTime.step_id.is_(None))
        .order_by(TimeEntry.id)
    )
    if task is not None:
        query = query.where(TimeEntry.activity == TASK_ACTIVITIES[task])
    return list(session.scalars(query))
