"""Read what speaks against wrapping or handing a piece over: coats that still dry or are soft."""

from dataclasses import dataclass
from datetime import datetime

from sqlalchemy.orm import Session

from app.pieces.queries import PieceRow
from app.recipes.queries.finish_rows import FinishStepRow
from app.recipes.queries.finishes import finishes_of
from app.recipes.rules import DoneStep, Finding, StepState, check_leaving


@dataclass(frozen=True)
class Leaving:
    """What is not hard yet on a piece about to leave: what the checks say, and the coats still drying."""

    findings: tuple[Finding, ...]
    drying: tuple[FinishStepRow, ...]

    @property
    def is_fit(self) -> bool:
        """Whether nothing speaks against it."""
        return not self.findings and not self.drying


def leaving_of(session: Session, piece: PieceRow, now: datetime) -> Leaving:
    """What speaks against a piece leaving now; the same few queries for any number of finishes."""
    finishes = finishes_of(session, piece)
    done = [
        DoneStep(step.facts, step.done_at, step.ready_at, step.closes_at)
        for finish in finishes
        for step in finish.steps
        if step.state is StepState.DONE and step.done_at is not None
    ]
    drying = tuple(step for finish in finishes for step in finish.drying(now) if step.facts.is_coating)
    return Leaving(tuple(check_leaving(done, now)), drying)
