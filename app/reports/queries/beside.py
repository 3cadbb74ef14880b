"""Read what the shelf, trips, deposits, refunds in part and corrections booked on pieces, as rows of the reckoning."""

from collections import defaultdict
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from itertools import groupby
from operator import attrgetter
from typing import Any, Final

from sqlalchemy import ColumnElement, Select, SelectBase, String, literal, select, type_coerce, union_all
from sqlalchemy.orm import Session

from app.basics.money import split_exactly
from app.costs.models import Adjustment
from app.costs.rules import AdjustedPart
from app.reports.queries.chosen import within
from app.reports.rules import (
    ADJUSTED,
    ADJUSTED_OPENING,
    CORRECTED,
    CORRECTIONS,
    DEPOSITS,
    DEPOSITS_KEPT,
    FEES_BACK,
    INTO_STOCK,
    MATERIALS,
    PARTS_OFF,
    REFUNDED,
    REFUNDS,
    TRIP,
    TRIPS,
    AtOnceRow,
    CostRow,
    RowRef,
    effect_of,
)
from app.sales.models import Deposit, DepositEnd, Sale, SaleRefund
from app.sales.rules import DepositEnding
from app.shelf.models import ShelfCharge, ShelfPurchase
from app.trips.models import Trip, TripPiece
from app.trips.rules import CountsAs, TripPurpose

SHELF_CHARGE: Final = "shelf_charge"
SHELF_PURCHASE: Final = "shelf_purchase"
TRIP_TABLE: Final = "trip"
ADJUSTMENT: Final = "adjustment"
SALE_REFUND: Final = "sale_refund"
DEPOSIT: Final = "deposit"
DEPOSIT_END: Final = "deposit_end"

ENDING_WORDS: Final = {
    DepositEnding.APPLIED: "Deposit applied",
    DepositEnding.REFUNDED: "Deposit given back",
    DepositEnding.KEPT: "Deposit kept",
}


@dataclass(frozen=True, slots=True)
class Booked:
    """Costs and what counts at once, by piece id."""

    costs: dict[int, list[CostRow]] = field(default_factory=lambda: defaultdict(list))
    at_once: dict[int, list[AtOnceRow]] = field(default_factory=lambda: defaultdict(list))


def booked_beside(session: Session, chosen: SelectBase | None) -> Booked:
    """All of it on the chosen pieces (None: on every one); two queries, struck rows left away."""
    booked = Booked()
    for stored in session.execute(_dated_rows(chosen)):
        for row in _READ_AS[stored.made_in](stored):
            if isinstance(row, CostRow):
                booked.costs[stored.piece_id].append(row)
            else:
                booked.at_once[stored.piece_id].append(row)
    _trips(session, chosen, booked)
    return booked


def _dated_rows(chosen: SelectBase | None) -> Any:
    """The counting rows of six tables in one query: their table, piece and day, up to three amounts and two words."""
    used, taken, made, back, held, end = ShelfCharge, ShelfPurchase, Adjustment, SaleRefund, Deposit, DepositEnd
    selects = [
        _of(SHELF_CHARGE, used.id, used.piece_id, used.on_date, used.cents),
        _of(SHELF_PURCHASE, taken.id, taken.from_piece_id, taken.on_date, taken.price_cents),
        _of(
            *(ADJUSTMENT, made.id, made.piece_id, made.on_date, made.cents),
            word=type_coerce(made.part, String),
            other=made.corrects_table,
        ),
        _of(
            *(SALE_REFUND, back.id, Sale.piece_id, back.on_date, back.refund_cents),
            tax=back.tax_refunded_cents,
            fees=back.fees_back_cents,
        ).join(Sale, Sale.id == back.sale_id),
        _of(DEPOSIT, held.id, held.piece_id, held.on_date, held.amount_cents),
        _of(DEPOSIT_END, end.id, held.piece_id, end.on_date, end.cents, word=type_coerce(end.how, String)).join(
            held, held.id == end.deposit_id
        ),
    ]
    pieces = (used.piece_id, taken.from_piece_id, made.piece_id, Sale.piece_id, held.piece_id, held.piece_id)
    struck = (None, taken.struck_at, made.struck_at, back.struck_at, held.struck_at, end.struck_at)
    counting = [
        wanted.where(piece_id.is_not(None), *within(piece_id, chosen), *(() if at is None else (at.is_(None),)))
        for wanted, piece_id, at in zip(selects, pieces, struck, strict=True)
    ]
    rows = union_all(*counting)
    return rows.order_by(rows.selected_columns.on_date, rows.selected_columns.made_in, rows.selected_columns.id)


def _of(
    table: str,
    *columns: Any,
    tax: Any = None,
    fees: Any = None,
    word: ColumnElement[str] | None = None,
    other: Any = None,
) -> Select[Any]:
    row_id, piece_id, on, cents = columns
    return select(
        literal(table).label("made_in"),
        row_id.label("id"),
        piece_id.label("piece_id"),
        on.label("on_date"),
        cents.label("cents"),
        (literal(0) if tax is None else tax).label("tax"),
        (literal(0) if fees is None else fees).label("fees"),
        (literal("") if word is None else word).label("word"),
        (literal("") if other is None else other).label("other"),
    )


Rows = Iterator[CostRow | AtOnceRow]


def _charge(stored: Any) -> Rows:
    yield CostRow(RowRef(SHELF_CHARGE, stored.id), stored.on_date, stored.cents, MATERIALS, "Materials from the shelf")


def _parts_off(stored: Any) -> Rows:
    yield CostRow(RowRef(SHELF_PURCHASE, stored.id), stored.on_date, -stored.cents, PARTS_OFF, "Parts taken off")


def _adjustment(stored: Any) -> Rows:
    row, part = RowRef(ADJUSTMENT, stored.id), AdjustedPart(stored.word)
    effect = effect_of(part, stored.cents, stored.other)
    if part in INTO_STOCK:
        kind = ADJUSTED if effect.cash else ADJUSTED_OPENING
        yield CostRow(row, stored.on_date, stored.cents, kind, "Correction")
    else:
        told = (effect.profit, CORRECTIONS, effect.cash, effect.tax)
        yield AtOnceRow(row, stored.on_date, CORRECTED, "Correction", *told)


def _refund(stored: Any) -> Rows:
    row, cents, tax, fees = RowRef(SALE_REFUND, stored.id), stored.cents, stored.tax, stored.fees
    yield AtOnceRow(row, stored.on_date, REFUNDS, "Refund in part", -cents, REFUNDED, -cents - tax, -tax)
    if fees:
        yield AtOnceRow(row, stored.on_date, FEES_BACK, "Fees given back", fees, FEES_BACK, fees)


def _deposit(stored: Any) -> Rows:
    yield AtOnceRow(RowRef(DEPOSIT, stored.id), stored.on_date, DEPOSITS, "Deposit taken", 0, DEPOSITS, stored.cents)


def _deposit_end(stored: Any) -> Rows:
    row, how, cents = RowRef(DEPOSIT_END, stored.id), DepositEnding(stored.word), stored.cents
    if how is DepositEnding.KEPT:
        yield AtOnceRow(row, stored.on_date, DEPOSITS_KEPT, ENDING_WORDS[how], cents)
    else:
        yield AtOnceRow(row, stored.on_date, DEPOSITS, ENDING_WORDS[how], 0, DEPOSITS, -cents)


_READ_AS: Final[Mapping[str, Callable[[Any], Rows]]] = {
    SHELF_CHARGE: _charge,
    SHELF_PURCHASE: _parts_off,
    ADJUSTMENT: _adjustment,
    SALE_REFUND: _refund,
    DEPOSIT: _deposit,
    DEPOSIT_END: _deposit_end,
}


def _trips(session: Session, chosen: SelectBase | None, booked: Booked) -> None:
    """Every piece of a trip is read, also one that was not chosen: the share of the tolls is told from all of them."""
    shares = select(
        *(Trip.id, Trip.on_date, Trip.purpose, Trip.counts_as, Trip.extra_cents),
        *(TripPiece.piece_id, TripPiece.weight, TripPiece.cents),
    ).join(TripPiece, TripPiece.trip_id == Trip.id)
    if chosen is not None:
        shares = shares.where(Trip.id.in_(select(TripPiece.trip_id).where(TripPiece.piece_id.in_(chosen))))
    found = session.execute(shares.where(Trip.struck_at.is_(None)).order_by(Trip.id, TripPiece.piece_id))
    for _, pieces in groupby(found, key=attrgetter("id")):
        _take_trip(list(pieces), booked)


def _take_trip(shares: Sequence[Any], booked: Booked) -> None:
    trip = shares[0]
    row, is_actual = RowRef(TRIP_TABLE, trip.id), trip.counts_as is CountsAs.ACTUAL
    if is_actual and trip.purpose is TripPurpose.FETCH:
        for share in shares:
            booked.costs[share.piece_id].append(CostRow(row, trip.on_date, share.cents, TRIP, "Trip to fetch it"))
        return
    tolls = split_exactly(trip.extra_cents, [share.weight for share in shares]) if not is_actual else []
    paid = [share.cents for share in shares] if is_actual else tolls
    for share, cash in zip(shares, paid, strict=True):
        at_once = AtOnceRow(row, trip.on_date, TRIPS, "Trip", -share.cents, TRIPS, -cash)
        booked.at_once[share.piece_id].append(at_once)
