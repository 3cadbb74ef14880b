"""The plan of the bench for a page: sessions with their lines, when each piece is done, and what is left over."""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta

from sqlalchemy.orm import Session

from app.bench.queries.jobs import PieceToDo, StepToDo, pieces_to_do, places_taken
from app.bench.queries.steps import DryingPart, drying_parts, may_begin
from app.bench.queries.workshop import brings, workshop
from app.bench.rules import (
    MARK,
    USUAL_EVALUATIONS,
    Brings,
    Horizon,
    NothingToPlan,
    Plan,
    PlanLine,
    Resources,
    Window,
    Workshop,
    plan,
    span_words,
    to_mark,
    waiting_of,
    windows_of,
)
from app.pieces.queries import PieceRow
from app.recipes.queries import FinishSheet, FinishStepRow, finishes_in_hand
from app.recipes.rules import Estimate, MinutesFrom

MOST_PLANNED = 40
"""So many pieces are planned at once: those that bring most."""
SEED = 1


@dataclass(frozen=True)
class PlanRow:
    """One step in the plan: worked on from `start` to `end`, dry at `dry_at`; why there, in one sentence.

    `may_begin` says that it waits for nothing even now, `scuff_first` that the window for its coat is over by then.
    """

    start: datetime
    end: datetime
    dry_at: datetime
    finish: FinishSheet
    step: FinishStepRow
    estimate: Estimate
    reason: str
    is_fixed: bool
    may_begin: bool
    scuff_first: bool

    @property
    def piece(self) -> PieceRow:
        """The piece it is done to."""
        return self.finish.piece

    @property
    def minutes(self) -> int:
        """How long it is worked on."""
        return (self.end - self.start) // timedelta(minutes=1)

    @property
    def work_words(self) -> str:
        """How long it is worked on, as a plan says it."""
        return span_words(self.minutes)

    @property
    def is_guess(self) -> bool:
        """Whether its minutes are a guess."""
        return self.estimate.source is MinutesFrom.GUESS

    @property
    def dries(self) -> bool:
        """Whether it leaves something that dries or is left to work."""
        return self.dry_at > self.end


@dataclass(frozen=True)
class PlanSession:
    """A spell of free time and what is begun in it."""

    start: datetime
    end: datetime
    rows: tuple[PlanRow, ...]


@dataclass(frozen=True)
class PlannedPiece:
    """A piece in the plan: what it brings, and when it is done and dry; None where something is left over.

    `waits` is what keeps it waiting, until `waits_until` where that is known; empty where nothing certain does.
    """

    piece: PieceRow
    brings: Brings
    done_at: datetime | None
    waits: str
    waits_until: datetime | None


@dataclass(frozen=True)
class LeftRow:
    """A step without a place in the plan, and why."""

    piece: PieceRow
    step: FinishStepRow | None
    why: str


@dataclass(frozen=True)
class PlanSheet:
    """The whole plan at the instant `zero`.

    `going_on` is worked on already, whatever the free time; `drying` goes on by itself; `waiting` pieces were not
    planned.
    """

    zero: datetime
    horizon: Horizon
    workshop: Workshop
    drying: tuple[DryingPart, ...]
    going_on: tuple[PlanRow, ...]
    sessions: tuple[PlanSession, ...]
    pieces: tuple[PlannedPiece, ...]
    left_over: tuple[LeftRow, ...]
    waiting: int

    @property
    def rows(self) -> tuple[PlanRow, ...]:
        """Every line, in the order it is begun."""
        return (*self.going_on, *(row for session in self.sessions for row in session.rows))

    @property
    def has_guess(self) -> bool:
        """Whether some of its minutes are guesses."""
        return any(row.is_guess for row in self.rows)


def plan_sheet(session: Session, horizon: Horizon, now: datetime) -> PlanSheet:
    """The plan for the free time of `horizon`, the same for the same ledger and minute; it begins at the next mark.

    Raises NothingToPlan where no finish under way has a step left, and CannotPlan where no free time is left.
    """
    zero = next_mark(now)
    finishes = finishes_in_hand(session, zero)
    worth = brings(session, {each.piece.id for each in finishes})
    to_do = sorted(
        pieces_to_do(session, finishes, worth, zero),
        key=lambda each: (not each.is_begun, -each.brings.cents, each.piece.id),
    )
    if not to_do:
        raise NothingToPlan("Nothing to plan: begin a finish on a piece first.")
    has = workshop(session)
    resources = Resources(has.drying_places, 1, to_mark(has.spray_clear), places_taken(finishes, zero))
    chosen = to_do[:MOST_PLANNED]
    jobs = [each.job for each in chosen]
    windows = windows_of(horizon, zero)
    made = plan(jobs, windows, resources, evaluations=USUAL_EVALUATIONS, seed=SEED)
    drying = tuple(part for each in finishes for part in drying_parts(each, zero))
    return _Telling(now, zero, chosen, made, windows).sheet(horizon, has, drying, len(to_do) - len(chosen))


def next_mark(now: datetime) -> datetime:
    """Now to the minute, or the next mark of five minutes on the clock."""
    return now.replace(second=0, microsecond=0) + timedelta(minutes=-now.minute % MARK)


class _Telling:
    """A plan in the planner's keys and minutes, told in pieces, steps and instants."""

    def __init__(
        self, now: datetime, zero: datetime, chosen: Sequence[PieceToDo], made: Plan, windows: Sequence[Window]
    ) -> None:
        self.windows = windows
        self.now, self.zero, self.chosen, self.made = now, zero, chosen, made
        self.pieces = {each.job.key: each for each in chosen}
        self.steps: dict[str, StepToDo] = {step.plan_step.key: step for each in chosen for step in each.steps}

    def sheet(self, horizon: Horizon, has: Workshop, drying: tuple[DryingPart, ...], waiting: int) -> PlanSheet:
        """The plan for a page."""
        rows = self._rows()
        sessions = tuple(
            PlanSession(spell.start, spell.end, held)
            for spell in horizon.spells
            if (held := tuple(row for row in rows if not row.is_fixed and spell.start <= row.start < spell.end))
        )
        return PlanSheet(
            zero=self.zero,
            horizon=horizon,
            workshop=has,
            drying=drying,
            going_on=tuple(row for row in rows if row.is_fixed),
            sessions=sessions,
            pieces=self._done(),
            left_over=self._left_over(),
            waiting=waiting,
        )

    def _rows(self) -> list[PlanRow]:
        ends = {line.step: self._instant(line.end) for line in self.made.lines}
        return [self._row(line, self.steps[line.step], ends) for line in self.made.lines]

    def _row(self, line: PlanLine, told: StepToDo, ends: Mapping[str, datetime]) -> PlanRow:
        start = self._instant(line.start)
        return PlanRow(
            start=start,
            end=self._instant(line.end),
            dry_at=self._instant(line.dry_at),
            finish=told.finish,
            step=told.step,
            estimate=told.estimate,
            reason=line.reason,
            is_fixed=line.is_fixed,
            may_begin=may_begin(told.finish, told.step, self.now),
            scuff_first=told.step.facts.is_coating and any(closes < start for closes in _closing(told, ends)),
        )

    def _done(self) -> tuple[PlannedPiece, ...]:
        told = []
        for key, each in self.pieces.items():
            waiting = waiting_of(each.job, self.made, self.windows)
            told.append(
                PlannedPiece(
                    piece=each.piece,
                    brings=each.brings,
                    done_at=self._known(self.made.done_at[key]),
                    waits=waiting.words if waiting else "",
                    waits_until=self._known(waiting.until) if waiting else None,
                )
            )
        last = self.zero + timedelta(days=3650)
        return tuple(sorted(told, key=lambda piece: piece.done_at or last))

    def _left_over(self) -> tuple[LeftRow, ...]:
        return tuple(
            LeftRow(self.pieces[left.job].piece, self.steps[left.step].step if left.step else None, left.why)
            for left in self.made.left_over
        )

    def _known(self, minute: int | None) -> datetime | None:
        return None if minute is None else self._instant(minute)

    def _instant(self, minute: int) -> datetime:
        return self.zero + timedelta(minutes=minute)


def _closing(told: StepToDo, ends: Mapping[str, datetime]) -> Iterator[datetime]:
    """When the windows of what a step goes over close: as they stand, and of what is planned before it."""
    for before in told.finish.before(told.step):
        closes = before.closes_at
        if not before.is_over and str(before.id) in ends:
            closes = before.drying.closes_at(ends[str(before.id)])
        if closes is not None:
            yield closes
