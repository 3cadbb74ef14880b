"""The pieces with a finish under way as the planner takes them: steps with their minutes, drying and what they need."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import datetime, timedelta
from typing import Final

from sqlalchemy.orm import Session

from app.bench.queries.steps import NOTHING_YET, drying_parts, steps_left
from app.bench.rules import Brings, Job, PlanStep, minute_of, to_mark
from app.pieces.queries import PieceRow
from app.recipes.queries import (
    FinishSheet,
    FinishStepRow,
    KnownAmounts,
    LearnedMinutes,
    WorkedSoFar,
    known_amounts,
    learned_minutes,
    surfaces_of,
    worked_so_far,
)
from app.recipes.rules import Estimate, StepState, Task
from app.timelog.rules import minutes_run

LEAST_LEFT = 5
"""Minutes that a begun step still takes at least, however long it was worked on."""
MINUTE = timedelta(minutes=1)
BEFORE_ALL: Final = -1
WAITS_FOR_LEAD_TEST: Final = "It waits for the result of the lead test."


@dataclass(frozen=True)
class StepToDo:
    """A step that is left of a finish, with its estimate of minutes, and how the planner takes it."""

    finish: FinishSheet
    step: FinishStepRow
    estimate: Estimate
    plan_step: PlanStep


@dataclass(frozen=True)
class PieceToDo:
    """A piece with the steps that are left of all its finishes, and what it brings."""

    piece: PieceRow
    brings: Brings
    steps: tuple[StepToDo, ...]

    @property
    def is_begun(self) -> bool:
        """Whether a step of it is being worked on."""
        return any(each.step.state is StepState.STARTED for each in self.steps)

    @property
    def job(self) -> Job:
        """As the planner takes it: by its tag, since its name stands beside every line."""
        return Job(str(self.piece.id), self.piece.tag, self.brings.cents, tuple(each.plan_step for each in self.steps))


def pieces_to_do(
    session: Session, finishes: Iterable[FinishSheet], brings: Mapping[int, Brings], zero: datetime
) -> list[PieceToDo]:
    """Each piece of which a step is left; `zero` is the planner's own. The same few queries for any number."""
    sheets = [each for each in finishes if steps_left(each)]
    left = [step for each in sheets for step in steps_left(each)]
    reading = _Reading(
        minutes=learned_minutes(session),
        amounts=known_amounts(session, left),
        worked=worked_so_far(session, sheets),
        held=_held(session, sheets),
        zero=zero,
    )
    by_piece: dict[int, list[FinishSheet]] = {}
    for each in sheets:
        by_piece.setdefault(each.piece.id, []).append(each)
    return [
        PieceToDo(
            piece=of_piece[0].piece,
            brings=brings[piece_id],
            steps=tuple(reading.step(each, step) for each in of_piece for step in steps_left(each)),
        )
        for piece_id, of_piece in by_piece.items()
    ]


def places_taken(finishes: Iterable[FinishSheet], zero: datetime) -> tuple[int, ...]:
    """The minutes until which coats that dry now hold their places."""
    parts = (part for each in finishes for part in drying_parts(each, zero))
    return tuple(minute_of(part.ready_at, zero) for part in parts if part.step.facts.is_coating)


def _held(session: Session, sheets: Iterable[FinishSheet]) -> frozenset[int]:
    """The steps that wait for the result of a test for lead, by their number.

    These are all that come after the test in its finish, and other finishes of the piece but for their own tests.
    """
    tests = {each.id: at for each in sheets if (at := _place_of_test(each)) is not None}
    surfaces = surfaces_of(session, {each.piece.id for each in sheets if each.id in tests})
    untested = {piece_id for piece_id, row in surfaces.items() if row.surface.is_lead_untested}
    return frozenset(
        step.id
        for each in sheets
        if each.piece.id in untested
        for step in each.steps
        if step.facts.task is not Task.TEST and step.position > tests.get(each.id, BEFORE_ALL)
    )


def _place_of_test(finish: FinishSheet) -> int | None:
    """The place of the first test for lead in a finish that is not left out."""
    tests = (step for step in finish.steps if step.facts.task is Task.TEST)
    return next((step.position for step in tests if step.state is not StepState.LEFT_OUT), None)


@dataclass(frozen=True)
class _Reading:
    minutes: LearnedMinutes
    amounts: KnownAmounts
    worked: Mapping[int, WorkedSoFar]
    held: frozenset[int]
    zero: datetime

    def step(self, finish: FinishSheet, step: FinishStepRow) -> StepToDo:
        facts = step.facts
        estimate = self.minutes.estimate(facts, finish.piece.form, finish.piece.count)
        is_begun = step.state is StepState.STARTED
        planned = self._begun(step, estimate) if is_begun else self._waiting(finish, step, estimate)
        return StepToDo(finish, step, estimate, planned)

    def _waiting(self, finish: FinishSheet, step: FinishStepRow, estimate: Estimate) -> PlanStep:
        before = finish.before(step)
        ready = [each.ready_at for each in before if each.state is StepState.DONE and each.ready_at is not None]
        return self._plan_step(
            step,
            active=estimate.minutes,
            passive=(self.amounts.dwell(step) or 0) + step.drying.recoat,
            after=tuple(str(each.id) for each in before if not each.is_over),
            ready_at=self._minute(max(ready, default=self.zero)),
        )

    def _begun(self, step: FinishStepRow, estimate: Estimate) -> PlanStep:
        """A begun step goes on now where the clock runs for it; otherwise in free time, once it was left to work."""
        worked = self.worked.get(step.id, NOTHING_YET)
        begun = step.started_at or self.zero
        dwells = self._minute(begun + MINUTE * (self.amounts.dwell(step) or 0))
        if worked.runs_since is None:
            left = max(estimate.minutes - worked.logged, LEAST_LEFT)
            since = min(0, (begun - self.zero) // MINUTE)
            return self._plan_step(step, active=left, passive=step.drying.recoat, left_since=since, ready_at=dwells)
        so_far = to_mark(worked.logged + minutes_run(worked.runs_since, self.zero))
        left = to_mark(max(estimate.minutes - so_far, LEAST_LEFT))
        passive = max(dwells - left, 0) + step.drying.recoat
        return self._plan_step(step, active=so_far + left, passive=passive, started_at=-so_far)

    def _plan_step(
        self,
        step: FinishStepRow,
        *,
        active: int,
        passive: int,
        after: tuple[str, ...] = (),
        started_at: int | None = None,
        left_since: int | None = None,
        ready_at: int = 0,
    ) -> PlanStep:
        facts = step.facts
        material = facts.material_id or ""
        return PlanStep(
            key=str(step.id),
            words=step_words(step),
            active=to_mark(active),
            passive=to_mark(passive),
            after=after,
            sprays=facts.sprays,
            takes_place=facts.is_coating,
            colour=f"{material} {step.colour or ''}".strip(),
            started_at=started_at,
            left_since=left_since,
            ready_at=ready_at,
            held_by=WAITS_FOR_LEAD_TEST if started_at is None and step.id in self.held else "",
        )

    def _minute(self, instant: datetime) -> int:
        return max(0, minute_of(instant, self.zero))


def step_words(step: FinishStepRow) -> str:
    """What is done, and to which part where it is not all of the piece."""
    return step.words if step.part.value == "whole" else f"{step.words}, {step.facts.part_words.lower()}"
