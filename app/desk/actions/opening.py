"""Open a new shop, and enter what is owned already on its first day."""

from collections.abc import Collection, Sequence
from datetime import datetime
from uuid import NAMESPACE_URL, uuid5

from sqlalchemy.orm import Session

from app.basics.errors import RuleError
from app.desk.rules import OwnedNow
from app.floor.actions import add_channel, list_piece
from app.floor.rules import DEFAULT_CHANNELS
from app.pieces.actions import add_source, enter_owned
from app.pieces.models import Piece
from app.pieces.rules import DEFAULT_SOURCES, require_capture_id
from app.shop.actions import set_up_shop
from app.shop.rules import ShopFacts


def open_shop(session: Session, facts: ShopFacts, *, now: datetime) -> None:
    """Write the shop's facts and give it the usual sources and channels to begin with.

    Refuses unsound facts and a shop that is open already (RuleError).
    """
    set_up_shop(session, facts, now=now)
    for name, is_free in DEFAULT_SOURCES:
        add_source(session, name=name, is_free=is_free)
    for name, percent_hundredths, fixed_cents in DEFAULT_CHANNELS:
        add_channel(session, name=name, percent_hundredths=percent_hundredths, fixed_cents=fixed_cents)


def enter_owned_pieces(
    session: Session,
    owned: Sequence[OwnedNow],
    *,
    channel_ids: Collection[int],
    capture_id: str,
    now: datetime,
) -> list[Piece]:
    """Enter each piece as opening stock, and list those with an asking price since the day their row says.

    All are entered or none; a refusal names its row and points to the row's own field (RuleError).
    """
    require_capture_id(capture_id)
    capture_ids = [str(uuid5(NAMESPACE_URL, f"{capture_id}/{one.row}")) for one in owned]
    return [
        _enter(session, one, channel_ids=channel_ids, capture_id=row_id, now=now)
        for one, row_id in zip(owned, capture_ids, strict=True)
    ]


def _enter(
    session: Session,
    owned: OwnedNow,
    *,
    channel_ids: Collection[int],
    capture_id: str,
    now: datetime,
) -> Piece:
    try:
        piece = enter_owned(session, owned.piece, capture_id=capture_id, now=now)
        if owned.asking_cents is not None:
            list_piece(
                session,
                piece.id,
                asking_cents=owned.asking_cents,
                channel_ids=channel_ids,
                on_date=owned.piece.since or owned.piece.sourced_on,
                version=None,
                now=now,
            )
    except RuleError as refusal:
        # Listing speaks of its own day; in the row that is the day since when.
        part = "since" if refusal.field == "on_date" else refusal.field
        own = part if part == "channels" else f"piece_{owned.row}_{part}"
        raise RuleError(f"Piece {owned.row}: {refusal.message}", own) from refusal
    return piece
