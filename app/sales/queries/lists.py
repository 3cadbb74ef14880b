"""Read all sales by month, what came back, and what was given back in part."""

from collections.abc import Iterable
from dataclasses import dataclass

from sqlalchemy import ColumnElement, func, select
from sqlalchemy.orm import Session

from app.basics.dates import Month
from app.pieces.models import Piece
from app.pieces.rules import shown_name
from app.sales.models import Sale, SaleRefund, SaleReturn
from app.sales.queries.rows import RefundRow, ReturnRow, SaleRow, refund_row_of, return_row_of, sale_rows
from app.sales.rules import net_of_sale


@dataclass(frozen=True)
class SoldRow:
    """One sale in the list of all sales."""

    sale: SaleRow
    tag: str
    piece_name: str


@dataclass(frozen=True)
class BackRow:
    """One return in the list of a month."""

    came_back: ReturnRow
    tag: str
    piece_name: str


@dataclass(frozen=True)
class GivenBackRow:
    """One refund in part in the list of a month."""

    refund: RefundRow
    tag: str
    piece_name: str


@dataclass(frozen=True)
class SalesSums:
    """How many sales there are, and what those not struck out add up to, in cents."""

    rows: int
    counting: int
    price_cents: int
    delivery_charged_cents: int
    fees_cents: int
    delivery_paid_cents: int
    tax_cents: int

    @property
    def net_cents(self) -> int:
        """What remains of them after fees and delivery, returns not counted."""
        return net_of_sale(self.price_cents, self.delivery_charged_cents, self.delivery_paid_cents, self.fees_cents)


def all_sales(
    session: Session, *, month: Month | None = None, limit: int | None = None, offset: int = 0
) -> list[SoldRow]:
    """Sales, newest first, of a month or of all time, struck ones too; always the same number of queries."""
    wanted = select(Sale).order_by(Sale.sold_on.desc(), Sale.id.desc()).limit(limit).offset(offset)
    if month is not None:
        wanted = wanted.where(Sale.sold_on.between(month.first, month.last))
    rows = sale_rows(session, wanted)
    names = _names_of(session, {row.piece_id for row in rows})
    return [SoldRow(row, *names[row.piece_id]) for row in rows]


def returns_in(session: Session, month: Month) -> list[BackRow]:
    """What came back in a month, whenever it was sold, newest first, struck ones too."""
    wanted = (
        select(SaleReturn, Piece)
        .join(Sale, Sale.id == SaleReturn.sale_id)
        .join(Piece, Piece.id == Sale.piece_id)
        .where(SaleReturn.returned_on.between(month.first, month.last))
        .order_by(SaleReturn.returned_on.desc(), SaleReturn.id.desc())
    )
    return [
        BackRow(return_row_of(back), piece.tag, shown_name(piece.title, piece.form))
        for back, piece in session.execute(wanted)
    ]


def refunds_in(session: Session, month: Month) -> list[GivenBackRow]:
    """What was given back in part in a month, whenever it was sold, newest first, struck ones too."""
    wanted = (
        select(SaleRefund, Piece)
        .join(Sale, Sale.id == SaleRefund.sale_id)
        .join(Piece, Piece.id == Sale.piece_id)
        .where(SaleRefund.on_date.between(month.first, month.last))
        .order_by(SaleRefund.on_date.desc(), SaleRefund.id.desc())
    )
    return [
        GivenBackRow(refund_row_of(refund), piece.tag, shown_name(piece.title, piece.form))
        for refund, piece in session.execute(wanted)
    ]


def sums_of_sales(session: Session, month: Month | None = None) -> SalesSums:
    """How many sales a month (or all time) holds, and what those that count add up to."""
    counts = Sale.struck_at.is_(None)
    wanted = select(
        func.count(Sale.id),
        func.count(Sale.id).filter(counts),
        _sum(Sale.price_cents, counts),
        _sum(Sale.delivery_charged_cents, counts),
        _sum(Sale.fees_cents, counts),
        _sum(Sale.delivery_paid_cents, counts),
        _sum(Sale.tax_cents, counts),
    )
    if month is not None:
        wanted = wanted.where(Sale.sold_on.between(month.first, month.last))
    return SalesSums(*session.execute(wanted).one())


def months_with_sales(session: Session) -> list[Month]:
    """The months in which something was sold, came back or was given back, newest first."""
    days = {*session.scalars(select(Sale.sold_on).distinct())}
    days |= {*session.scalars(select(SaleReturn.returned_on).distinct())}
    days |= {*session.scalars(select(SaleRefund.on_date).distinct())}
    return sorted({Month.of(day) for day in days}, reverse=True)


def _sum(column: ColumnElement[int] | object, counts: ColumnElement[bool]) -> ColumnElement[int]:
    return func.coalesce(func.sum(column).filter(counts), 0)


def _names_of(session: Session, piece_ids: Iterable[int]) -> dict[int, tuple[str, str]]:
    wanted = select(Piece.id, Piece.tag, Piece.title, Piece.form).where(Piece.id.in_(list(piece_ids)))
    return {id_: (tag, shown_name(title, form)) for id_, tag, title, form in session.execute(wanted)}
