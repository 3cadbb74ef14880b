"""Put right what was paid for a piece: the old row is struck out with its reason, the new one entered beside it."""

from datetime import date, datetime

from sqlalchemy import func, select
from sqlalchemy.orm import Session

from app.basics.dates import day_in_words
from app.basics.errors import RuleError
from app.basics.money import currency_places, money_plain
from app.basics.striking import reason_to_keep
from app.pieces.actions.dating import redate
from app.pieces.actions.ground import NowValues, bump, piece_to_change, the_shop, the_source, write_source
from app.pieces.actions.purchases import (
    WHAT_WAS_WRONG,
    add_purchase,
    counting_purchase_row,
    strike_purchase,
)
from app.pieces.models import Piece, Purchase, Transfer
from app.pieces.rules import (
    FromSource,
    PurchaseKind,
    Share,
    kind_of_purchase,
    require_amounts,
    require_covers_parts,
)
from app.shop.queries import require_open


def correct_paid(
    session: Session,
    piece_id: int,
    *,
    price_cents: int,
    premium_cents: int,
    tax_cents: int,
    on_date: date,
    reason: str,
    version: int | None,
    now: datetime,
    source: FromSource | None = None,
) -> Piece:
    """Strike out what was paid and enter it again, in cents; the find is dated with it, `source` changes with it.

    Refuses a piece of a haul, a part of a split set, a missing reason, amounts below zero, money for a piece
    from a free place ("paid"), less than went to the parts of a split set, another day for opening stock, and a
    purchase that is or would be in a closed month. Raises StaleEdit when the piece changed since `version`.
    """
    piece = piece_to_change(session, piece_id, version, _paid_values(session))
    purchase = _correctable(session, piece)
    require_open(session, purchase.on_date)
    require_open(session, on_date, "on_date")
    kept_reason = reason_to_keep(reason, WHAT_WAS_WRONG)
    share = Share(price_cents, premium_cents, tax_cents)
    require_amounts(price_cents, premium_cents, tax_cents)
    _require_covers_parts(session, piece, purchase, share)
    if source is not None:
        write_source(session, piece, source.source_id, now)
    kind = _kind(session, piece, purchase, share)
    if purchase.kind is PurchaseKind.OPENING:
        if on_date != purchase.on_date:
            raise RuleError("What a piece had cost when your books began is dated to that day.", "on_date")
    elif on_date != piece.sourced_on:
        redate(session, piece, on_date, {}, takes_purchase_along=False, now=now)
    strike_purchase(session, purchase, reason=kept_reason, now=now)
    add_purchase(session, piece, share, kind=kind, on_date=on_date, now=now)
    bump(piece, "folded")
    session.flush()
    return piece


def _correctable(session: Session, piece: Piece) -> Purchase:
    purchase = counting_purchase_row(session, piece.id)
    if purchase is None:
        raise RuleError("Its cost came to it when a set was split; it was not bought by itself.")
    if purchase.haul_id is not None:
        raise RuleError("Its price is a share of a haul. Put it right on the haul's page.")
    return purchase


def _kind(session: Session, piece: Piece, purchase: Purchase, share: Share) -> PurchaseKind:
    if purchase.kind is PurchaseKind.OPENING:
        return PurchaseKind.OPENING
    source = the_source(session, piece.source_id)
    total = share.price_cents + share.premium_cents + share.tax_cents
    return kind_of_purchase(total, is_free_source=source is not None and source.is_free)


def _require_covers_parts(session: Session, piece: Piece, purchase: Purchase, share: Share) -> None:
    parted = session.scalar(select(func.sum(Transfer.cents)).where(Transfer.from_piece_id == piece.id)) or 0
    require_covers_parts(
        share.price_cents + share.premium_cents + share.tax_cents,
        purchase.price_cents + purchase.premium_cents + purchase.tax_cents,
        parted,
    )


def _paid_values(session: Session) -> NowValues:
    places = currency_places(the_shop(session).currency)

    def values(piece: Piece) -> dict[str, str]:
        paid = counting_purchase_row(session, piece.id)
        if paid is None:
            return {}
        return {
            "Price": money_plain(paid.price_cents, places),
            "Buyer's premium": money_plain(paid.premium_cents, places),
            "Sales tax": money_plain(paid.tax_cents, places),
            "Paid on": day_in_words(paid.on_date),
        }

    return values
