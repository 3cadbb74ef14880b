"""Read what pieces made or stand at, one by one or many at once."""

from sqlalchemy import SelectBase
from sqlalchemy.orm import Session

from app.basics.errors import NotFound
from app.reports.queries.ledgers import ledgers_of, piece_ledgers
from app.reports.rules import PieceLedger, PieceProfit, piece_profit


def ledger_of_piece(session: Session, piece_id: int) -> PieceLedger:
    """All that counts on one piece; raises NotFound."""
    found = piece_ledgers(session, [piece_id])
    if not found:
        raise NotFound("piece")
    return found[0]


def profit_of_piece(session: Session, piece_id: int) -> PieceProfit:
    """What one piece made, or stands at while it is here; raises NotFound."""
    return piece_profit(ledger_of_piece(session, piece_id))


def profits_of(session: Session, chosen: SelectBase | None = None) -> list[PieceProfit]:
    """What each of the chosen pieces (None: every piece) made or stands at, in the order they were entered."""
    return [piece_profit(ledger) for ledger in ledgers_of(session, chosen)]
