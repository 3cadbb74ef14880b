"""What a ladder on a page is made of: rungs with their amounts, and the rows each rung opens to."""

from collections.abc import Callable, Collection, Iterable, Mapping
from dataclasses import dataclass
from datetime import date
from itertools import groupby
from typing import Final

from flask import url_for

from app.basics.dates import Month
from app.reports.queries import PieceBooks, RowWords
from app.reports.queries.beside import (
    ADJUSTMENT,
    DEPOSIT,
    DEPOSIT_END,
    SALE_REFUND,
    SHELF_CHARGE,
    SHELF_PURCHASE,
    TRIP_TABLE,
)
from app.reports.queries.costs import COST_LINE, PURCHASE, TIME_ENTRY, TRANSFER
from app.reports.queries.order import LEAVING, RETURN, SALE
from app.reports.rules import Line, Part, RowRef, Term

MATERIAL: Final = "material"

# Where a row is shown in full, by its table and the number of its page.
_PAGES: Mapping[str, Callable[[int], str]] = {
    SHELF_CHARGE: lambda material_id: url_for("shelf.material", material_id=material_id),
    SHELF_PURCHASE: lambda material_id: url_for("shelf.material", material_id=material_id),
    MATERIAL: lambda material_id: url_for("shelf.material", material_id=material_id),
    TRIP_TABLE: lambda trip_id: url_for("trips.trip", trip_id=trip_id),
    DEPOSIT: lambda deposit_id: url_for("sales.deposit", deposit_id=deposit_id),
    DEPOSIT_END: lambda deposit_id: url_for("sales.deposit", deposit_id=deposit_id),
    ADJUSTMENT: lambda _: url_for("desk.corrections"),
}


@dataclass(frozen=True)
class RungRow:
    """One row behind a rung: what it was, where that is shown in full, its day, and its signed cents."""

    words: str
    href: str
    on: date | None
    cents: int
    note: str = ""


@dataclass(frozen=True)
class Rung:
    """One line of a ladder in signed cents, and the rows that make it."""

    key: str
    label: str
    cents: int
    rows: tuple[RungRow, ...]


def rungs_of(
    lines: Iterable[Line],
    names: Mapping[int, str],
    always: Collection[str] = (),
    materials: Mapping[RowRef, int] | None = None,
) -> list[Rung]:
    """The lines that have something booked on them, and those that are always shown.

    `materials` holds the material of each row of the shelf on the shop; a row without one opens the shop's costs.
    """
    return [
        Rung(
            line.key,
            line.label,
            line.cents,
            tuple(_part_row(part, names, materials or {}) for part in sorted(line.parts, key=lambda part: part.on)),
        )
        for line in lines
        if line.parts or line.key in always
    ]


def _part_row(part: Part, names: Mapping[int, str], materials: Mapping[RowRef, int]) -> RungRow:
    if part.piece_id is None:
        return RungRow(part.label, _href_of_shop(part, materials), part.on, part.cents)
    name = f"{names[part.piece_id]} {part.label}"
    return RungRow(name, url_for("reports.piece_profit", tag=part.label), part.on, part.cents)


def href_of_page(table: str, page_id: int, on: date) -> str:
    """Where a row without a piece is shown in full; one of the shop's own costs stands in the list of its month."""
    page = _PAGES.get(table)
    return page(page_id) if page is not None else url_for("costs.shop_costs", month=str(Month.of(on)))


def _href_of_shop(part: Part, materials: Mapping[RowRef, int]) -> str:
    row = part.rows[0]
    page = _PAGES.get(row.table)
    if page is None or (row.table in {SHELF_CHARGE, SHELF_PURCHASE} and row not in materials):
        return url_for("costs.shop_costs", month=str(Month.of(part.on)))
    return page(materials.get(row, row.id))


def rungs_by_month(lines: Iterable[Line], href_of: Callable[[Month], str]) -> list[Rung]:
    """The lines that have something booked on them, each opening to its months."""
    return [Rung(line.key, line.label, line.cents, tuple(_month_rows(line, href_of))) for line in lines if line.parts]


def _month_rows(line: Line, href_of: Callable[[Month], str]) -> Iterable[RungRow]:
    def month_of(part: Part) -> Month:
        return Month.of(part.on)

    for month, parts in groupby(sorted(line.parts, key=month_of), key=month_of):
        yield RungRow(month.name, href_of(month), None, sum(part.cents for part in parts))


def rungs_of_piece(books: PieceBooks, *, as_put_in: bool) -> list[Rung]:
    """The terms of a piece's ladder; `as_put_in` shows costs above zero, as what was put in."""
    sign = -1 if as_put_in else 1
    return [
        Rung(term.key, term.label, sign * term.cents, tuple(_term_rows(books, term, sign)))
        for term in books.profit.terms
    ]


def _term_rows(books: PieceBooks, term: Term, sign: int) -> Iterable[RungRow]:
    for row, cents in zip(term.rows, term.amounts, strict=True):
        said = books.words[row]
        note = "when it was gone: counts in its own month" if row in books.late and term.is_cost else ""
        yield RungRow(said.words, _href_of(row, said, books.piece.tag), said.on, sign * cents, note)


def time_rungs(books: PieceBooks) -> list[RungRow]:
    """The work on a piece, the oldest first; cents hold minutes, below zero for what went to another piece."""
    return [
        RungRow(said.words, _href_of(time.row, said, books.piece.tag), said.on, time.minutes)
        for time in sorted(books.ledger.times, key=lambda time: (time.on, time.row))
        if (said := books.words[time.row])
    ]


def _href_of(row: RowRef, said: RowWords, tag: str) -> str:
    if row.table == PURCHASE and said.haul_id is not None:
        return url_for("pieces.haul", haul_id=said.haul_id)
    if row.table in _PAGES:
        return _PAGES[row.table](row.id if said.page_id is None else said.page_id)
    if row.table in {SALE, RETURN, SALE_REFUND}:
        return url_for("sales.sale", sale_id=said.sale_id)
    if row.table == TRANSFER:
        return url_for("reports.piece_profit", tag=said.other_tag)
    own_page = {COST_LINE: "costs.of_piece", TIME_ENTRY: "timelog.of_piece", LEAVING: "desk.sheet"}
    return url_for(own_page.get(row.table, "desk.sheet"), tag=tag)
