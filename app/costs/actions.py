"""Write a cost down, and strike one out; a line is never deleted or overwritten."""

from datetime import datetime

from sqlalchemy import select
from sqlalchemy.orm import Session

from app.basics.dates import local_day
from app.basics.errors import NotFound
from app.basics.striking import reason_to_keep, require_not_struck
from app.costs.models import CostLine
from app.costs.rules import NewCost, require_sound
from app.photos.actions import attach_photo
from app.photos.rules import Shows, StoredPhoto
from app.pieces.actions.ground import counting_piece
from app.pieces.rules import require_capture_id
from app.shop.queries import shop_facts


def add_cost(
    session: Session, new: NewCost, *, capture_id: str, now: datetime, receipt: StoredPhoto | None = None
) -> CostLine:
    """Write a cost down on a piece, sold and gone ones too, or on the shop; `receipt` is attached with it.

    A capture id seen before gives the line that is there. Refuses an amount of nothing, a kind that does not
    fit, a day in the future or before the books begin, and a piece struck out (RuleError); raises NotFound for
    an unknown piece.
    """
    require_capture_id(capture_id)
    there = session.scalars(select(CostLine).where(CostLine.capture_id == capture_id)).first()
    if there is not None:
        return there
    if new.piece_id is not None:
        counting_piece(session, new.piece_id)
    shop = shop_facts(session)
    require_sound(
        new,
        today=local_day(now, shop.time_zone if shop else "UTC"),
        books_begin=shop.started_on if shop else None,
    )
    line = CostLine(
        capture_id=capture_id,
        piece_id=new.piece_id,
        kind=new.kind,
        amount_cents=new.amount_cents,
        on_date=new.on_date,
        bought_at=new.bought_at,
        note=new.note,
        receipt_photo_id=_receipt_of(session, new, receipt, now),
        made_at=now,
    )
    session.add(line)
    session.flush()
    return line


def _receipt_of(session: Session, new: NewCost, receipt: StoredPhoto | None, now: datetime) -> int | None:
    if receipt is None:
        return new.receipt_photo_id
    return attach_photo(session, receipt, piece_id=new.piece_id, shows=Shows.RECEIPT, now=now).id


def strike_cost(session: Session, line_id: int, *, reason: str, now: datetime) -> CostLine:
    """Strike a cost line out with a reason: it counts no more and stays in sight.

    Refuses a line struck out before (AlreadyStruck) and an empty or overlong reason (RuleError); raises NotFound.
    """
    line = session.get(CostLine, line_id)
    if line is None:
        raise NotFound("cost line")
    require_not_struck("line", line.struck_reason)
    line.struck_reason = reason_to_keep(reason)
    line.struck_at = now
    session.flush()
    return line
