"""Read what a receipt may belong to: cost lines, purchases for the shelf and trips, by one name each."""

from collections.abc import Mapping
from contextlib import suppress
from dataclasses import dataclass
from datetime import date
from types import MappingProxyType
from typing import Any

from sqlalchemy import ColumnElement, exists, or_, select
from sqlalchemy.orm import Session

from app.basics.errors import NotFound
from app.costs.models import CostLine
from app.costs.rules import COST_WORDS
from app.photos.models import ReplacedReceipt
from app.pieces.models import Piece
from app.pieces.rules import shown_name
from app.shelf.models import Material, ShelfPurchase
from app.trips.models import Trip
from app.trips.rules import PURPOSE_WORDS

MAY_HAVE_ONE: Mapping[str, Any] = MappingProxyType({"cost": CostLine, "shelf": ShelfPurchase, "trip": Trip})
"""The tables whose rows point to a receipt, by the word before the number in a row's name: cost-12."""
MOST_ROWS = 200
MOST_DIGITS = 18

_WANTED: Mapping[str, ColumnElement[bool]] = MappingProxyType(
    {
        "cost": CostLine.struck_at.is_(None),
        # Parts taken off a piece were not bought, and miles at the rate need no receipt.
        "shelf": ShelfPurchase.struck_at.is_(None) & ShelfPurchase.from_piece_id.is_(None),
        "trip": Trip.struck_at.is_(None) & ((Trip.extra_cents > 0) | (Trip.actual_cents > 0)),
    }
)


@dataclass(frozen=True)
class ReceiptRow:
    """A row that has a receipt or lacks one; `name` is its word and number, `cents` what was spent."""

    word: str
    id: int
    what: str
    on_date: date
    cents: int
    receipt_photo_id: int | None
    struck_reason: str | None
    tag: str | None = None
    piece_name: str = ""
    material_id: int | None = None

    @property
    def name(self) -> str:
        """What addresses and forms call it: cost-12."""
        return f"{self.word}-{self.id}"

    @property
    def attached(self) -> str:
        """What forms call it together with its receipt: cost-12:46."""
        return f"{self.name}:{self.receipt_photo_id}"


def row_named(name: str) -> tuple[str, int]:
    """The word and the number of a row by its name; raises NotFound for what is no such name."""
    word, _, number = name.partition("-")
    if word not in MAY_HAVE_ONE or not (number.isascii() and number.isdigit() and len(number) <= MOST_DIGITS):
        raise NotFound("receipt")
    return word, int(number)


def receipt_row(session: Session, name: str) -> ReceiptRow:
    """One row that may have a receipt; raises NotFound."""
    word, row_id = row_named(name)
    for row in _rows(session, word, MAY_HAVE_ONE[word].id == row_id):
        return row
    raise NotFound("receipt")


def rows_attached(session: Session, attached: Mapping[str, int]) -> list[ReceiptRow]:
    """The rows of these names whose receipt is still the photo named, the newest day first; three queries at most."""
    wanted: dict[str, set[int]] = {}
    for name in attached:
        with suppress(NotFound):
            word, row_id = row_named(name)
            wanted.setdefault(word, set()).add(row_id)
    found = [row for word, ids in wanted.items() for row in _rows(session, word, MAY_HAVE_ONE[word].id.in_(ids))]
    still = [row for row in found if row.receipt_photo_id == attached[row.name]]
    return sorted(still, key=lambda row: (row.on_date, row.name), reverse=True)


def rows_without_receipt(session: Session) -> list[ReceiptRow]:
    """Rows that count and lack a receipt, the newest day first, 200 at most; three queries."""
    rows = [
        row
        for word, table in MAY_HAVE_ONE.items()
        for row in _rows(session, word, _WANTED[word], table.receipt_photo_id.is_(None))
    ]
    return sorted(rows, key=lambda row: (row.on_date, row.name), reverse=True)[:MOST_ROWS]


def is_receipt_of_any(session: Session, photo_id: int) -> bool:
    """Whether a row has the photo as its receipt, or had it until another one replaced it."""
    named: list[Any] = [exists().where(table.receipt_photo_id == photo_id) for table in MAY_HAVE_ONE.values()]
    return bool(session.scalar(select(or_(*named, exists().where(ReplacedReceipt.photo_id == photo_id)))))


def _rows(session: Session, word: str, *wanted: ColumnElement[bool]) -> list[ReceiptRow]:
    table = MAY_HAVE_ONE[word]
    more = {
        "cost": (Piece, Piece.id == CostLine.piece_id),
        "shelf": (Material, Material.id == ShelfPurchase.material_id),
    }
    query: Any = select(table, more[word][0]).outerjoin(*more[word]) if word in more else select(table)
    found = session.execute(query.where(*wanted).order_by(table.on_date.desc(), table.id.desc()).limit(MOST_ROWS))
    return [_row(word, *parts) for parts in found]


def _row(word: str, row: Any, beside: Any = None) -> ReceiptRow:
    said: dict[str, Any] = {}
    if word == "cost":
        said = {"what": COST_WORDS[row.kind], "cents": row.amount_cents}
        if beside is not None:
            said |= {"tag": beside.tag, "piece_name": shown_name(beside.title, beside.form)}
    elif word == "shelf":
        said = {"what": beside.name, "cents": row.price_cents + row.tax_cents, "material_id": row.material_id}
    else:
        said = {"what": f"Trip: {PURPOSE_WORDS[row.purpose]}", "cents": row.charged_cents}
    return ReceiptRow(
        word=word,
        id=row.id,
        on_date=row.on_date,
        receipt_photo_id=row.receipt_photo_id,
        struck_reason=row.struck_reason,
        **said,
    )
