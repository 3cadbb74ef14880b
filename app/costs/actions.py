"""Write a cost or a correction of a closed month down, and strike one out; no row is ever deleted or overwritten."""

from datetime import datetime

from sqlalchemy import select
from sqlalchemy.orm import Session

from app.basics.dates import local_day
from app.basics.errors import NotFound
from app.basics.striking import reason_to_keep, require_not_struck
from app.costs.models import Adjustment, CostLine
from app.costs.rules import NewAdjustment, NewCost, require_sound, require_sound_adjustment
from app.photos.actions import attach_photo
from app.photos.rules import Shows, StoredPhoto
from app.pieces.actions.ground import counting_piece
from app.pieces.rules import require_capture_id
from app.shop.queries import last_closed_day, require_open, shop_facts

WHAT_WAS_WRONG = "Say what was wrong; a few words will do. It stays beside the correction."


def add_cost(
    session: Session, new: NewCost, *, capture_id: str, now: datetime, receipt: StoredPhoto | None = None
) -> CostLine:
    """Write a cost down on a piece, sold and gone ones too, or on the shop; `receipt` is attached with it.

    A capture id seen before gives the line that is there. Refuses an amount of nothing, a kind that does not
    fit, a day in the future, before the books begin or in a closed month, and a piece struck out (RuleError);
    raises NotFound for an unknown piece.
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
    require_open(session, new.on_date, "on_date")
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

    Refuses a line struck out before (AlreadyStruck), one in a closed month and an empty or overlong reason
    (RuleError); raises NotFound.
    """
    line = session.get(CostLine, line_id)
    if line is None:
        raise NotFound("cost line")
    require_not_struck("line", line.struck_reason)
    require_open(session, line.on_date)
    line.struck_reason = reason_to_keep(reason)
    line.struck_at = now
    session.flush()
    return line


def add_adjustment(session: Session, new: NewAdjustment, *, capture_id: str, now: datetime) -> Adjustment:
    """Write a correction of a closed month down; the row it corrects stays as it is.

    A capture id seen before gives the correction that is there. Refuses one of nothing, of a row in an open month,
    without a reason, dated in a closed month or in the future ("on_date"), and a piece struck out (RuleError).
    """
    require_capture_id(capture_id)
    there = session.scalars(select(Adjustment).where(Adjustment.capture_id == capture_id)).first()
    if there is not None:
        return there
    if new.piece_id is not None:
        counting_piece(session, new.piece_id)
    shop = shop_facts(session)
    require_sound_adjustment(
        new,
        today=local_day(now, shop.time_zone if shop else "UTC"),
        closed_through=last_closed_day(session),
        books_begin=shop.started_on if shop else None,
    )
    require_open(session, new.on_date, "on_date")
    adjustment = Adjustment(
        capture_id=capture_id,
        piece_id=new.piece_id,
        part=new.part,
        cents=new.cents,
        on_date=new.on_date,
        corrects_table=new.corrects_table,
        corrects_id=new.corrects_id,
        corrects_on=new.corrects_on,
        reason=reason_to_keep(new.reason, WHAT_WAS_WRONG),
        made_at=now,
    )
    session.add(adjustment)
    session.flush()
    return adjustment


def strike_adjustment(session: Session, adjustment_id: int, *, reason: str, now: datetime) -> list[Adjustment]:
    """Strike a correction out with a reason, and with it what was entered with it in one go.

    What belongs together (a trip's shares, the two sides of what moved) would no longer add up alone. Refuses one
    struck out before (AlreadyStruck), one in a month closed since and an empty reason (RuleError); raises NotFound.
    """
    adjustment = session.get(Adjustment, adjustment_id)
    if adjustment is None:
        raise NotFound("correction")
    require_not_struck("correction", adjustment.struck_reason)
    require_open(session, adjustment.on_date)
    why = reason_to_keep(reason)
    together = list(
        session.scalars(
            select(Adjustment)
            .where(
                Adjustment.corrects_table == adjustment.corrects_table,
                Adjustment.corrects_id == adjustment.corrects_id,
                Adjustment.made_at == adjustment.made_at,
                Adjustment.on_date == adjustment.on_date,
                Adjustment.struck_at.is_(None),
            )
            .order_by(Adjustment.id)
        )
    )
    for one in together:
        one.struck_reason, one.struck_at = why, now
    session.flush()
    return together
