"""Channels, listings and holds for tests, through the real actions."""

from collections.abc import Collection
from datetime import date, datetime
from typing import Any

from sqlalchemy.orm import Session

from app.floor.actions import add_channel, add_fee, hold_piece, list_piece
from app.floor.models import Channel, ChannelFee, Hold, Listing
from app.pieces.models import Piece
from app.pieces.rules import Stage
from tests.builders.pieces import NOW, a_piece

LISTED = date(2026, 11, 1)


def a_channel(
    session: Session, name: str = "Local classifieds", *, percent_hundredths: int = 0, fixed_cents: int = 0
) -> Channel:
    """A kind of place to sell, free unless said otherwise."""
    return add_channel(session, name=name, percent_hundredths=percent_hundredths, fixed_cents=fixed_cents)


def a_fee(
    session: Session,
    channel: Channel,
    *,
    from_date: date = LISTED,
    percent_hundredths: int = 15_00,
    fixed_cents: int = 0,
    note: str = "",
    now: datetime = NOW,
) -> ChannelFee:
    """What a channel takes from a day on."""
    return add_fee(
        session,
        channel.id,
        from_date=from_date,
        percent_hundredths=percent_hundredths,
        fixed_cents=fixed_cents,
        note=note,
        now=now,
    )


def a_listing(
    session: Session,
    piece: Piece,
    *,
    asking_cents: int = 240_00,
    channel_ids: Collection[int] = (),
    on_date: date = LISTED,
    now: datetime = NOW,
) -> Listing:
    """A piece put on the floor."""
    return list_piece(
        session,
        piece.id,
        asking_cents=asking_cents,
        channel_ids=channel_ids,
        on_date=on_date,
        version=None,
        now=now,
    )


def a_listed_piece(
    session: Session,
    *,
    asking_cents: int = 240_00,
    channel_ids: Collection[int] = (),
    listed_on: date = LISTED,
    now: datetime = NOW,
    **said: Any,
) -> Piece:
    """A finished piece on the floor; `said` goes to `a_piece`."""
    piece = a_piece(session, **{"stage": Stage.FINISHED, "now": now, **said})
    a_listing(session, piece, asking_cents=asking_cents, channel_ids=channel_ids, on_date=listed_on, now=now)
    return piece


def a_hold(
    session: Session,
    piece: Piece,
    *,
    held_for: str = "Ann",
    until: date = date(2026, 11, 28),
    note: str = "",
    now: datetime = NOW,
) -> Hold:
    """A hold on a listed piece."""
    return hold_piece(session, piece.id, held_for=held_for, until=until, note=note, now=now)
