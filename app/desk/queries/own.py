"""Read what was owned already when the books began."""

from sqlalchemy import select
from sqlalchemy.orm import Session

from app.pieces.models import Piece, Purchase
from app.pieces.queries import PieceRow, rows_of, rows_query
from app.pieces.rules import PurchaseKind


def owned_at_start(session: Session) -> list[PieceRow]:
    """The pieces that came into the books as opening stock, in the order they were entered; one query."""
    opening = select(Purchase.piece_id).where(Purchase.kind == PurchaseKind.OPENING, Purchase.struck_at.is_(None))
    return rows_of(session, rows_query().where(Piece.id.in_(opening)).order_by(Piece.id))
