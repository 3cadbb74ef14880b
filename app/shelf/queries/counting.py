"""Read the rows of a material that count, the charges that are kept for it, and what another row would change."""

from collections import defaultdict
from collections.abc import Callable, Collection, Iterable, Sequence
from dataclasses import dataclass, replace
from datetime import date
from typing import Any

from sqlalchemy import func, select
from sqlalchemy.orm import Session

from app.pieces.models import Piece
from app.pieces.rules import shown_name
from app.shelf.models import ShelfCharge, ShelfCount, ShelfPurchase, ShelfUse
from app.shelf.rules import (
    NEWEST,
    ChangedCharge,
    Charge,
    ChargeKind,
    RowKey,
    RowKind,
    ShelfRow,
    changed_charges,
    is_own,
    mark_of,
    replay,
    walk_material,
)


@dataclass(frozen=True)
class Plan:
    """What the charges of a material become by one row that comes or goes, and which others than its own change."""

    charges: list[Charge]
    others: list[ChangedCharge]


@dataclass(frozen=True)
class ChangeLine:
    """A charge that changes, with the piece it is charged to; without one it is charged to the shop."""

    kind: ChargeKind
    on: date
    piece_tag: str | None
    piece_name: str | None
    was: int
    becomes: int

    @property
    def difference(self) -> int:
        """Cents by which it changes."""
        return self.becomes - self.was


def counting_rows(session: Session, material_ids: Collection[int] | None = None) -> dict[int, list[ShelfRow]]:
    """Every row that counts, by the id of its material: of all materials or of the given ones; three queries."""
    found: dict[int, list[ShelfRow]] = defaultdict(list)
    tables: tuple[tuple[Any, Callable[[Any], ShelfRow]], ...] = (
        (ShelfPurchase, _bought),
        (ShelfUse, _used),
        (ShelfCount, _counted),
    )
    for table, read in tables:
        query = select(table).where(table.struck_at.is_(None))
        if material_ids is not None:
            query = query.where(table.material_id.in_(material_ids))
        for stored in session.scalars(query):
            found[stored.material_id].append(read(stored))
    return found


def _bought(row: ShelfPurchase) -> ShelfRow:
    return ShelfRow(RowKind.BOUGHT, row.id, row.on_date, row.quantity_milli, row.price_cents + row.tax_cents)


def _used(row: ShelfUse) -> ShelfRow:
    return ShelfRow(RowKind.USED, row.id, row.on_date, row.quantity_milli, piece_id=row.piece_id)


def _counted(row: ShelfCount) -> ShelfRow:
    return ShelfRow(RowKind.COUNTED, row.id, row.on_date, row.counted_milli)


def stored_charges(session: Session, material_id: int) -> list[ShelfCharge]:
    """The charges kept for a material, as they stand in the ledger."""
    query = select(ShelfCharge).where(ShelfCharge.material_id == material_id)
    return list(session.scalars(query.order_by(ShelfCharge.on_date, ShelfCharge.id)))


def charge_of(row: ShelfCharge) -> Charge:
    """A charge that is kept, as the rules take it."""
    return Charge(
        kind=row.kind,
        on=row.on_date,
        use_id=row.use_id,
        purchase_id=row.purchase_id,
        count_id=row.count_id,
        piece_id=row.piece_id,
        milli=row.quantity_milli,
        short_milli=row.short_milli,
        cents=row.cents,
    )


def plan_with(session: Session, material_id: int, row: ShelfRow) -> Plan:
    """What becomes of a material's charges when a row is entered (NothingBought where it may not be)."""
    rows = counting_rows(session, [material_id])[material_id]
    return _plan(session, material_id, row, [*rows, replace(row, id=NEWEST)])


def plan_without(session: Session, material_id: int, key: RowKey) -> Plan:
    """What becomes of a material's charges when a row is struck out (NothingBought where others rest on it)."""
    rows = counting_rows(session, [material_id])[material_id]
    gone = next(row for row in rows if row.key == key)
    return _plan(session, material_id, gone, [row for row in rows if row.key != key])


def _plan(session: Session, material_id: int, row: ShelfRow, rows: Iterable[ShelfRow]) -> Plan:
    charges = replay(rows)
    before = [charge_of(stored) for stored in stored_charges(session, material_id)]
    changes = changed_charges(before, charges)
    mine = (row, replace(row, id=NEWEST))
    return Plan(charges, [each for each in changes if not any(is_own(one, each.charge) for one in mine)])


def change_lines(session: Session, changes: Sequence[ChangedCharge]) -> list[ChangeLine]:
    """Changes with the names of the pieces they are charged to; one query."""
    ids = {change.charge.piece_id for change in changes} - {None}
    found = session.execute(select(Piece.id, Piece.tag, Piece.title, Piece.form).where(Piece.id.in_(ids)))
    named = {piece_id: (tag, shown_name(title, form)) for piece_id, tag, title, form in found}
    lines = []
    for change in changes:
        tag, name = named.get(change.charge.piece_id or 0, (None, None))
        lines.append(ChangeLine(change.charge.kind, change.charge.on, tag, name, change.was, change.becomes))
    return lines


def changes_with(session: Session, material_id: int, row: ShelfRow) -> tuple[list[ChangeLine], str]:
    """The charges of other rows that a row would change, and their mark; NothingBought where it may not be entered."""
    others = plan_with(session, material_id, row).others
    return change_lines(session, others), mark_of(others)


def left_on(session: Session, material_id: int, day: date) -> int:
    """Thousandths that were left by the books once all was used on a day that is entered so far, before any count."""
    rows = [row for row in counting_rows(session, [material_id])[material_id] if row.on <= day]
    rows = [row for row in rows if row.on < day or row.kind is not RowKind.COUNTED]
    last = max(rows, key=lambda row: (row.on, list(RowKind).index(row.kind), row.id), default=None)
    return walk_material(rows).after[last.key].milli if last else 0


def shelf_value(session: Session, day: date) -> int:
    """Cents on the shelf at the end of a day: all that was bought and taken off pieces, less all that was charged."""
    cost = func.coalesce(func.sum(ShelfPurchase.price_cents + ShelfPurchase.tax_cents), 0)
    counts = (ShelfPurchase.struck_at.is_(None), ShelfPurchase.on_date <= day)
    bought = session.scalar(select(cost).where(*counts)) or 0
    charged = select(func.coalesce(func.sum(ShelfCharge.cents), 0)).where(ShelfCharge.on_date <= day)
    return int(bought) - int(session.scalar(charged) or 0)
