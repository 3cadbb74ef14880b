"""Split a set into parts that go their own ways."""

from datetime import datetime

from sqlalchemy.orm import Session

from app.basics.dates import require_not_before
from app.desk.queries.split import newest_cost_day
from app.desk.rules import WishedSplit, weighed_parts
from app.pieces.actions import split_off
from app.pieces.models import Piece
from app.reports.queries import stock_of_piece
from app.timelog.queries import minutes_of


def split_set(session: Session, piece_id: int, wished: WishedSplit, *, now: datetime) -> list[Piece]:
    """Share the cost and the hours so far over the parts, exactly; the first part keeps the tag.

    What moves to the new pieces is written as dated transfers; no older row changes. Refuses parts that do
    not make the whole set, a set on the floor, sold or gone, a day before the newest cost that would be
    shared (RuleError), and an older version (StaleEdit).
    """
    newest = newest_cost_day(session, piece_id)
    if newest is not None:
        require_not_before(wished.on_date, newest, "on_date", "the newest cost on it")
    return split_off(
        session,
        piece_id,
        weighed_parts(wished.parts, wished.by),
        cents=stock_of_piece(session, piece_id),
        minutes=minutes_of(session, [piece_id]).get(piece_id, 0),
        on_date=wished.on_date,
        version=wished.version,
        now=now,
    )
