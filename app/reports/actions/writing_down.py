"""Write a piece down to what it will still bring, or back up, and strike a mistake out."""

from datetime import datetime

from sqlalchemy import select
from sqlalchemy.orm import Session

from app.basics.dates import local_day, require_not_before
from app.basics.errors import NotFound
from app.basics.striking import reason_to_keep, require_not_struck
from app.pieces.actions.ground import counting_piece
from app.pieces.rules import require_capture_id
from app.reports.models import WriteDown
from app.reports.queries.pieces import ledger_of_piece
from app.reports.queries.writing_down import rows_of_piece
from app.reports.rules import stock_of_piece
from app.reports.rules.writing_down import (
    WHY_SO_LITTLE,
    NewWriteDown,
    require_change,
    require_here,
    require_newest,
    require_sound_write_down,
    valued,
)
from app.shop.queries import require_open, shop_facts


def write_down(session: Session, new: NewWriteDown, *, capture_id: str, now: datetime) -> WriteDown:
    """Write a piece down to what it will bring on a day, or back up by what it was written down too far.

    A capture id seen before gives the row that is there. Refuses a day to come, in a closed month, before the
    books or the piece's last such row, or on which the piece is not here; amounts below zero; no reason; and
    figures that change nothing (RuleError). Raises NotFound for an unknown piece.
    """
    require_capture_id(capture_id)
    there = session.scalars(select(WriteDown).where(WriteDown.capture_id == capture_id)).first()
    if there is not None:
        return there
    counting_piece(session, new.piece_id)
    shop = shop_facts(session)
    rows = rows_of_piece(session, new.piece_id)
    today = local_day(now, shop.time_zone if shop else "UTC")
    require_sound_write_down(new, today=today, last_on=max((row.on for row in rows), default=None))
    if shop is not None:
        require_not_before(new.on_date, shop.started_on, "on_date", "the day your books begin")
    require_open(session, new.on_date, "on_date")
    ledger = ledger_of_piece(session, new.piece_id)
    require_here(ledger, new.on_date)
    valuation = valued(ledger, rows, stock_of_piece(ledger, new.on_date), new.on_date)
    row = WriteDown(
        capture_id=capture_id,
        piece_id=new.piece_id,
        on_date=new.on_date,
        price_expected_cents=new.price_expected_cents,
        finish_cents=new.finish_cents,
        sell_cents=new.sell_cents,
        cost_cents=max(valuation.cost, 0),
        cents=require_change(valuation, new.net_cents),
        reason=reason_to_keep(new.reason, WHY_SO_LITTLE),
        made_at=now,
    )
    session.add(row)
    session.flush()
    return row


def strike_write_down(session: Session, write_down_id: int, *, reason: str, now: datetime) -> WriteDown:
    """Strike out a piece's newest write-down: it counts no more and stays in sight.

    Refuses one struck out before, one in a closed month, one a newer row rests on, and no reason (RuleError);
    raises NotFound.
    """
    row = session.get(WriteDown, write_down_id)
    if row is None:
        raise NotFound("write-down")
    require_not_struck("write-down", row.struck_reason)
    require_open(session, row.on_date)
    newest = rows_of_piece(session, row.piece_id)[-1]
    require_newest(row.on_date, newest.on, is_newest=newest.row.id == row.id)
    row.struck_reason = reason_to_keep(reason)
    row.struck_at = now
    session.flush()
    return row
