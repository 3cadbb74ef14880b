"""Read what is needed to split a set: the piece, and the cost and hours so far that will be shared."""

from dataclasses import dataclass
from datetime import date

from sqlalchemy.orm import Session

from app.pieces.queries import PieceRow, piece_by_tag
from app.reports.queries import ledger_of_piece, stock_of_piece
from app.reports.rules import MOVED
from app.timelog.queries import minutes_of


@dataclass(frozen=True)
class SetSheet:
    """A set, its cost so far in cents and its minutes so far."""

    piece: PieceRow
    cents: int
    minutes: int


def set_sheet(session: Session, tag: str) -> SetSheet:
    """The set with that tag; NotFound when there is no such piece."""
    piece = piece_by_tag(session, tag)
    return SetSheet(
        piece=piece,
        cents=stock_of_piece(session, piece.id),
        minutes=minutes_of(session, [piece.id]).get(piece.id, 0),
    )


def newest_cost_day(session: Session, piece_id: int) -> date | None:
    """The day of the newest cost that counts on a piece, of whatever room; None without any."""
    costs = ledger_of_piece(session, piece_id).costs
    return max((cost.on for cost in costs if cost.kind != MOVED), default=None)
