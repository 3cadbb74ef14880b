"""Read sales and returns: of one piece, one by its number, and all of them by month."""

from collections import defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date, datetime
from typing import Any

from sqlalchemy import ColumnElement, Select, func, select
from sqlalchemy.orm import Session

from app.basics.dates import Month
from app.basics.errors import NotFound, RuleError
from app.floor.models import Channel
from app.floor.queries import ChannelRow, ListingSheet, channels, open_listing
from app.floor.rules import title_of
from app.pieces.models import Piece, Transfer
from app.pieces.queries import PieceRow, piece_by_tag, piece_row, require_day_that_fits, steps_of
from app.pieces.rules import StepKind, last_standing, shown_name
from app.sales.models import Sale, SaleReturn
from app.sales.rules import (
    NewReturn,
    NewSale,
    SaleMoney,
    net_of_sale,
    require_returnable,
    require_sellable,
    require_sound_return,
    require_sound_sale,
)


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
class SaleRow:
    """One sale in cents with every return of it; struck ones are flagged and no longer count."""

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
    def taken_in_cents(self) -> int:
        """Price and delivery charged, without sales tax."""
        return self.price_cents + self.delivery_charged_cents

    @property
    def net_cents(self) -> int:
        """What remains of the sale after fees and delivery, returns not counted."""
        return net_of_sale(self.price_cents, self.delivery_charged_cents, self.delivery_paid_cents, self.fees_cents)

    @property
    def money(self) -> SaleMoney:
        """The amounts a return is measured against."""
        return SaleMoney(
            sold_on=self.sold_on,
            price_cents=self.price_cents,
            delivery_charged_cents=self.delivery_charged_cents,
            delivery_paid_cents=self.delivery_paid_cents,
            fees_cents=self.fees_cents,
            tax_cents=self.tax_cents,
        )


@dataclass(frozen=True)
class SaleSheet:
    """One sale with its piece and every sale of that piece, this one too, oldest first."""

    sale: SaleRow
    piece: PieceRow
    all_of_piece: tuple[SaleRow, ...]


@dataclass(frozen=True)
class SellCard:
    """What the sell page starts from: the piece, its spell on the floor, channels, and the sale that stands."""

    piece: PieceRow
    listing: ListingSheet | None
    channels: tuple[ChannelRow, ...]
    standing_sale: SaleRow | None

    def fee_proposed(self, channel_id: int | None, price_cents: int) -> int:
        """What the chosen channel would take of a price, in cents; nothing without a channel."""
        return next((row.fee_on(price_cents) for row in self.channels if row.id == channel_id), 0)


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


def sales_of(session: Session, piece_id: int) -> list[SaleRow]:
    """Every sale of a piece, oldest first, struck and returned ones too."""
    return _sale_rows(session, select(Sale).where(Sale.piece_id == piece_id).order_by(Sale.id))


def sale_row(session: Session, sale_id: int) -> SaleRow:
    """A sale by its number; raises NotFound."""
    rows = _sale_rows(session, select(Sale).where(Sale.id == sale_id))
    if not rows:
        raise NotFound("sale")
    return rows[0]


def sale_sheet(session: Session, sale_id: int) -> SaleSheet:
    """A sale with its piece and that piece's other sales; raises NotFound."""
    piece_id = session.scalar(select(Sale.piece_id).where(Sale.id == sale_id))
    if piece_id is None:
        raise NotFound("sale")
    rows = sales_of(session, piece_id)
    sale = next(row for row in rows if row.id == sale_id)
    return SaleSheet(sale, piece_row(session, piece_id), tuple(rows))


def return_row(session: Session, return_id: int) -> ReturnRow:
    """A return by its number; raises NotFound."""
    found = session.get(SaleReturn, return_id)
    if found is None:
        raise NotFound("return")
    return _return_row(found)


def sell_card(session: Session, tag: str) -> SellCard:
    """What the sell page of a piece starts from; a channel put away is offered while the piece is on it."""
    piece = piece_by_tag(session, tag)
    listing = open_listing(session, piece.id)
    offered = channels(session)
    known = {row.id for row in offered}
    offered += [row for row in (listing.channels if listing else ()) if row.id not in known]
    standing = next((row for row in sales_of(session, piece.id) if row.stands), None) if piece.is_sold else None
    return SellCard(piece, listing, tuple(offered), standing)


def check_sale(session: Session, new: NewSale, today: date) -> None:
    """Refuse a sale that may not be recorded as the ledger stands; raises NotFound for an unknown piece."""
    piece = piece_row(session, new.piece_id)
    require_sellable(piece.stage, piece.left_as)
    last_step = last_standing(steps_of(session, piece.id))
    require_sound_sale(new, sourced_on=piece.sourced_on, last_step_on=last_step.on_date, today=today)
    require_day_that_fits(session, piece.id, new.sold_on, "sold_on")
    if new.channel_id is not None and session.get(Channel, new.channel_id) is None:
        raise RuleError("Choose from the channels shown.", "channel")


def check_return(sale: SaleRow, new: NewReturn, today: date) -> None:
    """Refuse a return that may not be recorded as the sale stands."""
    require_returnable(is_struck=sale.is_struck, is_returned=sale.came_back is not None)
    require_sound_return(new, sale.money, today)


def check_strike_return(session: Session, return_id: int) -> ReturnRow:
    """The return, when striking it out would leave the piece's history sound; raises NotFound.

    Refuses one struck out before, one the piece has moved, left or been split after, and one that is not the
    piece's newest (RuleError).
    """
    row = return_row(session, return_id)
    if row.is_struck:
        raise RuleError("This return is struck out already.")
    piece_id = sale_row(session, row.sale_id).piece_id
    last_step = last_standing(steps_of(session, piece_id))
    newest = max(back.id for sale in sales_of(session, piece_id) for back in sale.returns if not back.is_struck)
    if last_step.kind is not StepKind.RETURN or newest != row.id:
        raise RuleError("The piece has moved on since it came back, so this return cannot be struck out.")
    if _was_split_after(session, piece_id, row):
        raise RuleError("The piece was split after it came back, so this return cannot be struck out.")
    return row


def all_sales(
    session: Session, *, month: Month | None = None, limit: int | None = None, offset: int = 0
) -> list[SoldRow]:
    """Sales, newest first, of a month or of all time, struck ones too; always the same number of queries."""
    wanted = select(Sale).order_by(Sale.sold_on.desc(), Sale.id.desc()).limit(limit).offset(offset)
    if month is not None:
        wanted = wanted.where(Sale.sold_on.between(month.first, month.last))
    rows = _sale_rows(session, wanted)
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
        BackRow(_return_row(back), piece.tag, shown_name(piece.title, piece.form))
        for back, piece in session.execute(wanted)
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
    """The months in which something was sold or came back, newest first."""
    days = {*session.scalars(select(Sale.sold_on).distinct())}
    days |= {*session.scalars(select(SaleReturn.returned_on).distinct())}
    return sorted({Month.of(day) for day in days}, reverse=True)


def _sum(column: ColumnElement[int] | object, counts: ColumnElement[bool]) -> ColumnElement[int]:
    return func.coalesce(func.sum(column).filter(counts), 0)


def _sale_rows(session: Session, wanted: Select[Any]) -> list[SaleRow]:
    sales: Sequence[Sale] = session.scalars(wanted).all()
    returns = _returns_of(session, [sale.id for sale in sales])
    names = {channel_id: name for channel_id, name in session.execute(select(Channel.id, Channel.name))}  # noqa: C416 - a Row is no plain pair to the type checker
    return [_sale_row(sale, names.get(sale.channel_id or 0, ""), returns[sale.id]) for sale in sales]


def _returns_of(session: Session, sale_ids: Sequence[int]) -> dict[int, list[ReturnRow]]:
    found: dict[int, list[ReturnRow]] = defaultdict(list)
    wanted = select(SaleReturn).where(SaleReturn.sale_id.in_(sale_ids)).order_by(SaleReturn.id)
    for row in session.scalars(wanted):
        found[row.sale_id].append(_return_row(row))
    return found


def _names_of(session: Session, piece_ids: Iterable[int]) -> dict[int, tuple[str, str]]:
    wanted = select(Piece.id, Piece.tag, Piece.title, Piece.form).where(Piece.id.in_(list(piece_ids)))
    return {id_: (tag, shown_name(title, form)) for id_, tag, title, form in session.execute(wanted)}


def _was_split_after(session: Session, piece_id: int, came_back: ReturnRow) -> bool:
    wanted = select(Transfer.id).where(
        Transfer.from_piece_id == piece_id,
        # A split may be dated like the return and yet have been made before the sale.
        Transfer.made_at >= came_back.made_at,
    )
    return session.scalar(wanted.limit(1)) is not None


def _sale_row(sale: Sale, channel_name: str, returns: Sequence[ReturnRow]) -> SaleRow:
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
    )


def _return_row(row: SaleReturn) -> ReturnRow:
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
