"""A piece steps back, or leaves without a sale; either ends its listing first."""

from datetime import date, datetime

from sqlalchemy.orm import Session

from app.floor.actions import end_listing
from app.floor.rules import Ending
from app.pieces import actions as pieces
from app.pieces.models import Piece, Step
from app.pieces.rules import Leaving, Stage
from app.sales.queries import standing_deposits
from app.sales.rules import require_no_deposit


def step_back_piece(
    session: Session,
    piece_id: int,
    to_stage: Stage,
    *,
    on_date: date,
    reason: str,
    version: int | None,
    now: datetime,
) -> Step:
    """Move a piece back to an earlier stage; from the floor it is taken off, and a hold on it is lifted.

    Refuses a step without a reason, a sold piece, one that has left and a day out of order (RuleError), and
    an edit made on an older version (StaleEdit).
    """
    step = pieces.step_back(session, piece_id, to_stage, on_date=on_date, reason=reason, version=version, now=now)
    end_listing(session, piece_id, on_date=on_date, ended_by=Ending.STEP_BACK, now=now)
    return step


def leave_piece(
    session: Session, piece_id: int, how: Leaving, *, on_date: date, reason: str, version: int | None, now: datetime
) -> Piece:
    """Let a piece leave without a sale: kept, given away or scrapped; its listing ends and a hold is lifted.

    Refuses a sold piece, one that has left already, one on which a deposit stands and a day out of order
    (RuleError), and an edit made on an older version (StaleEdit).
    """
    require_no_deposit(deposit.payer for deposit in standing_deposits(session, piece_id))
    piece = pieces.leave(session, piece_id, how, on_date=on_date, reason=reason, version=version, now=now)
    end_listing(session, piece_id, on_date=on_date, ended_by=Ending.LEAVING, now=now)
    return piece
