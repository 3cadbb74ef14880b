"""Read sales with what came back of them: of one piece, or one by its number."""

from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, datetime
from typing import Any

from sqlalchemy import Select, select
from sqlalchemy.orm import Session

from app.basics.errors import NotFound
from app.floor.models import Channel
from app.floor.rules import title_of
from app.sales.models import Sale, SaleRefund, SaleReturn, TaxPlace
from app.sales.rules import SaleMoney, TaxBasis, net_of_sale


@dataclass(frozen=True)
class ReturnRow:
    """A sale that came back, in cents; struck ones are flagged and no longer count."""

    id: int
    sale_id: int
    returned_on: date
    refund_cents: int
    tax_refunded_cents: int
    fees_back_cents: int
    delivery_back_cents: int
    reason: str
    made_at: datetime
    struck_at: datetime | None
    struck_reason: str | None

    @property
    def is_struck(self) -> bool:
        """Whether it was struck out as a mistake."""
        return self.struck_at is not None

    @property
    def net_cents(self) -> int:
        """What the return took back out of the till, after what was recovered; without sales tax."""
        return self.refund_cents - self.fees_back_cents - self.delivery_back_cents


@dataclass(frozen=True)
class RefundRow:
    """Money given back in part on a sale that stands, in cents; struck ones are flagged and no longer count."""

    id: int
    sale_id: int
    on_date: date
    refund_cents: int
    tax_refunded_cents: int
    fees_back_cents: int
    reason: str
    made_at: datetime
    struck_at: datetime | None
    struck_reason: str | None

    @property
    def is_struck(self) -> bool:
        """Whether it was struck out as a mistake."""
        return self.struck_at is not None


@dataclass(frozen=True)
class SaleRow:
    """One sale in cents with every return and refund in part; struck ones are flagged and no longer count."""

    id: int
    piece_id: int
    listing_id: int | None
    channel_id: int | None
    channel_name: str
    sold_on: date
    price_cents: int
    delivery_charged_cents: int
    delivery_paid_cents: int
    fees_cents: int
    tax_cents: int
    buyer_name: str
    note: str
    made_at: datetime
    struck_at: datetime | None
    struck_reason: str | None
    returns: tuple[ReturnRow, ...]
    refunds: tuple[RefundRow, ...] = ()
    tax_place_id: int | None = None
    tax_place: str = ""
    tax_rate_ppm: int | None = None
    tax_basis: TaxBasis | None = None
    channel_tax_cents: int = 0
    untaxed_reason: str = ""

    @property
    def is_struck(self) -> bool:
        """Whether it was struck out as a mistake."""
        return self.struck_at is not None

    @property
    def channel_title(self) -> str:
        """The channel's name as it begins a line; empty without one."""
        return title_of(self.channel_name)

    @property
    def came_back(self) -> ReturnRow | None:
        """The return that counts, if the piece came back."""
        return next((row for row in self.returns if not row.is_struck), None)

    @property
    def stands(self) -> bool:
        """Whether the piece is sold by this sale: neither struck out nor returned."""
        return not self.is_struck and self.came_back is None

    @property
    def net_cents(self) -> int:
        """What remains of the sale after fees and delivery, returns not counted."""
        return net_of_sale(self.price_cents, self.delivery_charged_cents, self.delivery_paid_cents, self.fees_cents)

    @property
    def counting_refunds(self) -> tuple[RefundRow, ...]:
        """The refunds in part that count."""
        return tuple(row for row in self.refunds if not row.is_struck)

    @property
    def refunded_cents(self) -> int:
        """What was given back on it in part, without sales tax."""
        return sum(row.refund_cents for row in self.counting_refunds)

    @property
    def money(self) -> SaleMoney:
        """The amounts that giving back is measured against."""
        return SaleMoney(
            sold_on=self.sold_on,
            price_cents=self.price_cents,
            delivery_charged_cents=self.delivery_charged_cents,
            delivery_paid_cents=self.delivery_paid_cents,
            fees_cents=self.fees_cents,
            tax_cents=self.tax_cents,
            refunded_cents=self.refunded_cents,
            tax_refunded_cents=sum(row.tax_refunded_cents for row in self.counting_refunds),
            fees_back_cents=sum(row.fees_back_cents for row in self.counting_refunds),
        )


def sales_of(session: Session, piece_id: int) -> list[SaleRow]:
    """Every sale of a piece, oldest first, struck and returned ones too."""
    return sale_rows(session, select(Sale).where(Sale.piece_id == piece_id).order_by(Sale.id))


def sale_row(session: Session, sale_id: int) -> SaleRow:
    """A sale by its number; raises NotFound."""
    rows = sale_rows(session, select(Sale).where(Sale.id == sale_id))
    if not rows:
        raise NotFound("sale")
    return rows[0]


def return_row(session: Session, return_id: int) -> ReturnRow:
    """A return by its number; raises NotFound."""
    found = session.get(SaleReturn, return_id)
    if found is None:
        raise NotFound("return")
    return return_row_of(found)


def refund_row(session: Session, refund_id: int) -> RefundRow:
    """A refund in part by its number; raises NotFound."""
    found = session.get(SaleRefund, refund_id)
    if found is None:
        raise NotFound("refund")
    return refund_row_of(found)


def sale_rows(session: Session, wanted: Select[Any]) -> list[SaleRow]:
    """The sales a statement finds, each with its returns and refunds; always the same number of queries."""
    named = (
        wanted.add_columns(Channel.name, TaxPlace.name)
        .outerjoin(Channel, Channel.id == Sale.channel_id)
        .outerjoin(TaxPlace, TaxPlace.id == Sale.tax_place_id)
    )
    sales = session.execute(named).all()
    if not sales:
        return []
    ids = [sale.id for sale, _channel, _place in sales]
    returns, refunds = _returns_of(session, ids), _refunds_of(session, ids)
    return [
        _sale_row(sale, channel or "", place or "", returns[sale.id], refunds[sale.id])
        for sale, channel, place in sales
    ]


def _returns_of(session: Session, sale_ids: Sequence[int]) -> dict[int, list[ReturnRow]]:
    found: dict[int, list[ReturnRow]] = defaultdict(list)
    wanted = select(SaleReturn).where(SaleReturn.sale_id.in_(sale_ids)).order_by(SaleReturn.id)
    for row in session.scalars(wanted):
        found[row.sale_id].append(return_row_of(row))
    return found


def _refunds_of(session: Session, sale_ids: Sequence[int]) -> dict[int, list[RefundRow]]:
    found: dict[int, list[RefundRow]] = defaultdict(list)
    wanted = select(SaleRefund).where(SaleRefund.sale_id.in_(sale_ids)).order_by(SaleRefund.id)
    for row in session.scalars(wanted):
        found[row.sale_id].append(refund_row_of(row))
    return found


def _sale_row(
    sale: Sale, channel_name: str, tax_place: str, returns: Sequence[ReturnRow], refunds: Sequence[RefundRow]
) -> SaleRow:
    return SaleRow(
        id=sale.id,
        piece_id=sale.piece_id,
        listing_id=sale.listing_id,
        channel_id=sale.channel_id,
        channel_name=channel_name,
        sold_on=sale.sold_on,
        price_cents=sale.price_cents,
        delivery_charged_cents=sale.delivery_charged_cents,
        delivery_paid_cents=sale.delivery_paid_cents,
        fees_cents=sale.fees_cents,
        tax_cents=sale.tax_cents,
        buyer_name=sale.buyer_name,
        note=sale.note,
        made_at=sale.made_at,
        struck_at=sale.struck_at,
        struck_reason=sale.struck_reason,
        returns=tuple(returns),
        refunds=tuple(refunds),
        tax_place_id=sale.tax_place_id,
        tax_place=tax_place,
        tax_rate_ppm=sale.tax_rate_ppm,
        tax_basis=sale.tax_basis,
        channel_tax_cents=sale.channel_tax_cents,
        untaxed_reason=sale.untaxed_reason,
    )


def return_row_of(row: SaleReturn) -> ReturnRow:
    """A stored return as a page shows it."""
    return ReturnRow(
        id=row.id,
        sale_id=row.sale_id,
        returned_on=row.returned_on,
        refund_cents=row.refund_cents,
        tax_refunded_cents=row.tax_refunded_cents,
        fees_back_cents=row.fees_back_cents,
        delivery_back_cents=row.delivery_back_cents,
        reason=row.reason,
        made_at=row.made_at,
        struck_at=row.struck_at,
        struck_reason=row.struck_reason,
    )


def refund_row_of(row: SaleRefund) -> RefundRow:
    """A stored refund in part as a page shows it."""
    return RefundRow(
        id=row.id,
        sale_id=row.sale_id,
        on_date=row.on_date,
        refund_cents=row.refund_cents,
        tax_refunded_cents=row.tax_refunded_cents,
        fees_back_cents=row.fees_back_cents,
        reason=row.reason,
        made_at=row.made_at,
        struck_at=row.struck_at,
        struck_reason=row.struck_reason,
    )
