"""The steps of finishes in hand: what is begun, what may begin now, and what dries until when."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import datetime, timedelta

from sqlalchemy.orm import Session

from app.recipes.queries import (
    FinishSheet,
    FinishStepRow,
    KnownAmounts,
    LearnedMinutes,
    WorkedSoFar,
    finishes_drying,
    known_amounts,
    learned_minutes,
    worked_so_far,
)
from app.recipes.rules import Amount, Estimate, FinishState, MinutesFrom, StepState

NOTHING_YET = WorkedSoFar()


@dataclass(frozen=True)
class BenchStep:
    """A step that is begun or may begin now, with what it is going to take.

    `dwell` are the minutes it is left to work, by the step or its label. `closes_at` is the end of the window in which
    its coat goes on without scuffing first; None where it has no end.
    """

    finish: FinishSheet
    step: FinishStepRow
    estimate: Estimate
    amount: Amount | None
    dwell: int | None
    closes_at: datetime | None
    worked: WorkedSoFar

    @property
    def is_guess(self) -> bool:
        """Whether its minutes are a guess."""
        return self.estimate.source is MinutesFrom.GUESS

    @property
    def dwell_until(self) -> datetime | None:
        """Until when it is left to work, once begun; None where it is not left at all."""
        if self.step.started_at is None or not self.dwell:
            return None
        return self.step.started_at + timedelta(minutes=self.dwell)


@dataclass(frozen=True)
class DryingPart:
    """A part on which a coat dries, until when and for how long yet: the step that put it on, and the one that waits.

    `then` is None where nothing waits for it.
    """

    finish: FinishSheet
    step: FinishStepRow
    ready_at: datetime
    minutes_left: int
    then: FinishStepRow | None

    @property
    def ready_for(self) -> str:
        """What it is ready for at that time: the next coat, the next step, or only dry."""
        return self.finish.ready_for(self.step)

    @property
    def words(self) -> str:
        """What it is ready for, and on which part."""
        return f"{self.ready_for}: {self.step.facts.part_words}"


@dataclass(frozen=True)
class StepsInHand:
    """All of it, each list with the oldest piece first; drying by its time. `unwritten` have no step left to tell."""

    begun: tuple[BenchStep, ...]
    ready: tuple[BenchStep, ...]
    drying: tuple[DryingPart, ...]
    unwritten: tuple[FinishSheet, ...]


def steps_in_hand(session: Session, finishes: Iterable[FinishSheet], now: datetime) -> StepsInHand:
    """What can be said of the steps of finishes in hand now; the same few queries for any number of them."""
    sheets = list(finishes)
    begun = [(sheet, step) for sheet in sheets for step in sheet.steps if step.state is StepState.STARTED]
    ready = [(sheet, step) for sheet in sheets for step in sheet.steps if may_begin(sheet, step, now)]
    known = _Known(
        learned_minutes(session),
        known_amounts(session, [step for _, step in (*begun, *ready)]),
        worked_so_far(session, sheets),
    )
    drying = [part for sheet in sheets for part in drying_parts(sheet, now)]
    return StepsInHand(
        begun=tuple(known.line(sheet, step) for sheet, step in begun),
        ready=tuple(known.line(sheet, step) for sheet, step in ready),
        drying=tuple(sorted(drying, key=_by_time)),
        unwritten=tuple(each for each in sheets if each.state is FinishState.UNDER_WAY and not steps_left(each)),
    )


def drying_in_hand(session: Session, now: datetime) -> list[DryingPart]:
    """The parts on which a coat still dries, on any piece that is here, by their time."""
    drying = [part for finish in finishes_drying(session, now) for part in drying_parts(finish, now)]
    return sorted(drying, key=_by_time)


def steps_left(finish: FinishSheet) -> list[FinishStepRow]:
    """The steps of a finish that are begun or still to do."""
    return [step for step in finish.steps if not step.is_over]


def drying_parts(finish: FinishSheet, now: datetime) -> list[DryingPart]:
    """The parts of a finish on which a coat still dries, with what waits for it."""
    found = []
    for step in finish.drying(now):
        if step.ready_at is not None:
            left = -((now - step.ready_at) // timedelta(minutes=1))
            found.append(DryingPart(finish, step, step.ready_at, left, finish.after(step)))
    return found


def _by_time(part: DryingPart) -> tuple[datetime, int]:
    return part.ready_at, part.step.id


def may_begin(finish: FinishSheet, step: FinishStepRow, now: datetime) -> bool:
    """Whether a step waits for nothing any more."""
    if not finish.is_next(step):
        return False
    dry = finish.dry_from(step)
    return dry is None or dry <= now


@dataclass(frozen=True)
class _Known:
    minutes: LearnedMinutes
    amounts: KnownAmounts
    worked: Mapping[int, WorkedSoFar]

    def line(self, finish: FinishSheet, step: FinishStepRow) -> BenchStep:
        closing = [before.closes_at for before in finish.before(step) if before.closes_at is not None]
        return BenchStep(
            finish=finish,
            step=step,
            estimate=self.minutes.estimate(step.facts, finish.piece.form, finish.piece.count),
            amount=self.amounts.amount(finish.piece, step),
            dwell=self.amounts.dwell(step),
            closes_at=min(closing, default=None) if step.facts.is_coating else None,
            worked=self.worked.get(step.id, NOTHING_YET),
        )
