"""Read what happened to a piece: steps, purchases, corrections, transfers and leavings."""

from dataclasses import dataclass
from datetime import date, datetime

from sqlalchemy import or_, select
from sqlalchemy.orm import Session

from app.pieces.models import Correction, LeavingRow, Piece, Purchase, Step, Transfer
from app.pieces.rules import LEAVING_WORDS, Leaving, PurchaseKind, StepRow


@dataclass(frozen=True)
class PurchaseRow:
    """What a piece cost to buy, in cents; a struck one no longer counts but stays in sight."""

    id: int
    piece_id: int
    haul_id: int | None
    kind: PurchaseKind
    on_date: date
    price_cents: int
    premium_cents: int
    tax_cents: int
    guess_cents: int | None
    made_at: datetime
    struck_at: datetime | None
    struck_reason: str | None

    @property
    def total_cents(self) -> int:
        """Price, premium and tax together."""
        return self.price_cents + self.premium_cents + self.tax_cents

    @property
    def is_struck(self) -> bool:
        """Whether it was struck out."""
        return self.struck_at is not None


@dataclass(frozen=True)
class CorrectionRow:
    """One fact that was put right, in words."""

    fact: str
    was: str
    became: str
    made_at: datetime


@dataclass(frozen=True)
class TransferRow:
    """Cost and minutes that came from another piece, or (below zero) went to it."""

    id: int
    on_date: date
    other_id: int
    other_tag: str
    cents: int
    minutes: int
    reason: str
    made_at: datetime


@dataclass(frozen=True)
class LeavingSheet:
    """One time a piece left without a sale, and its coming back if it did."""

    id: int
    how: Leaving
    on_date: date
    reason: str
    back_on: date | None
    back_reason: str | None

    @property
    def how_words(self) -> str:
        """How it left."""
        return LEAVING_WORDS[self.how]


def steps_of(session: Session, piece_id: int) -> list[StepRow]:
    """Every step of a piece in the order it was made; struck ones, sales and returns too."""
    found = session.scalars(select(Step).where(Step.piece_id == piece_id).order_by(Step.id))
    return [
        StepRow(
            step.id,
            step.kind,
            step.from_stage,
            step.to_stage,
            step.on_date,
            step.reason,
            step.made_at,
            step.struck_reason,
        )
        for step in found
    ]


def purchases_of(session: Session, piece_id: int) -> list[PurchaseRow]:
    """Every purchase row of a piece in the order it was entered; struck ones too, one at most counts."""
    found = session.scalars(select(Purchase).where(Purchase.piece_id == piece_id).order_by(Purchase.id))
    return [purchase_row(purchase) for purchase in found]


def purchase_row(purchase: Purchase) -> PurchaseRow:
    """A stored purchase as pages show it."""
    return PurchaseRow(
        id=purchase.id,
        piece_id=purchase.piece_id,
        haul_id=purchase.haul_id,
        kind=purchase.kind,
        on_date=purchase.on_date,
        price_cents=purchase.price_cents,
        premium_cents=purchase.premium_cents,
        tax_cents=purchase.tax_cents,
        guess_cents=purchase.guess_cents,
        made_at=purchase.made_at,
        struck_at=purchase.struck_at,
        struck_reason=purchase.struck_reason,
    )


def counting_purchase(session: Session, piece_id: int) -> PurchaseRow | None:
    """The purchase that counts; None for a piece that came out of a split set."""
    return next((row for row in purchases_of(session, piece_id) if not row.is_struck), None)


def counting_purchases(session: Session) -> dict[int, PurchaseRow]:
    """The purchase that counts of every piece that has one, by piece id; one query."""
    found = session.scalars(select(Purchase).where(Purchase.struck_at.is_(None)))
    return {purchase.piece_id: purchase_row(purchase) for purchase in found}


def corrections_of(session: Session, piece_id: int) -> list[CorrectionRow]:
    """Every correction of a piece in the order it was made."""
    found = session.scalars(select(Correction).where(Correction.piece_id == piece_id).order_by(Correction.id))
    return [CorrectionRow(row.fact, row.was, row.became, row.made_at) for row in found]


def transfers_of(session: Session, piece_id: int) -> list[TransferRow]:
    """Every transfer from or to a piece, as that piece sees it: what came above zero, what went below."""
    found = session.execute(
        select(Transfer, Piece.id, Piece.tag)
        .join(
            Piece,
            or_(
                (Transfer.from_piece_id == piece_id) & (Piece.id == Transfer.to_piece_id),
                (Transfer.to_piece_id == piece_id) & (Piece.id == Transfer.from_piece_id),
            ),
        )
        .order_by(Transfer.id)
    )
    return [_transfer_row(transfer, piece_id, other_id, other_tag) for transfer, other_id, other_tag in found]


def _transfer_row(transfer: Transfer, piece_id: int, other_id: int, other_tag: str) -> TransferRow:
    sign = 1 if transfer.to_piece_id == piece_id else -1
    return TransferRow(
        id=transfer.id,
        on_date=transfer.on_date,
        other_id=other_id,
        other_tag=other_tag,
        cents=sign * transfer.cents,
        minutes=sign * transfer.minutes,
        reason=transfer.reason,
        made_at=transfer.made_at,
    )


def leavings_of(session: Session, piece_id: int) -> list[LeavingSheet]:
    """Every time a piece left without a sale, in the order it was entered."""
    found = session.scalars(select(LeavingRow).where(LeavingRow.piece_id == piece_id).order_by(LeavingRow.id))
    return [LeavingSheet(row.id, row.how, row.on_date, row.reason, row.back_on, row.back_reason) for row in found]
