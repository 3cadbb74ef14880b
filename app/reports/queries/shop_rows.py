"""Read what the shop cost and paid beside its pieces: cost lines, the shelf, trips for no piece, corrections."""

from collections.abc import Iterator
from datetime import date
from typing import Any

from sqlalchemy import ColumnElement, Select, select
from sqlalchemy.orm import InstrumentedAttribute, Session

from app.costs.models import Adjustment, CostLine
from app.costs.rules import COST_WORDS, CostKind
from app.reports.queries.beside import ADJUSTMENT, SHELF_CHARGE, SHELF_PURCHASE, TRIP_TABLE
from app.reports.queries.costs import COST_LINE
from app.reports.rules import (
    ADJUSTED,
    CORRECTIONS,
    MATERIALS,
    SHELF,
    SHELF_BOUGHT,
    SHELF_COUNT,
    TRIPS,
    RowRef,
    ShopCostRow,
    effect_of,
)
from app.shelf.models import Material, ShelfCharge, ShelfPurchase
from app.shelf.rules import ChargeKind
from app.trips.models import Trip, TripPiece
from app.trips.rules import CountsAs

_CHARGE_WORDS = {
    ChargeKind.USE: "Used for the shop",
    ChargeKind.SETTLEMENT: "Settled by a purchase",
    ChargeKind.COUNT: "Counted on the shelf",
}


def shop_cost_rows(session: Session, first: date | None = None, last: date | None = None) -> list[ShopCostRow]:
    """What the shop cost or paid from `first` to `last` (None: without an end), the oldest first; five queries."""
    rows = [
        *_cost_lines(session, first, last),
        *_charges(session, first, last),
        *_bought(session, first, last),
        *_trips(session, first, last),
        *_adjustments(session, first, last),
    ]
    return sorted(rows, key=lambda cost: (cost.on, cost.row))


def materials_behind(session: Session, first: date, last: date) -> dict[RowRef, int]:
    """The material of every row of the shelf on the shop from `first` to `last`; two queries."""
    charged = select(ShelfCharge.id, ShelfCharge.material_id).where(
        ShelfCharge.piece_id.is_(None), ShelfCharge.on_date.between(first, last)
    )
    bought = select(ShelfPurchase.id, ShelfPurchase.material_id).where(
        ShelfPurchase.from_piece_id.is_(None), ShelfPurchase.on_date.between(first, last)
    )
    found = {RowRef(SHELF_CHARGE, row_id): material_id for row_id, material_id in session.execute(charged)}
    found.update({RowRef(SHELF_PURCHASE, row_id): material_id for row_id, material_id in session.execute(bought)})
    return found


def words_of_cost(kind: CostKind, note: str, bought_at: str) -> str:
    """What a cost line was for, in one line: its kind, its note and where it was bought."""
    return ", ".join(part for part in (COST_WORDS[kind], note, bought_at) if part)


def _within(on: InstrumentedAttribute[date], first: date | None, last: date | None) -> list[ColumnElement[bool]]:
    return [*([on >= first] if first else []), *([on <= last] if last else [])]


def _cost_lines(session: Session, first: date | None, last: date | None) -> Iterator[ShopCostRow]:
    line = CostLine
    spent = select(line.id, line.on_date, line.amount_cents, line.kind, line.note, line.bought_at).where(
        line.piece_id.is_(None), line.struck_at.is_(None), *_within(line.on_date, first, last)
    )
    for line_id, on_date, cents, kind, note, bought_at in session.execute(spent):
        words = words_of_cost(kind, note, bought_at)
        yield ShopCostRow(RowRef(COST_LINE, line_id), on_date, cents, str(kind), words)


def _charges(session: Session, first: date | None, last: date | None) -> Iterator[ShopCostRow]:
    charge = ShelfCharge
    charged = _of_a_material(charge, charge.id, charge.on_date, charge.cents, charge.kind).where(
        charge.piece_id.is_(None), *_within(charge.on_date, first, last)
    )
    for charge_id, on_date, cents, kind, name in session.execute(charged):
        shown = SHELF_COUNT if kind is ChargeKind.COUNT else MATERIALS
        yield ShopCostRow(RowRef(SHELF_CHARGE, charge_id), on_date, cents, shown, f"{_CHARGE_WORDS[kind]}: {name}", 0)


def _bought(session: Session, first: date | None, last: date | None) -> Iterator[ShopCostRow]:
    bought = ShelfPurchase
    paid = _of_a_material(bought, bought.id, bought.on_date, bought.price_cents + bought.tax_cents).where(
        bought.from_piece_id.is_(None), bought.struck_at.is_(None), *_within(bought.on_date, first, last)
    )
    for purchase_id, on_date, cents, name in session.execute(paid):
        yield ShopCostRow(RowRef(SHELF_PURCHASE, purchase_id), on_date, 0, SHELF_BOUGHT, name, cents, SHELF)


def _of_a_material(table: type[ShelfCharge] | type[ShelfPurchase], *columns: Any) -> Select[Any]:
    return select(*columns, Material.name).join(Material, Material.id == table.material_id)


def _trips(session: Session, first: date | None, last: date | None) -> Iterator[ShopCostRow]:
    for_pieces = select(TripPiece.trip_id).where(TripPiece.trip_id == Trip.id).exists()
    driven = select(
        *(Trip.id, Trip.on_date, Trip.charged_cents, Trip.counts_as, Trip.extra_cents, Trip.purpose_words)
    ).where(~for_pieces, Trip.struck_at.is_(None), *_within(Trip.on_date, first, last))
    for trip_id, on_date, cents, counts_as, extra, purpose in session.execute(driven):
        paid = cents if counts_as is CountsAs.ACTUAL else extra
        yield ShopCostRow(RowRef(TRIP_TABLE, trip_id), on_date, cents, TRIPS, f"Trip: {purpose}", paid, TRIPS)


def _adjustments(session: Session, first: date | None, last: date | None) -> Iterator[ShopCostRow]:
    made = Adjustment
    wanted = select(made.id, made.on_date, made.part, made.cents, made.corrects_table, made.reason).where(
        made.piece_id.is_(None), made.struck_at.is_(None), *_within(made.on_date, first, last)
    )
    for row_id, on_date, part, cents, corrects_table, reason in session.execute(wanted):
        effect = effect_of(part, cents, corrects_table)
        row = RowRef(ADJUSTMENT, row_id)
        words = f"Correction: {reason}"
        yield ShopCostRow(row, on_date, -effect.profit, ADJUSTED, words, -effect.cash, CORRECTIONS)
