"""Sales, what comes back of them, deposits and places of sales tax for tests, through the real actions."""

from datetime import date, datetime
from typing import Any
from uuid import uuid4

from sqlalchemy.orm import Session

from app.pieces.models import Piece
from app.pieces.rules import Stage
from app.sales.actions import (
    add_tax_place,
    add_tax_rate,
    end_deposit,
    record_refund,
    record_return,
    record_sale,
    take_deposit,
)
from app.sales.models import Deposit, DepositEnd, Sale, SaleRefund, SaleReturn, TaxPlace
from app.sales.rules import DepositEnding, NewDeposit, NewEnd, NewRefund, NewReturn, NewSale, TaxBasis
from tests.builders.floor import a_listed_piece
from tests.builders.pieces import NOW

SOLD = date(2026, 11, 20)
CAME_BACK = date(2026, 11, 23)
PAID_DOWN = date(2026, 11, 10)


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


def a_refund(
    session: Session,
    sale: Sale,
    *,
    on_date: date = CAME_BACK,
    refund_cents: int = 20_00,
    tax_refunded_cents: int = 0,
    fees_back_cents: int = 0,
    reason: str = "A scratch found on delivery",
    now: datetime = NOW,
) -> SaleRefund:
    """Money given back in part on a sale that stands."""
    new = NewRefund(sale.id, on_date, refund_cents, tax_refunded_cents, fees_back_cents, reason)
    return record_refund(session, new, capture_id=str(uuid4()), now=now)


def a_deposit(
    session: Session,
    piece: Piece,
    *,
    payer: str = "Ann",
    on_date: date = PAID_DOWN,
    amount_cents: int = 50_00,
    note: str = "",
    now: datetime = NOW,
) -> Deposit:
    """A deposit on a piece on hand."""
    new = NewDeposit(piece.id, payer, on_date, amount_cents, note)
    return take_deposit(session, new, capture_id=str(uuid4()), now=now)


def a_deposit_end(
    session: Session,
    deposit: Deposit,
    *,
    how: DepositEnding = DepositEnding.REFUNDED,
    on_date: date = SOLD,
    cents: int | None = None,
    reason: str = "Changed their mind",
    now: datetime = NOW,
) -> DepositEnd:
    """A deposit given back or kept, whole unless said otherwise."""
    amount = deposit.amount_cents if cents is None else cents
    return end_deposit(session, NewEnd(deposit.id, how, on_date, amount, reason), now=now)


def a_tax_place(
    session: Session,
    name: str = "Ottermarch",
    *,
    basis: TaxBasis = TaxBasis.INVOICE,
    rate_ppm: int | None = 82_500,
    from_date: date = date(2024, 1, 1),
    now: datetime = NOW,
) -> TaxPlace:
    """A place of sales tax, with a rate unless there is none."""
    place = add_tax_place(session, name=name, basis=basis)
    if rate_ppm is not None:
        add_tax_rate(session, place.id, from_date=from_date, rate_ppm=rate_ppm, now=now)
    return place
