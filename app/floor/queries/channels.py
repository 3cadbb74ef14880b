"""Read channels, and what each takes from which day on."""

from collections import defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from datetime import date, datetime
from decimal import Decimal
from typing import Any

from sqlalchemy import Select, and_, func, select
from sqlalchemy.orm import Session

from app.basics.errors import NotFound
from app.floor.models import Channel, ChannelFee, ListingChannel
from app.floor.rules import Takes, fee_proposed, price_after_fees, takes_on, title_of

FIRST_VERSION = 1


@dataclass(frozen=True)
class FeeRow:
    """What a channel takes from a day on, as its page shows it; `until` is the first day it holds no more."""

    id: int
    channel_id: int
    from_date: date
    until: date | None
    percent_hundredths: int
    fixed_cents: int
    note: str
    made_at: datetime
    struck_at: datetime | None
    struck_reason: str | None

    @property
    def is_struck(self) -> bool:
        """Whether it was struck out as a mistake."""
        return self.struck_at is not None

    @property
    def is_free(self) -> bool:
        """Whether nothing is taken."""
        return not self.percent_hundredths and not self.fixed_cents

    @property
    def is_unset(self) -> bool:
        """Never: a dated fee was said by the owner."""
        return False


@dataclass(frozen=True)
class ChannelRow:
    """A kind of place where pieces are offered, and what it takes from a sale.

    As it is read, that is what it took at first; `on(day)` is the same channel with what it takes on a day, and
    says since when in `since`.
    """

    id: int
    name: str
    percent_hundredths: int
    fixed_cents: int
    is_put_away: bool
    version: int
    dated: tuple[Takes, ...] = ()
    since: date | None = None

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
        return self.is_free and self.version == FIRST_VERSION and self.since is None

    def on(self, day: date) -> "ChannelRow":
        """The channel with what it takes on a day."""
        takes = takes_on(day, Takes(None, self.percent_hundredths, self.fixed_cents), self.dated)
        return replace(
            self,
            percent_hundredths=takes.percent_hundredths,
            fixed_cents=takes.fixed_cents,
            since=takes.from_date,
        )

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


def channels(session: Session, include_put_away: bool = False) -> list[ChannelRow]:  # noqa: FBT001, FBT002 - one plain switch
    """The channels by name, without those put away unless asked for; each with its dated fees; one query."""
    wanted = _with_fees()
    if not include_put_away:
        wanted = wanted.where(Channel.is_put_away.is_(False))
    return _channel_rows(session.execute(wanted))


def channel_names(rows: Iterable[ChannelRow]) -> str:
    """The names of channels in one line; "none" where there is none."""
    return ", ".join(row.name for row in rows) or "none"


def channel_by_id(session: Session, channel_id: int) -> ChannelRow:
    """A channel by its number; raises NotFound."""
    wanted = _with_fees().where(Channel.id == channel_id)
    for row in _channel_rows(session.execute(wanted)):
        return row
    raise NotFound("channel")


def channels_of(session: Session, listing_ids: Iterable[int]) -> dict[int, list[ChannelRow]]:
    """The channels each of the listings is offered through, by name; one query."""
    wanted = (
        _with_fees(ListingChannel.listing_id)
        .join(ListingChannel, ListingChannel.channel_id == Channel.id)
        .where(ListingChannel.listing_id.in_(list(listing_ids)))
    )
    pairs: dict[int, list[tuple[Channel, ChannelFee | None]]] = defaultdict(list)
    for channel, fee, listing_id in session.execute(wanted):
        pairs[listing_id].append((channel, fee))
    return defaultdict(list, {listing_id: _channel_rows(found) for listing_id, found in pairs.items()})


def fees_of(session: Session, channel_id: int) -> list[FeeRow]:
    """Every dated fee of a channel, the newest day first, struck ones too."""
    return fees_by_channel(session).get(channel_id, [])


def fees_by_channel(session: Session) -> dict[int, list[FeeRow]]:
    """Every dated fee by the number of its channel, the newest day first, struck ones too; one query."""
    of_channel: dict[int, list[ChannelFee]] = defaultdict(list)
    for fee in session.scalars(select(ChannelFee).order_by(ChannelFee.from_date.desc(), ChannelFee.id.desc())):
        of_channel[fee.channel_id].append(fee)
    found = {}
    for channel_id, fees in of_channel.items():
        counting = sorted(fee.from_date for fee in fees if fee.struck_at is None)
        found[channel_id] = [_fee_row(fee, counting) for fee in fees]
    return found


def fee_by_id(session: Session, fee_id: int) -> FeeRow:
    """A dated fee by its number; raises NotFound."""
    fee = session.get(ChannelFee, fee_id)
    if fee is None:
        raise NotFound("fee")
    return next(row for row in fees_of(session, fee.channel_id) if row.id == fee_id)


def what_remains(
    offered: Iterable[ChannelRow], price_cents: int | None, wanted_cents: int | None = None, *, day: date
) -> list[RemainsRow]:
    """What each channel leaves of a price on a day, and asks for a wanted amount; nothing without either."""
    if price_cents is None and wanted_cents is None:
        return []
    rows = []
    for channel in (row.on(day) for row in offered):
        fee = None if price_cents is None else channel.fee_on(price_cents)
        left = None if price_cents is None or fee is None else price_cents - fee
        ask = None if wanted_cents is None else channel.price_to_keep(wanted_cents)
        rows.append(RemainsRow(channel, fee, left, ask))
    return rows


def _with_fees(*more: Any) -> Select[Any]:
    """Channels by name, each beside its dated fees that count, the oldest first, and `more` columns."""
    counting = and_(ChannelFee.channel_id == Channel.id, ChannelFee.struck_at.is_(None))
    by_name = (func.lower(Channel.name), Channel.id, ChannelFee.from_date)
    found: Select[Any] = select(Channel, ChannelFee, *more)
    return found.select_from(Channel).outerjoin(ChannelFee, counting).order_by(*by_name)


def _channel_rows(pairs: Iterable[Any]) -> list[ChannelRow]:
    known: dict[int, Channel] = {}
    dated: dict[int, list[Takes]] = defaultdict(list)
    for channel, fee in pairs:
        known[channel.id] = channel
        if fee is not None:
            dated[channel.id].append(Takes(fee.from_date, fee.percent_hundredths, fee.fixed_cents))
    return [
        ChannelRow(
            id=channel.id,
            name=channel.name,
            percent_hundredths=channel.percent_hundredths,
            fixed_cents=channel.fixed_cents,
            is_put_away=channel.is_put_away,
            version=channel.version,
            dated=tuple(dated[channel.id]),
        )
        for channel in known.values()
    ]


def _fee_row(fee: ChannelFee, counting: Sequence[date]) -> FeeRow:
    later = (day for day in counting if day > fee.from_date)
    return FeeRow(
        id=fee.id,
        channel_id=fee.channel_id,
        from_date=fee.from_date,
        until=next(later, None) if fee.struck_at is None else None,
        percent_hundredths=fee.percent_hundredths,
        fixed_cents=fee.fixed_cents,
        note=fee.note,
        made_at=fee.made_at,
        struck_at=fee.struck_at,
        struck_reason=fee.struck_reason,
    )
