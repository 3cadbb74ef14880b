"""Read channels, listings, asking prices and holds."""

from collections import defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date, datetime
from decimal import Decimal

from sqlalchemy import func, select
from sqlalchemy.orm import Session

from app.basics.dates import local_day
from app.basics.errors import NotFound
from app.floor.models import AskingPrice, Channel, Hold, Listing, ListingChannel
from app.floor.rules import (
    FloorOrder,
    days_on_floor,
    fee_proposed,
    hold_has_run_out,
    price_after_fees,
    sits_too_long,
    title_of,
)
from app.photos.queries import PhotoRow, front_photos
from app.pieces.queries import PieceRow, piece_rows
from app.shop.queries import shop_facts

FIRST_VERSION = 1


@dataclass(frozen=True)
class ChannelRow:
    """A kind of place where pieces are offered, and what it takes from a sale."""

    id: int
    name: str
    percent_hundredths: int
    fixed_cents: int
    is_put_away: bool
    version: int

    @property
    def title(self) -> str:
        """Its name as it begins a line."""
        return title_of(self.name)

    @property
    def is_free(self) -> bool:
        """Whether it takes nothing."""
        return not self.percent_hundredths and not self.fixed_cents

    @property
    def is_unset(self) -> bool:
        """Whether nobody has said yet what it takes."""
        return self.is_free and self.version == FIRST_VERSION

    def fee_on(self, price_cents: int) -> int:
        """The fee proposed for a price, in cents."""
        return fee_proposed(price_cents, self.percent_hundredths, self.fixed_cents)

    def price_to_keep(self, wanted_cents: int) -> int:
        """The smallest price that leaves what is wanted after its fees, in cents."""
        return price_after_fees(wanted_cents, Decimal(self.percent_hundredths) / 100, self.fixed_cents)


@dataclass(frozen=True)
class RemainsRow:
    """What a channel leaves of a price, and what to ask there to keep a wanted amount, in cents."""

    channel: ChannelRow
    fee_cents: int | None
    left_cents: int | None
    ask_cents: int | None


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


def channels(session: Session, include_put_away: bool = False) -> list[ChannelRow]:  # noqa: FBT001, FBT002 - one plain switch
    """The channels by name, without those put away unless asked for."""
    wanted = select(Channel).order_by(func.lower(Channel.name), Channel.id)
    if not include_put_away:
        wanted = wanted.where(Channel.is_put_away.is_(False))
    return [_channel_row(channel) for channel in session.scalars(wanted)]


def channel_names(rows: Iterable[ChannelRow]) -> str:
    """The names of channels in one line; "none" where there is none."""
    return ", ".join(row.name for row in rows) or "none"


def channel_by_id(session: Session, channel_id: int) -> ChannelRow:
    """A channel by its number; raises NotFound."""
    channel = session.get(Channel, channel_id)
    if channel is None:
        raise NotFound("channel")
    return _channel_row(channel)


def what_remains(
    offered: Iterable[ChannelRow], price_cents: int | None, wanted_cents: int | None = None
) -> list[RemainsRow]:
    """What each channel leaves of a price, and asks for a wanted amount; nothing without either."""
    if price_cents is None and wanted_cents is None:
        return []
    rows = []
    for channel in offered:
        fee = None if price_cents is None else channel.fee_on(price_cents)
        left = None if price_cents is None or fee is None else price_cents - fee
        ask = None if wanted_cents is None else channel.price_to_keep(wanted_cents)
        rows.append(RemainsRow(channel, fee, left, ask))
    return rows


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
    on = _channels_of(session, [row.id for row in rows])
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


def _channels_of(session: Session, listing_ids: Iterable[int]) -> dict[int, list[ChannelRow]]:
    found: dict[int, list[ChannelRow]] = defaultdict(list)
    wanted = (
        select(ListingChannel.listing_id, Channel)
        .join(Channel, Channel.id == ListingChannel.channel_id)
        .where(ListingChannel.listing_id.in_(list(listing_ids)))
        .order_by(func.lower(Channel.name), Channel.id)
    )
    for listing_id, channel in session.execute(wanted):
        found[listing_id].append(_channel_row(channel))
    return found


def _standing_holds(session: Session, piece_ids: Iterable[int]) -> dict[int, HoldRow]:
    wanted = select(Hold).where(Hold.piece_id.in_(list(piece_ids)), Hold.lifted_at.is_(None))
    return {
        hold.piece_id: HoldRow(hold.id, hold.piece_id, hold.held_for, hold.until, hold.note, hold.made_at)
        for hold in session.scalars(wanted)
    }


def _channel_row(channel: Channel) -> ChannelRow:
    return ChannelRow(
        id=channel.id,
        name=channel.name,
        percent_hundredths=channel.percent_hundredths,
        fixed_cents=channel.fixed_cents,
        is_put_away=channel.is_put_away,
        version=channel.version,
    )
