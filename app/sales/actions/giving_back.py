"""Record that a sale came back, or that money was given back on it in part; strike out either."""

from datetime import datetime

from sqlalchemy import select
from sqlalchemy.orm import Session

from app.basics.errors import NotFound
from app.basics.striking import reason_to_keep, require_not_struck
from app.floor.queries import shop_today
from app.pieces.actions import move_piece
from app.pieces.actions.ground import the_piece
from app.pieces.rules import Stage, StepKind, require_capture_id
from app.sales.models import SaleRefund, SaleReturn
from app.sales.queries import check_refund, check_return, check_strike_return, sale_row
from app.sales.rules import WHAT_WAS_WRONG, WHY_IT_CAME_BACK, WHY_REFUNDED, NewRefund, NewReturn
from app.shop.queries import require_open


def record_return(session: Session, new: NewReturn, *, now: datetime) -> SaleReturn:
    """Record that a sale came back, in cents and in its own month; the piece stands at `to_stage` again.

    Refuses a sale that is struck out or came back before, more given back than it brought, a day before the
    sale or in the future, no reason, and a stage that is not sourced, prepped or finished (RuleError).
    """
    row = sale_row(session, new.sale_id)
    check_return(session, row, new, shop_today(session, now))
    why = reason_to_keep(new.reason, WHY_IT_CAME_BACK)
    piece = the_piece(session, row.piece_id)
    move_piece(session, piece, new.to_stage, StepKind.RETURN, on_date=new.returned_on, reason=why, now=now)
    came_back = SaleReturn(
        sale_id=new.sale_id,
        returned_on=new.returned_on,
        refund_cents=new.refund_cents,
        tax_refunded_cents=new.tax_refunded_cents,
        fees_back_cents=new.fees_back_cents,
        delivery_back_cents=new.delivery_back_cents,
        reason=why,
        made_at=now,
    )
    session.add(came_back)
    session.flush()
    return came_back


def strike_return(session: Session, return_id: int, *, reason: str, now: datetime) -> SaleReturn:
    """Strike out a mistaken return: the sale counts again and the piece is sold.

    Refuses a return struck out before, one the piece has moved on from, and an empty reason (RuleError);
    raises NotFound.
    """
    row = check_strike_return(session, return_id)
    why = reason_to_keep(reason, WHAT_WAS_WRONG)
    piece = the_piece(session, sale_row(session, row.sale_id).piece_id)
    today = shop_today(session, now)
    move_piece(session, piece, Stage.SOLD, StepKind.RETURN_STRUCK, on_date=today, reason=why, now=now)
    came_back = session.get_one(SaleReturn, return_id)
    came_back.struck_at = now
    came_back.struck_reason = why
    session.flush()
    return came_back


def record_refund(session: Session, new: NewRefund, *, capture_id: str, now: datetime) -> SaleRefund:
    """Record money given back on a sale that stands, in cents and in its own month; the piece stays sold.

    A `capture_id` seen before returns the refund it made. Refuses a sale that is struck out or came back, more
    given back in all than it brought, a day before the sale, in the future or in a closed month, and no reason
    (RuleError); raises NotFound.
    """
    require_capture_id(capture_id)
    before = session.scalar(select(SaleRefund).where(SaleRefund.capture_id == capture_id))
    if before is not None:
        return before
    check_refund(session, sale_row(session, new.sale_id), new, shop_today(session, now))
    refund = SaleRefund(
        capture_id=capture_id,
        sale_id=new.sale_id,
        on_date=new.on_date,
        refund_cents=new.refund_cents,
        tax_refunded_cents=new.tax_refunded_cents,
        fees_back_cents=new.fees_back_cents,
        reason=reason_to_keep(new.reason, WHY_REFUNDED),
        made_at=now,
    )
    session.add(refund)
    session.flush()
    return refund


def strike_refund(session: Session, refund_id: int, *, reason: str, now: datetime) -> SaleRefund:
    """Strike out a mistaken refund in part: it counts no more and stays in sight.

    Refuses one struck out before (AlreadyStruck), one in a closed month, and an empty reason (RuleError); raises
    NotFound.
    """
    refund = session.get(SaleRefund, refund_id)
    if refund is None:
        raise NotFound("refund")
    require_not_struck("refund", refund.struck_reason)
    require_open(session, refund.on_date)
    refund.struck_reason = reason_to_keep(reason, WHAT_WAS_WRONG)
    refund.struck_at = now
    session.flush()
    return refund
