"""Read where the prices of the pieces went that sold."""

from dataclasses import dataclass
from datetime import date
from typing import Any

from sqlalchemy import func, select
from sqlalchemy.orm import Session

from app.pieces.models import Piece
from app.pieces.rules import Stage
from app.reports.queries.chosen import sold_pieces, these
from app.reports.queries.ledgers import ledgers_of_money
from app.reports.rules import piece_profit
from app.reports.rules.price_parts import PriceParts, price_parts
from app.sales.models import Sale, SaleReturn


@dataclass(frozen=True)
class SoldPrice:
    """A sold piece, the day of the sale that stands, and where its price went."""

    sold_on: date
    parts: PriceParts


def sold_count(session: Session) -> int:
    """How many pieces are sold now; one query."""
    return session.scalar(select(func.count()).select_from(_standing().subquery())) or 0


def sold_prices(session: Session, offset: int = 0, limit: int | None = None) -> list[SoldPrice]:
    """Where the price of each sold piece went, the latest sale first; a fixed number of queries."""
    page = _standing().order_by(Sale.sold_on.desc(), Sale.id.desc()).offset(offset).limit(limit)
    sold_on = {row.piece_id: row.sold_on for row in session.execute(page)}
    ledgers = ledgers_of_money(session, sold_pieces() if limit is None else these(list(sold_on)))
    found = {ledger.piece_id: price_parts(piece_profit(ledger)) for ledger in ledgers}
    return [SoldPrice(on, parts) for piece_id, on in sold_on.items() if (parts := found.get(piece_id)) is not None]


def _standing() -> Any:
    """The pieces whose sale stands, each with the day of that sale."""
    taken_back = select(SaleReturn.id).where(SaleReturn.sale_id == Sale.id, SaleReturn.struck_at.is_(None))
    return (
        select(Sale.piece_id, Sale.sold_on)
        .join(Piece, Piece.id == Sale.piece_id)
        .where(Piece.stage == Stage.SOLD, Sale.struck_at.is_(None), ~taken_back.exists())
    )
