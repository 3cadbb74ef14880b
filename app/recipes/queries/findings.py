"""Check what finishes keep against the rows it came from: their time, their material, their state."""

from dataclasses import dataclass
from typing import Any

from sqlalchemy import and_, exists, or_, select
from sqlalchemy.orm import Session

from app.pieces.models import Piece
from app.recipes.models import Finish, FinishStep, StepTime
from app.recipes.rules import FinishState, StepState
from app.shelf.models import ShelfUse
from app.timelog.models import TimeEntry


@dataclass(frozen=True)
class FinishFinding:
    """One identity of the finishes: how many rows are otherwise than they must be, and on which pieces."""

    name: str
    wrong: int
    tags: tuple[str, ...]

    @property
    def holds(self) -> bool:
        """Whether none is."""
        return self.wrong == 0


def finish_findings(session: Session) -> list[FinishFinding]:
    """Every identity of the finishes; three queries for any number of them."""
    strays = (TimeEntry.piece_id.is_(None)) | (TimeEntry.piece_id != Finish.piece_id)
    times = (
        select(Piece.tag)
        .join(Finish, Finish.piece_id == Piece.id)
        .join(FinishStep, FinishStep.finish_id == Finish.id)
        .join(StepTime, StepTime.step_id == FinishStep.id)
        .join(TimeEntry, TimeEntry.id == StepTime.time_entry_id)
        .where(strays)
    )
    other_use = or_(
        ShelfUse.piece_id.is_(None),
        ShelfUse.piece_id != Finish.piece_id,
        ShelfUse.material_id != FinishStep.material_id,
        ShelfUse.quantity_milli != FinishStep.used_milli,
    )
    uses = (
        select(Piece.tag)
        .join(Finish, Finish.piece_id == Piece.id)
        .join(FinishStep, FinishStep.finish_id == Finish.id)
        .join(ShelfUse, ShelfUse.id == FinishStep.use_id)
        .where(other_use)
    )
    return [
        _found(session, "the time of each step is worked on its own piece", times),
        _found(session, "the material of each step is what was used on its piece", uses),
        _found(session, "a finish is done when no step of it is left to do", _out_of_state()),
    ]


def _out_of_state() -> Any:
    of_it = FinishStep.finish_id == Finish.id
    is_left = exists().where(of_it, FinishStep.state.in_((StepState.WAITING, StepState.STARTED)))
    is_begun = exists().where(of_it, FinishStep.state == StepState.STARTED)
    wrong = or_(
        and_(Finish.state == FinishState.DONE, is_left),
        and_(Finish.state == FinishState.STOPPED, is_begun),
        and_(Finish.state == FinishState.UNDER_WAY, Finish.ended_on.is_not(None)),
    )
    return select(Piece.tag).join(Finish, Finish.piece_id == Piece.id).where(wrong)


def _found(session: Session, name: str, query: Any) -> FinishFinding:
    tags = list(session.scalars(query))
    return FinishFinding(name, len(tags), tuple(dict.fromkeys(tags)))
