"""Read what was bought, used and counted as pages show it: of one material, of one piece, or one row."""

from collections.abc import Iterable
from dataclasses import dataclass, replace
from datetime import date, datetime
from typing import Any

from sqlalchemy import ColumnElement, select
from sqlalchemy.orm import Session

from app.basics.errors import NotFound
from app.pieces.models import Piece
from app.pieces.rules import shown_name
from app.shelf.models import Material, ShelfCharge, ShelfCount, ShelfPurchase, ShelfUse
from app.shelf.queries.counting import counting_rows
from app.shelf.rules import ChargeKind, RowKey, RowKind, Standing, Unit, walk_material

TABLES: dict[RowKind, str] = {
    RowKind.BOUGHT: "shelf_purchase",
    RowKind.USED: "shelf_use",
    RowKind.COUNTED: "shelf_count",
}


@dataclass(frozen=True)
class ShelfLine:
    """One row of the shelf, struck out or counting; quantities in thousandths, money in cents.

    `charged_cents` is what a use cost or a count showed missing; `settled_cents` came on top when a purchase
    settled a use beyond what was left, of which `open_milli` is not settled yet. `missing_milli` of a count is below
    zero for what it found. `piece_tag` is the piece it was used on, or taken off.
    """

    kind: RowKind
    id: int
    material_id: int
    material_name: str
    unit: Unit
    on: date
    milli: int
    piece_tag: str | None
    piece_name: str | None
    note: str
    made_at: datetime
    struck_at: datetime | None
    struck_reason: str | None
    price_cents: int = 0
    tax_cents: int = 0
    bought_at: str = ""
    receipt_photo_id: int | None = None
    charged_cents: int = 0
    settled_cents: int = 0
    short_milli: int = 0
    open_milli: int = 0
    missing_milli: int = 0
    after: Standing | None = None

    @property
    def key(self) -> RowKey:
        """What tells it from every other row of its material."""
        return self.kind, self.id

    @property
    def table(self) -> str:
        """The table it stands in."""
        return TABLES[self.kind]

    @property
    def is_struck(self) -> bool:
        """Whether it was struck out and counts no more."""
        return self.struck_at is not None

    @property
    def paid_cents(self) -> int:
        """What a purchase cost: its price and its tax."""
        return self.price_cents + self.tax_cents

    @property
    def cost_cents(self) -> int:
        """What a use cost in all, or a count charged to the shop."""
        return self.charged_cents + self.settled_cents

    @property
    def is_off_a_piece(self) -> bool:
        """Whether it came off a piece and was not bought."""
        return self.kind is RowKind.BOUGHT and self.piece_tag is not None


@dataclass(frozen=True)
class _Charged:
    """The charges of one use or count together."""

    cents: int = 0
    settled: int = 0
    milli: int = 0
    short: int = 0


def material_lines(session: Session, material_id: int) -> list[ShelfLine]:
    """Everything of one material, the newest day first, with what was left after each row that counts."""
    of_it = {kind: [table.material_id == material_id] for kind, table in _TABLES.items()}
    lines = [line for kind, wanted in of_it.items() for line in _lines(session, kind, *wanted)]
    walked = walk_material(counting_rows(session, [material_id])[material_id])
    told = [_placed(line, walked.after.get(line.key), walked.open_short) for line in lines]
    order = list(RowKind)
    return sorted(told, key=lambda line: (line.on, order.index(line.kind), line.id), reverse=True)


def uses_of(session: Session, piece_id: int) -> list[ShelfLine]:
    """What was used of the shelf on a piece, the newest day first, struck ones too."""
    lines = _lines(session, RowKind.USED, ShelfUse.piece_id == piece_id)
    short = {line.material_id for line in lines if line.short_milli}
    open_short: dict[int, int] = {}
    for rows in counting_rows(session, short).values() if short else ():
        open_short |= walk_material(rows).open_short
    return [_placed(line, None, open_short) for line in lines]


def parts_of(session: Session, piece_id: int) -> list[ShelfLine]:
    """What was taken off a piece to the shelf, the newest day first, struck ones too."""
    return _lines(session, RowKind.BOUGHT, ShelfPurchase.from_piece_id == piece_id)


def line_by_id(session: Session, kind: RowKind, row_id: int) -> ShelfLine:
    """One row by its kind and number; raises NotFound."""
    for line in _lines(session, kind, _TABLES[kind].id == row_id):
        return line
    raise NotFound({RowKind.BOUGHT: "purchase", RowKind.USED: "use", RowKind.COUNTED: "count"}[kind])


def counted_cost(lines: Iterable[ShelfLine]) -> int:
    """Cents that the lines cost which count."""
    return sum(line.cost_cents for line in lines if not line.is_struck)


_TABLES: dict[RowKind, Any] = {
    RowKind.BOUGHT: ShelfPurchase,
    RowKind.USED: ShelfUse,
    RowKind.COUNTED: ShelfCount,
}


def _lines(session: Session, kind: RowKind, *wanted: ColumnElement[bool]) -> list[ShelfLine]:
    table = _TABLES[kind]
    charged = _charged(session, kind, *wanted)
    query = select(table, Material.name, Material.unit).join(Material, Material.id == table.material_id)
    if kind is not RowKind.COUNTED:
        on_piece = table.piece_id if kind is RowKind.USED else table.from_piece_id
        query = query.add_columns(Piece).outerjoin(Piece, Piece.id == on_piece)
    found = session.execute(query.where(*wanted))
    lines = [_line(kind, list(each), charged.get(each[0].id, _Charged())) for each in found]
    return sorted(lines, key=lambda line: (line.on, line.id), reverse=True)


def _line(kind: RowKind, found: list[Any], charged: _Charged) -> ShelfLine:
    row, name, unit, *pieces = found
    piece: Piece | None = pieces[0] if pieces else None
    bought = kind is RowKind.BOUGHT
    return ShelfLine(
        kind=kind,
        id=row.id,
        material_id=row.material_id,
        material_name=name,
        unit=unit,
        on=row.on_date,
        milli=row.counted_milli if kind is RowKind.COUNTED else row.quantity_milli,
        piece_tag=piece.tag if piece else None,
        piece_name=shown_name(piece.title, piece.form) if piece else None,
        note=row.note,
        made_at=row.made_at,
        struck_at=row.struck_at,
        struck_reason=row.struck_reason,
        price_cents=row.price_cents if bought else 0,
        tax_cents=row.tax_cents if bought else 0,
        bought_at=row.bought_at if bought else "",
        receipt_photo_id=row.receipt_photo_id if bought else None,
        charged_cents=charged.cents,
        settled_cents=charged.settled,
        short_milli=charged.short,
        missing_milli=charged.milli,
    )


def _charged(session: Session, kind: RowKind, *wanted: ColumnElement[bool]) -> dict[int, _Charged]:
    if kind is RowKind.BOUGHT:
        return {}
    table = _TABLES[kind]
    its_id: Any = ShelfCharge.use_id if kind is RowKind.USED else ShelfCharge.count_id
    query = select(its_id, ShelfCharge).where(its_id.in_(select(table.id).where(*wanted)))
    found: dict[int, _Charged] = {}
    for row_id, charge in session.execute(query):
        so_far = found.get(row_id, _Charged())
        found[row_id] = _with(so_far, charge)
    return found


def _with(so_far: _Charged, charge: ShelfCharge) -> _Charged:
    if charge.kind is ChargeKind.SETTLEMENT:
        return _Charged(so_far.cents, so_far.settled + charge.cents, so_far.milli, so_far.short)
    return _Charged(charge.cents, so_far.settled, charge.quantity_milli, charge.short_milli)


def _placed(line: ShelfLine, after: Standing | None, open_short: dict[int, int]) -> ShelfLine:
    open_milli = open_short.get(line.id, 0) if line.kind is RowKind.USED else 0
    return replace(line, after=after, open_milli=open_milli)
