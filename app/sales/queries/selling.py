"""Read what the pages of selling start from, and ask whether a sale, a return or a refund may be."""

from dataclasses import dataclass, replace
from datetime import date

from sqlalchemy import func, select
from sqlalchemy.orm import Session

from app.basics.errors import NotFound, RuleError
from app.costs.models import Adjustment
from app.costs.rules import AdjustedPart
from app.floor.models import Channel
from app.floor.queries import ChannelRow, ListingSheet, channels, open_listing
from app.pieces.models import Transfer
from app.pieces.queries import PieceRow, piece_by_tag, piece_row, require_day_that_fits, steps_of
from app.pieces.rules import StepKind, last_standing
from app.sales.models import Sale, TaxPlace
from app.sales.queries.deposits import AppliedRow, DepositRow, applied_to, standing_deposits
from app.sales.queries.rows import ReturnRow, SaleRow, return_row, sale_row, sales_of
from app.sales.queries.tax import TaxPlaceRow, last_tax_place, tax_places
from app.sales.rules import (
    NewRefund,
    NewReturn,
    NewSale,
    PlaceOfTax,
    SaleMoney,
    require_applicable,
    require_no_deposit,
    require_refundable,
    require_returnable,
    require_sellable,
    require_sound_refund,
    require_sound_return,
    require_sound_sale,
)
from app.shop.queries import require_open


@dataclass(frozen=True)
class SaleSheet:
    """One sale with its piece, the deposits applied to it, and every sale of that piece, this one too, oldest first."""

    sale: SaleRow
    piece: PieceRow
    all_of_piece: tuple[SaleRow, ...]
    applied: tuple[AppliedRow, ...]

    @property
    def applied_cents(self) -> int:
        """What of its price was paid before, as deposits."""
        return sum(row.cents for row in self.applied)


@dataclass(frozen=True)
class SellCard:
    """What the sell page starts from: the piece, its spell on the floor, channels, and the sale that stands.

    With the places sales tax may be for (`last_place_id` is the one of the last sale) and the deposits that
    stand on the piece.
    """

    piece: PieceRow
    listing: ListingSheet | None
    channels: tuple[ChannelRow, ...]
    standing_sale: SaleRow | None
    places: tuple[TaxPlaceRow, ...] = ()
    last_place_id: int | None = None
    deposits: tuple[DepositRow, ...] = ()

    def channels_on(self, day: date) -> list[ChannelRow]:
        """The channels with what each takes on a day."""
        return [row.on(day) for row in self.channels]

    def channel_on(self, channel_id: int | None, day: date) -> ChannelRow | None:
        """The chosen channel with what it takes on a day; None without a channel."""
        return next((row.on(day) for row in self.channels if row.id == channel_id), None)

    def fee_proposed(self, channel_id: int | None, price_cents: int, day: date) -> int:
        """What the chosen channel would take of a price on a day, in cents; nothing without a channel."""
        through = self.channel_on(channel_id, day)
        return through.fee_on(price_cents) if through else 0

    def place_on(self, place_id: int | None, day: date) -> PlaceOfTax | None:
        """The chosen place of sales tax with the rate of a day; None without a place."""
        return next((row.on(day) for row in self.places if row.id == place_id), None)


def sale_sheet(session: Session, sale_id: int) -> SaleSheet:
    """A sale with its piece and that piece's other sales; raises NotFound."""
    piece_id = session.scalar(select(Sale.piece_id).where(Sale.id == sale_id))
    if piece_id is None:
        raise NotFound("sale")
    rows = sales_of(session, piece_id)
    sale = next(row for row in rows if row.id == sale_id)
    return SaleSheet(sale, piece_row(session, piece_id), tuple(rows), tuple(applied_to(session, sale_id)))


def sell_card(session: Session, tag: str) -> SellCard:
    """What the sell page of a piece starts from; a channel put away is offered while the piece is on it."""
    piece = piece_by_tag(session, tag)
    listing = open_listing(session, piece.id)
    offered = channels(session)
    known = {row.id for row in offered}
    offered += [row for row in (listing.channels if listing else ()) if row.id not in known]
    standing = next((row for row in sales_of(session, piece.id) if row.stands), None) if piece.is_sold else None
    places = tax_places(session)
    last = last_tax_place(session) if places else None
    return SellCard(
        piece,
        listing,
        tuple(offered),
        standing,
        tuple(places),
        last if last in {place.id for place in places} else None,
        tuple(standing_deposits(session, piece.id)),
    )


def check_sale(session: Session, new: NewSale, today: date) -> None:
    """Refuse a sale that may not be recorded as the ledger stands; raises NotFound for an unknown piece."""
    piece = piece_row(session, new.piece_id)
    require_sellable(piece.stage, piece.left_as)
    require_open(session, new.sold_on, "sold_on")
    last_step = last_standing(steps_of(session, piece.id))
    require_sound_sale(new, sourced_on=piece.sourced_on, last_step_on=last_step.on_date, today=today)
    require_day_that_fits(session, piece.id, new.sold_on, "sold_on")
    if new.channel_id is not None and session.get(Channel, new.channel_id) is None:
        raise RuleError("Choose from the channels shown.", "channel")
    if new.tax_place_id is not None and session.get(TaxPlace, new.tax_place_id) is None:
        raise RuleError("Choose from the places shown.", "tax_place")
    standing = [row.standing for row in standing_deposits(session, piece.id)]
    require_applicable(standing, new.deposit_ids, sold_on=new.sold_on, due_cents=new.due_cents)


def check_return(session: Session, sale: SaleRow, new: NewReturn, today: date) -> None:
    """Refuse a return that may not be recorded as the sale stands."""
    require_returnable(is_struck=sale.is_struck, is_returned=sale.came_back is not None)
    require_open(session, new.returned_on, "returned_on")
    require_sound_return(new, _money_as_corrected(session, sale), today)


def check_refund(session: Session, sale: SaleRow, new: NewRefund, today: date) -> None:
    """Refuse a refund in part that may not be recorded as the sale stands."""
    require_refundable(is_struck=sale.is_struck, is_returned=sale.came_back is not None)
    require_open(session, new.on_date, "on_date")
    require_sound_refund(new, _money_as_corrected(session, sale), today)


def _money_as_corrected(session: Session, sale: SaleRow) -> SaleMoney:
    """The amounts a refund is measured against: never more than a correction of a closed month left of the sale."""
    changes = select(Adjustment.part, func.sum(Adjustment.cents)).where(
        Adjustment.corrects_table == "sale", Adjustment.corrects_id == sale.id, Adjustment.struck_at.is_(None)
    )
    corrected: dict[AdjustedPart, int] = {
        part: min(int(cents), 0) for part, cents in session.execute(changes.group_by(Adjustment.part))
    }
    money = sale.money
    return replace(
        money,
        price_cents=money.price_cents + corrected.get(AdjustedPart.PRICE, 0),
        delivery_charged_cents=money.delivery_charged_cents + corrected.get(AdjustedPart.DELIVERY_CHARGED, 0),
        delivery_paid_cents=money.delivery_paid_cents + corrected.get(AdjustedPart.DELIVERY_PAID, 0),
        fees_cents=money.fees_cents + corrected.get(AdjustedPart.FEES, 0),
        tax_cents=money.tax_cents + corrected.get(AdjustedPart.TAX, 0),
    )


def check_strike_return(session: Session, return_id: int) -> ReturnRow:
    """The return, when striking it out would leave the piece's history sound; raises NotFound.

    Refuses one struck out before, one the piece has moved, left or been split after, and one that is not the
    piece's newest, as well as one in a closed month or with a deposit on the piece since (RuleError).
    """
    row = return_row(session, return_id)
    if row.is_struck:
        raise RuleError("This return is struck out already.")
    require_open(session, row.returned_on)
    piece_id = sale_row(session, row.sale_id).piece_id
    last_step = last_standing(steps_of(session, piece_id))
    newest = max(back.id for sale in sales_of(session, piece_id) for back in sale.returns if not back.is_struck)
    if last_step.kind is not StepKind.RETURN or newest != row.id:
        raise RuleError("The piece has moved on since it came back, so this return cannot be struck out.")
    if _was_split_after(session, piece_id, row):
        raise RuleError("The piece was split after it came back, so this return cannot be struck out.")
    require_no_deposit(deposit.payer for deposit in standing_deposits(session, piece_id))
    return row


def _was_split_after(session: Session, piece_id: int, came_back: ReturnRow) -> bool:
    wanted = select(Transfer.id).where(
        Transfer.from_piece_id == piece_id,
        # A split may be dated like the return and yet have been made before the sale.
        Transfer.made_at >= came_back.made_at,
    )
    return session.scalar(wanted.limit(1)) is not None
