"""Sales and returns for tests, through the real actions."""

from datetime import date, datetime
from typing import Any
from uuid import uuid4

from sqlalchemy.orm import Session

from app.pieces.models import Piece
from app.pieces.rules import Stage
from app.sales.actions import record_return, record_sale
from app.sales.models import Sale, SaleReturn
from app.sales.rules import NewReturn, NewSale
from tests.builders.floor import a_listed_piece
from tests.builders.pieces import NOW

SOLD = date(2026, 11, 20)
CAME_BACK = date(2026, 11, 23)


def a_sale(
    session: Session,
    piece: Piece,
    *,
    sold_on: date = SOLD,
    price_cents: int = 240_00,
    channel_id: int | None = None,
    capture_id: str | None = None,
    now: datetime = NOW,
    **said: Any,
) -> Sale:
    """A sale of a piece; `said` are further facts of the sale."""
    new = NewSale(piece.id, sold_on, channel_id, price_cents, **said)
    return record_sale(session, new, capture_id=capture_id or str(uuid4()), now=now)


def a_sold_piece(
    session: Session,
    *,
    sold_on: date = SOLD,
    sale_price_cents: int = 240_00,
    channel_id: int | None = None,
    now: datetime = NOW,
    sale: dict[str, Any] | None = None,
    **said: Any,
) -> tuple[Piece, Sale]:
    """A piece that went over the floor and is sold; `sale` are facts of the sale, `said` of the listed piece."""
    piece = a_listed_piece(session, now=now, **said)
    sold = a_sale(
        session,
        piece,
        sold_on=sold_on,
        price_cents=sale_price_cents,
        channel_id=channel_id,
        now=now,
        **(sale or {}),
    )
    return piece, sold


def a_return(
    session: Session,
    sale: Sale,
    *,
    returned_on: date = CAME_BACK,
    refund_cents: int | None = None,
    tax_refunded_cents: int = 0,
    fees_back_cents: int = 0,
    delivery_back_cents: int = 0,
    reason: str = "Did not fit the room",
    to_stage: Stage = Stage.FINISHED,
    now: datetime = NOW,
) -> SaleReturn:
    """A sale that came back; the whole price is refunded unless said otherwise."""
    refund = sale.price_cents if refund_cents is None else refund_cents
    new = NewReturn(
        sale.id,
        returned_on,
        refund,
        tax_refunded_cents,
        fees_back_cents,
        delivery_back_cents,
        reason,
        to_stage,
    )
    return record_return(session, new, now=now)
