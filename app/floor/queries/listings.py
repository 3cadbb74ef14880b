"""Read listings, asking prices and holds."""

from collections import defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date, datetime

from sqlalchemy import select
from sqlalchemy.orm import Session

from app.basics.dates import local_day
from app.floor.models import AskingPrice, Hold, Listing
from app.floor.queries.channels import ChannelRow, channels_of
from app.floor.rules import FloorOrder, days_on_floor, hold_has_run_out, sits_too_long
from app.photos.queries import PhotoRow, front_photos
from app.pieces.queries import PieceRow, piece_rows
from app.shop.queries import shop_facts


@dataclass(frozen=True)
class PriceRow:
    """What was asked from a day on, in cents."""

    id: int
    on_date: date
    cents: int
    note: str
    made_at: datetime


@dataclass(frozen=True)
class HoldRow:
    """The hold that stands on a piece, until a day that counts in full."""

    id: int
    piece_id: int
    held_for: str
    until: date
    note: str
    made_at: datetime

    def has_run_out(self, today: date) -> bool:
        """Whether its last day is over."""
        return hold_has_run_out(self.until, today)


@dataclass(frozen=True)
class ListingSheet:
    """One spell of a piece on the floor: its prices (oldest first), channels, and the hold that stands now."""

    id: int
    piece_id: int
    listed_on: date
    ended_on: date | None
    ended_by: str | None
    prices: tuple[PriceRow, ...]
    channels: tuple[ChannelRow, ...]
    hold: HoldRow | None

    @property
    def asking_cents(self) -> int:
        """The newest price."""
        return self.prices[-1].cents

    @property
    def first_asked_cents(self) -> int:
        """The price it was listed at."""
        return self.prices[0].cents

    @property
    def last_price_on(self) -> date:
        """The day of the newest price."""
        return self.prices[-1].on_date

    @property
    def price_moves(self) -> int:
        """How often the price changed."""
        return len(self.prices) - 1

    def days(self, today: date) -> int:
        """Whole days on the floor, up to its end or to `today`."""
        return days_on_floor(self.listed_on, self.ended_on or today)


@dataclass(frozen=True)
class FloorCard:
    """A piece for sale as the floor shows it; `sits_too_long` compares its days with the shop's threshold."""

    piece: PieceRow
    listing: ListingSheet
    photo: PhotoRow | None
    days: int
    sits_too_long: bool


def shop_today(session: Session, now: datetime) -> date:
    """The shop's own calendar day at an instant; before the first start that of UTC."""
    facts = shop_facts(session)
    return local_day(now, facts.time_zone if facts else "UTC")


def open_listing(session: Session, piece_id: int) -> ListingSheet | None:
    """The spell on the floor a piece is in now, or None when it is not for sale."""
    row = session.scalar(select(Listing).where(Listing.piece_id == piece_id, Listing.ended_on.is_(None)))
    return None if row is None else _sheets(session, [row])[0]


def listings_of(session: Session, piece_id: int) -> list[ListingSheet]:
    """Every spell of a piece on the floor, oldest first."""
    rows = session.scalars(select(Listing).where(Listing.piece_id == piece_id).order_by(Listing.id)).all()
    return _sheets(session, rows)


def floor_cards(
    session: Session, today: date, *, order: FloorOrder = FloorOrder.LONGEST, too_long_days: int = 60
) -> list[FloorCard]:
    """Every piece for sale now, in the order asked for; always the same number of queries."""
    sheets = _sheets(session, session.scalars(select(Listing).where(Listing.ended_on.is_(None))).all())
    ids = [sheet.piece_id for sheet in sheets]
    pieces = {piece.id: piece for piece in piece_rows(session, ids=ids)}
    photos = front_photos(session, ids)
    cards = [
        FloorCard(
            piece=pieces[sheet.piece_id],
            listing=sheet,
            photo=photos.get(sheet.piece_id),
            days=sheet.days(today),
            sits_too_long=sits_too_long(sheet.days(today), too_long_days),
        )
        for sheet in sheets
    ]
    return _in_order(cards, order)


def _in_order(cards: list[FloorCard], order: FloorOrder) -> list[FloorCard]:
    by_age = sorted(cards, key=lambda card: (card.listing.listed_on, card.listing.id))
    if order is FloorOrder.NEWEST:
        return by_age[::-1]
    if order is FloorOrder.DEAREST:
        return sorted(by_age, key=lambda card: -card.listing.asking_cents)
    if order is FloorOrder.CHEAPEST:
        return sorted(by_age, key=lambda card: card.listing.asking_cents)
    return by_age


def _sheets(session: Session, rows: Sequence[Listing]) -> list[ListingSheet]:
    prices = _prices_of(session, [row.id for row in rows])
    on = channels_of(session, [row.id for row in rows])
    holds = _standing_holds(session, [row.piece_id for row in rows])
    return [
        ListingSheet(
            id=row.id,
            piece_id=row.piece_id,
            listed_on=row.listed_on,
            ended_on=row.ended_on,
            ended_by=row.ended_by,
            prices=tuple(prices[row.id]),
            channels=tuple(on[row.id]),
            hold=holds.get(row.piece_id) if row.ended_on is None else None,
        )
        for row in rows
    ]


def _prices_of(session: Session, listing_ids: Iterable[int]) -> dict[int, list[PriceRow]]:
    found: dict[int, list[PriceRow]] = defaultdict(list)
    wanted = select(AskingPrice).where(AskingPrice.listing_id.in_(list(listing_ids))).order_by(AskingPrice.id)
    for row in session.scalars(wanted):
        found[row.listing_id].append(PriceRow(row.id, row.on_date, row.cents, row.note, row.made_at))
    return found


def _standing_holds(session: Session, piece_ids: Iterable[int]) -> dict[int, HoldRow]:
    wanted = select(Hold).where(Hold.piece_id.in_(list(piece_ids)), Hold.lifted_at.is_(None))
    return {
        hold.piece_id: HoldRow(hold.id, hold.piece_id, hold.held_for, hold.until, hold.note, hold.made_at)
        for hold in session.scalars(wanted)
    }
