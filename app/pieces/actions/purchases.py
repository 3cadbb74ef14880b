"""The purchase rows of a piece: one that counts, entered once, struck out with a reason and never rewritten."""

from datetime import date, datetime

from sqlalchemy import select
from sqlalchemy.orm import Session

from app.pieces.models import Piece, Purchase
from app.pieces.rules import PurchaseKind, Share

WHAT_WAS_WRONG = "Say what was wrong; a few words will do. It stays beside the struck row."


def counting_purchase_row(session: Session, piece_id: int) -> Purchase | None:
    """The stored purchase of a piece that counts; None for a part of a split set."""
    return session.scalar(select(Purchase).where(Purchase.piece_id == piece_id, Purchase.struck_at.is_(None)))


def add_purchase(
    session: Session,
    piece: Piece,
    share: Share,
    *,
    kind: PurchaseKind,
    on_date: date,
    now: datetime,
    haul_id: int | None = None,
    guess_cents: int | None = None,
) -> Purchase:
    """Append what a piece cost to buy; the caller has struck out the row that counted before, if any."""
    purchase = Purchase(
        piece_id=piece.id,
        haul_id=haul_id,
        kind=kind,
        on_date=on_date,
        price_cents=share.price_cents,
        premium_cents=share.premium_cents,
        tax_cents=share.tax_cents,
        guess_cents=guess_cents,
        made_at=now,
    )
    session.add(purchase)
    session.flush()
    return purchase


def strike_purchase(session: Session, purchase: Purchase, *, reason: str, now: datetime) -> None:
    """Strike a purchase out, so that it stays in sight but no longer counts."""
    purchase.struck_at, purchase.struck_reason = now, reason
    session.flush()
