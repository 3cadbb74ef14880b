"""The words of what the shelf, trips, deposits, refunds in part and corrections booked on one piece."""

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date

from sqlalchemy import select
from sqlalchemy.orm import Session

from app.basics.dates import Month
from app.costs.models import Adjustment
from app.reports.queries.beside import (
    ADJUSTMENT,
    DEPOSIT,
    DEPOSIT_END,
    ENDING_WORDS,
    SALE_REFUND,
    SHELF_CHARGE,
    SHELF_PURCHASE,
    TRIP_TABLE,
)
from app.reports.rules import RowRef, effect_of
from app.sales.models import Deposit, DepositEnd, Sale, SaleRefund
from app.shelf.models import Material, ShelfCharge, ShelfPurchase, ShelfUse
from app.shelf.rules import ChargeKind
from app.trips.models import Trip, TripPiece


@dataclass(frozen=True)
class RowWords:
    """One stored row in words: its day, what it was, and the other piece or the haul or sale it belongs to.

    `page_id` is the material, trip or deposit whose page shows it in full.
    """

    on: date
    words: str
    other_tag: str = ""
    haul_id: int | None = None
    sale_id: int | None = None
    page_id: int | None = None


@dataclass(frozen=True)
class ToldRow:
    """A row with its words; `cents` and `struck_reason` are for those that were struck out."""

    row: RowRef
    words: RowWords
    cents: int
    struck_reason: str | None


def rows_beside(session: Session, piece_id: int) -> Iterator[ToldRow]:
    """Every such row of a piece, struck ones too; seven queries."""
    yield from _charges(session, piece_id)
    yield from _parts_off(session, piece_id)
    yield from _trips(session, piece_id)
    yield from _refunds(session, piece_id)
    yield from _deposits(session, piece_id)
    yield from _adjustments(session, piece_id)


def _said(*parts: str) -> str:
    return ", ".join(part for part in parts if part)


def _charges(session: Session, piece_id: int) -> Iterator[ToldRow]:
    """A charge is worked out anew, never struck out: the strike stands on its use."""
    charge = ShelfCharge
    found = session.execute(
        select(charge.id, charge.on_date, charge.kind, charge.material_id, charge.cents, Material.name, ShelfUse.note)
        .join(Material, Material.id == charge.material_id)
        .outerjoin(ShelfUse, ShelfUse.id == charge.use_id)
        .where(charge.piece_id == piece_id)
    )
    for row_id, on, kind, material_id, cents, name, note in found:
        settled = "settled by a later purchase" if kind is ChargeKind.SETTLEMENT else ""
        words = RowWords(on, _said(name, note or "", settled), page_id=material_id)
        yield ToldRow(RowRef(SHELF_CHARGE, row_id), words, -cents, None)


def _parts_off(session: Session, piece_id: int) -> Iterator[ToldRow]:
    taken = ShelfPurchase
    found = session.execute(
        select(taken.id, taken.on_date, taken.material_id, taken.price_cents, taken.struck_reason, Material.name)
        .join(Material, Material.id == taken.material_id)
        .where(taken.from_piece_id == piece_id)
    )
    for row_id, on, material_id, cents, reason, name in found:
        words = RowWords(on, f"{name}, to the shelf", page_id=material_id)
        yield ToldRow(RowRef(SHELF_PURCHASE, row_id), words, cents, reason)


def _trips(session: Session, piece_id: int) -> Iterator[ToldRow]:
    found = session.execute(
        select(Trip.id, Trip.on_date, Trip.purpose_words, Trip.to_place, Trip.struck_reason, TripPiece.cents)
        .join(TripPiece, TripPiece.trip_id == Trip.id)
        .where(TripPiece.piece_id == piece_id)
    )
    for trip_id, on, purpose, place, reason, cents in found:
        words = RowWords(on, _said(purpose, place), page_id=trip_id)
        yield ToldRow(RowRef(TRIP_TABLE, trip_id), words, -cents, reason)


def _refunds(session: Session, piece_id: int) -> Iterator[ToldRow]:
    back = SaleRefund
    found = session.execute(
        select(back.id, back.sale_id, back.on_date, back.refund_cents, back.reason, back.struck_reason)
        .join(Sale, Sale.id == back.sale_id)
        .where(Sale.piece_id == piece_id)
    )
    for row_id, sale_id, on, cents, why, reason in found:
        words = RowWords(on, f"Refund in part: {why}", sale_id=sale_id)
        yield ToldRow(RowRef(SALE_REFUND, row_id), words, -cents, reason)


def _deposits(session: Session, piece_id: int) -> Iterator[ToldRow]:
    taken = select(Deposit.id, Deposit.on_date, Deposit.payer, Deposit.amount_cents, Deposit.struck_reason)
    for row_id, on, payer, cents, reason in session.execute(taken.where(Deposit.piece_id == piece_id)):
        words = RowWords(on, f"Deposit from {payer}", page_id=row_id)
        yield ToldRow(RowRef(DEPOSIT, row_id), words, cents, reason)
    end = DepositEnd
    ended = select(end.id, end.deposit_id, end.on_date, end.how, end.cents, end.reason, end.struck_reason)
    ended = ended.join(Deposit, Deposit.id == end.deposit_id).where(Deposit.piece_id == piece_id)
    for row_id, deposit_id, on, how, cents, why, reason in session.execute(ended):
        words = RowWords(on, _said(ENDING_WORDS[how], why), page_id=deposit_id)
        yield ToldRow(RowRef(DEPOSIT_END, row_id), words, -cents, reason)


def _adjustments(session: Session, piece_id: int) -> Iterator[ToldRow]:
    made = Adjustment
    found = session.execute(
        select(
            *(made.id, made.on_date, made.part, made.cents, made.corrects_table, made.corrects_on),
            *(made.reason, made.struck_reason),
        ).where(made.piece_id == piece_id)
    )
    for row_id, on, part, cents, table, corrected_on, why, reason in found:
        effect = effect_of(part, cents, table)
        words = RowWords(on, f"{why}, corrects {Month.of(corrected_on).name}")
        yield ToldRow(RowRef(ADJUSTMENT, row_id), words, effect.profit or effect.cash, reason)
