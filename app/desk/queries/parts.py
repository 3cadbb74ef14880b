"""Read what a piece stands at, so that parts taken off it take no more along than it cost."""

from datetime import date

from sqlalchemy.orm import Session

from app.reports.queries import ledger_of_piece
from app.reports.rules import stock_of_piece


def stands_at(session: Session, piece_id: int, day: date) -> int:
    """Cents a piece stands at on a day: no more than it stands at with all its rows, as when it was split since."""
    ledger = ledger_of_piece(session, piece_id)
    return min(stock_of_piece(ledger, day), stock_of_piece(ledger, date.max))
