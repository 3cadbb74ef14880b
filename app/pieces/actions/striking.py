"""Strike out what was entered by mistake: a whole find, or the newest step by hand."""

from datetime import datetime

from sqlalchemy import or_, select
from sqlalchemy.orm import Session

from app.basics.dates import local_day
from app.basics.errors import NotFound, RuleError
from app.basics.striking import reason_to_keep
from app.pieces.actions.ground import piece_to_change, shop_day, stage_values, the_shop
from app.pieces.actions.purchases import WHAT_WAS_WRONG, counting_purchase_row, strike_purchase
from app.pieces.models import Piece, Step, Transfer
from app.pieces.queries import steps_of
from app.pieces.rules import CannotMove, require_on_hand, stage_since, undoable_step
from app.shop.queries import require_open

SLIP = "a slip, undone the same day"


def strike_find(session: Session, piece_id: int, *, reason: str, version: int | None, now: datetime) -> Piece:
    """Strike out a piece that was logged by mistake, with what was paid for it; both stay in sight.

    Refuses a missing reason, a piece of a haul, one that is sold or has left, one that was split or split off, and
    one bought in a closed month. A caller that knows listings, sales, costs and work looks at those first. Raises
    StaleEdit when the piece changed since `version`.
    """
    piece = piece_to_change(session, piece_id, version, stage_values)
    require_on_hand(piece.stage, piece.left_as)
    if piece.haul_id is not None:
        raise RuleError("It came with a haul. Put the haul right instead: its price is shared over all its pieces.")
    moved = select(Transfer.id).where(or_(Transfer.from_piece_id == piece_id, Transfer.to_piece_id == piece_id))
    if session.scalar(moved.limit(1)) is not None:
        raise RuleError("A set was split, and part of its cost moved with this piece. It cannot be struck out.")
    kept_reason = reason_to_keep(reason, WHAT_WAS_WRONG)
    purchase = counting_purchase_row(session, piece_id)
    if purchase is not None:
        require_open(session, purchase.on_date)
        strike_purchase(session, purchase, reason=kept_reason, now=now)
    piece.struck_at, piece.struck_reason = now, kept_reason
    session.flush()
    return piece


def undo_step(session: Session, piece_id: int, step_id: int, *, now: datetime) -> Piece:
    """Strike out the newest step of a piece as a slip, so that it stands where it stood before.

    Undoing it twice changes nothing. Refuses a step made on another day, one followed by another, and
    listings, sales, returns and leavings (CannotMove); raises NotFound for a step that is not there.
    """
    piece = piece_to_change(session, piece_id, None, stage_values)
    step = session.get(Step, step_id)
    if step is None or step.piece_id != piece_id:
        raise NotFound("step")
    if step.struck_at is not None:
        return piece
    newest = undoable_step(steps_of(session, piece_id))
    if newest is None or newest.id != step_id or step.from_stage is None:
        raise CannotMove("Only the newest step by hand can be undone. Step it back, with the reason, instead.")
    if local_day(step.made_at, the_shop(session).time_zone) != shop_day(session, now):
        raise CannotMove("A step can be undone on the day it was made. Step it back, with the reason, instead.")
    step.struck_at, step.struck_reason = now, SLIP
    session.flush()
    piece.stage, piece.stage_since = step.from_stage, stage_since(steps_of(session, piece_id))
    session.flush()
    return piece
