"""Move a piece: forward, back, out without a sale, and in again; every move with its date."""

from datetime import date, datetime

from sqlalchemy import select
from sqlalchemy.orm import Session

from app.basics.dates import require_not_future
from app.basics.errors import RuleError
from app.basics.words import REASON_LIMIT
from app.pieces.actions.ground import add_step, piece_to_change, shop_day, stage_values
from app.pieces.models import LeavingRow, Piece, Step
from app.pieces.queries import require_day_that_fits, steps_of
from app.pieces.rules import (
    UNDOES,
    CannotMove,
    Leaving,
    Stage,
    StepKind,
    is_back,
    last_standing,
    line_of,
    require_counts,
    require_day_in_order,
    require_hand_move,
    require_here,
    require_kind,
    require_on_hand,
    stage_on_coming_back,
    stage_since,
)
from app.shop.queries import require_open


def move_piece(
    session: Session,
    piece: Piece,
    to_stage: Stage,
    kind: StepKind,
    *,
    on_date: date,
    reason: str,
    now: datetime,
) -> Step:
    """Move a piece from stage to stage and append the step: what listing, selling and returning stand on.

    Refuses a move the table or the sort of move does not hold, a piece that has left, a day in the future or
    before the last step that stands, one in a closed month for a sale or a return, and one that
    `require_day_that_fits` refuses. Striking out a sale or a
    return takes that step's place, so the sale may then be entered again with an earlier date; it is refused
    when the piece has moved since.
    """
    require_counts(piece.struck_reason)
    require_here(piece.left_as)
    require_kind(kind, piece.stage, to_stage, reason)
    last = last_standing(steps_of(session, piece.id))
    if kind in UNDOES and last.kind is not UNDOES[kind]:
        raise CannotMove("It has moved since, so that can no longer be struck out.")
    _require_day(session, piece, on_date, now, takes_cost=kind not in {StepKind.FORWARD, StepKind.BACK})
    kept_reason = line_of(reason, REASON_LIMIT, "reason")
    step = add_step(session, piece, kind, piece.stage, to_stage, on_date=on_date, reason=kept_reason, now=now)
    _settle(session, piece, to_stage)
    return step


def _require_day(session: Session, piece: Piece, on_date: date, now: datetime, *, takes_cost: bool = True) -> None:
    require_not_future(on_date, shop_day(session, now), "on_date")
    if takes_cost:
        require_open(session, on_date, "on_date")
    require_day_in_order(on_date, last_standing(steps_of(session, piece.id)).on_date)
    require_day_that_fits(session, piece.id, on_date, takes_cost=takes_cost)


def _settle(session: Session, piece: Piece, stage: Stage) -> None:
    """Bring the piece in line with its steps."""
    piece.stage = stage
    piece.stage_since = stage_since(steps_of(session, piece.id))
    session.flush()


def step_forward(
    session: Session, piece_id: int, to_stage: Stage, *, on_date: date, version: int | None, now: datetime
) -> Step:
    """Bring a piece to a later stage by hand; refuses listing and selling, which have actions of their own."""
    piece = piece_to_change(session, piece_id, version, stage_values)
    require_hand_move(piece.stage, to_stage, reason="forward asks for none")
    if is_back(piece.stage, to_stage):
        raise CannotMove(f"From {piece.stage} to {to_stage} is a step back, which wants its reason.", "to_stage")
    return move_piece(session, piece, to_stage, StepKind.FORWARD, on_date=on_date, reason="", now=now)


def step_back(
    session: Session,
    piece_id: int,
    to_stage: Stage,
    *,
    on_date: date,
    reason: str,
    version: int | None,
    now: datetime,
) -> Step:
    """Bring a piece back to an earlier stage, with the reason; refuses a sold piece and a missing reason."""
    piece = piece_to_change(session, piece_id, version, stage_values)
    require_hand_move(piece.stage, to_stage, reason)
    return move_piece(session, piece, to_stage, StepKind.BACK, on_date=on_date, reason=reason, now=now)


def leave(
    session: Session,
    piece_id: int,
    how: Leaving,
    *,
    on_date: date,
    reason: str,
    version: int | None,
    now: datetime,
) -> Piece:
    """Take a piece out without a sale: kept, given away or scrapped; the reason may be empty.

    Refuses a piece that is sold or has left, a day in the future, in a closed month or before its last step. A
    caller that knows listings ends the open one first.
    """
    piece = piece_to_change(session, piece_id, version, stage_values)
    require_on_hand(piece.stage, piece.left_as)
    _require_day(session, piece, on_date, now)
    kept_reason = line_of(reason, REASON_LIMIT, "reason")
    session.add(LeavingRow(piece_id=piece.id, how=how, on_date=on_date, reason=kept_reason, made_at=now))
    add_step(
        session,
        piece,
        StepKind.OUT,
        piece.stage,
        piece.stage,
        on_date=on_date,
        reason=kept_reason,
        now=now,
    )
    piece.left_as = how
    session.flush()
    return piece


def bring_back(
    session: Session, piece_id: int, *, on_date: date, reason: str, version: int | None, now: datetime
) -> Piece:
    """Bring a piece back that had left without a sale, with the reason.

    It comes back to the stage it left at; from the floor, to finished. Refuses a piece that has not left, a
    missing reason, a day in the future, in a closed month or before it left.
    """
    piece = piece_to_change(session, piece_id, version, stage_values)
    leaving = open_leaving(session, piece.id)
    if piece.left_as is None or leaving is None:
        raise CannotMove("It has not left, so it cannot come back.")
    kept_reason = line_of(reason, REASON_LIMIT, "reason")
    if not kept_reason:
        raise RuleError("Say why it comes back; a few words will do.", "reason")
    _require_day(session, piece, on_date, now)
    leaving.back_on, leaving.back_reason, leaving.back_at = on_date, kept_reason, now
    stage = stage_on_coming_back(piece.stage)
    add_step(session, piece, StepKind.IN_AGAIN, piece.stage, stage, on_date=on_date, reason=kept_reason, now=now)
    piece.left_as = None
    _settle(session, piece, stage)
    return piece


def open_leaving(session: Session, piece_id: int) -> LeavingRow | None:
    """The leaving a piece has not come back from."""
    return session.scalar(select(LeavingRow).where(LeavingRow.piece_id == piece_id, LeavingRow.back_on.is_(None)))
