"""Read what the books say each channel took in from buyers in a year, beside what its own statement says."""

from collections import defaultdict
from dataclasses import dataclass
from datetime import date
from typing import Any

from sqlalchemy import ColumnElement, func, select
from sqlalchemy.orm import Session

from app.basics.errors import NotFound
from app.costs.models import Adjustment
from app.costs.rules import AdjustedPart
from app.floor.models import Channel
from app.floor.rules import title_of
from app.pieces.models import Piece
from app.pieces.rules import shown_name
from app.reports.models import ChannelStatement
from app.reports.rules.statements import ChannelYear, Statement
from app.sales.models import Sale, SaleRefund, SaleReturn

NO_CHANNEL = "No channel"
MONEY_PARTS = (AdjustedPart.PRICE, AdjustedPart.DELIVERY_CHARGED, AdjustedPart.TAX)


@dataclass(frozen=True)
class ChannelSale:
    """One sale as the buyer paid it, in cents, with what was corrected since."""

    sale_id: int
    tag: str
    piece_name: str
    on: date
    price: int
    delivery: int
    shop_tax: int
    channel_tax: int

    @property
    def gross(self) -> int:
        """All the buyer paid."""
        return self.price + self.delivery + self.shop_tax + self.channel_tax


def channel_years(session: Session, year: int) -> list[ChannelYear]:
    """Each channel with a sale or a statement in the year, by name, sales under no channel last; six queries."""
    sums = {row.channel_id: row for row in session.execute(_sums(year))}
    corrected = _corrected(session, year)
    back = _given_back(session, year)
    noted = session.scalars(select(ChannelStatement).where(ChannelStatement.year == year))
    said = {row.channel_id: row for row in noted}
    names: dict[int | None, str] = {None: NO_CHANNEL}
    for channel_id, name in session.execute(select(Channel.id, Channel.name)):
        names[channel_id] = title_of(name)
    channels = sorted({*sums, *said}, key=lambda one: (one is None, names[one].casefold()))
    return [
        ChannelYear(
            channel_id=one,
            name=names[one],
            **_paid(sums.get(one), corrected[one]),
            given_back=back.get(one, 0),
            statement=_statement(said.get(one or 0)),
        )
        for one in channels
    ]


def channel_year(session: Session, year: int, channel_id: int | None) -> ChannelYear:
    """One channel in a year, with nothing in it too; raises NotFound for an unknown channel."""
    for found in channel_years(session, year):
        if found.channel_id == channel_id:
            return found
    channel = None if channel_id is None else session.get(Channel, channel_id)
    if channel is None and channel_id is not None:
        raise NotFound("channel")
    name = title_of(channel.name) if channel else NO_CHANNEL
    return ChannelYear(channel_id, name, 0, 0, 0, 0, 0, 0, None)


def channel_sales(
    session: Session, year: int, channel_id: int | None, *, limit: int | None = None, offset: int = 0
) -> list[ChannelSale]:
    """The sales through a channel in a year, the oldest first; two queries."""
    wanted = (
        select(Sale, Piece.tag, Piece.title, Piece.form)
        .join(Piece, Piece.id == Sale.piece_id)
        .where(*_counting(year), Sale.channel_id == channel_id)
        .order_by(Sale.sold_on, Sale.id)
        .limit(limit)
        .offset(offset)
    )
    found = session.execute(wanted).all()
    put_right: dict[int, dict[AdjustedPart, int]] = defaultdict(lambda: defaultdict(int))
    for sale_id, part, cents in session.execute(_corrections(year, Adjustment.corrects_id)):
        put_right[sale_id][part] += cents
    return [_channel_sale(sale, put_right[sale.id], tag, shown_name(title, form)) for sale, tag, title, form in found]


def years_with_sales(session: Session, present: int) -> list[int]:
    """The years from the first sale to the present one, the newest first; one query."""
    first = session.scalar(select(func.min(Sale.sold_on)))
    return list(range(present, min(first.year if first else present, present) - 1, -1))


def _counting(year: int) -> tuple[ColumnElement[bool], ...]:
    return Sale.struck_at.is_(None), Sale.sold_on.between(date(year, 1, 1), date(year, 12, 31))


def _sums(year: int) -> Any:
    amounts = (Sale.price_cents, Sale.delivery_charged_cents, Sale.tax_cents, Sale.channel_tax_cents)
    summed = [func.sum(amount) for amount in amounts]
    return select(Sale.channel_id, func.count(Sale.id), *summed).where(*_counting(year)).group_by(Sale.channel_id)


def _corrections(year: int, by: Any) -> Any:
    return (
        select(by, Adjustment.part, func.sum(Adjustment.cents))
        .join(Sale, Sale.id == Adjustment.corrects_id)
        .where(Adjustment.corrects_table == "sale", Adjustment.part.in_(MONEY_PARTS), Adjustment.struck_at.is_(None))
        .where(*_counting(year))
        .group_by(by, Adjustment.part)
    )


def _corrected(session: Session, year: int) -> dict[int | None, dict[AdjustedPart, int]]:
    found: dict[int | None, dict[AdjustedPart, int]] = defaultdict(lambda: defaultdict(int))
    for channel_id, part, cents in session.execute(_corrections(year, Sale.channel_id)):
        found[channel_id][part] += cents
    return found


def _given_back(session: Session, year: int) -> dict[int | None, int]:
    """What was given back in the year on sales through each channel, as corrected since; four queries."""
    first, last = date(year, 1, 1), date(year, 12, 31)
    found: dict[int | None, int] = defaultdict(int)
    for row, day in ((SaleReturn, SaleReturn.returned_on), (SaleRefund, SaleRefund.on_date)):
        given = func.sum(row.refund_cents + row.tax_refunded_cents)
        wanted = select(Sale.channel_id, given).join(row, row.sale_id == Sale.id)
        wanted = wanted.where(row.struck_at.is_(None), day.between(first, last)).group_by(Sale.channel_id)
        put_right = (
            select(Sale.channel_id, func.sum(Adjustment.cents))
            .select_from(Adjustment)
            .join(row, row.id == Adjustment.corrects_id)
            .join(Sale, Sale.id == row.sale_id)
            .where(Adjustment.corrects_table == row.__tablename__, Adjustment.struck_at.is_(None))
            .where(Adjustment.part.in_((AdjustedPart.REFUND, AdjustedPart.TAX)))
            .where(Adjustment.corrects_on.between(first, last))
            .group_by(Sale.channel_id)
        )
        for channel_id, cents in (*session.execute(wanted), *session.execute(put_right)):
            found[channel_id] += cents
    return found


def _paid(sums: Any, corrected: dict[AdjustedPart, int]) -> dict[str, int]:
    payments, price, delivery, shop_tax, channel_tax = tuple(sums)[1:] if sums else (0, 0, 0, 0, 0)
    return {
        "payments": payments,
        "price": price + corrected[AdjustedPart.PRICE],
        "delivery": delivery + corrected[AdjustedPart.DELIVERY_CHARGED],
        "shop_tax": shop_tax + corrected[AdjustedPart.TAX],
        "channel_tax": channel_tax,
    }


def _statement(said: ChannelStatement | None) -> Statement | None:
    return Statement(said.gross_cents, said.note, said.version) if said else None


def _channel_sale(sale: Sale, put_right: dict[AdjustedPart, int], tag: str, name: str) -> ChannelSale:
    return ChannelSale(
        sale_id=sale.id,
        tag=tag,
        piece_name=name,
        on=sale.sold_on,
        price=sale.price_cents + put_right[AdjustedPart.PRICE],
        delivery=sale.delivery_charged_cents + put_right[AdjustedPart.DELIVERY_CHARGED],
        shop_tax=sale.tax_cents + put_right[AdjustedPart.TAX],
        channel_tax=sale.channel_tax_cents,
    )
