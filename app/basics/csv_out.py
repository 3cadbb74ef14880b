"""Rows written as CSV (RFC 4180): for a spreadsheet, where no text may turn into a formula, or exactly."""

import csv
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from datetime import UTC, date, datetime
from decimal import Decimal
from io import StringIO
from typing import Final

from app.basics.money import money_plain

BYTE_ORDER_MARK: Final = "\ufeff"
"""Tells some spreadsheets that the letters are UTF-8."""

FORMULA_STARTS: Final = ("=", "+", "-", "@", "\t", "\r")
"""What a spreadsheet takes for the start of a formula, quoted or not."""


@dataclass(frozen=True)
class Cents:
    """An amount in minor units with that many decimal places, written as a number like -12.50."""

    value: int
    places: int


Cell = str | int | Decimal | date | Cents | None


def write_rows(
    header: Sequence[str], rows: Iterable[Sequence[Cell]], *, bom: bool, for_spreadsheets: bool = True
) -> Iterator[str]:
    """Write a header and rows as CSV text, one piece of text for each row, each ended by CR LF.

    For spreadsheets, a text that would start a formula gets a leading apostrophe; numbers and days never do.
    Without that the text is exact and can be read back. Refuses a row of another length than the header
    (ValueError), and a cell of a type not listed in `Cell` (TypeError).
    """
    mark = BYTE_ORDER_MARK if bom else ""
    yield mark + _written([_safe(title) if for_spreadsheets else title for title in header])
    for number, row in enumerate(rows, start=1):
        if len(row) != len(header):
            raise ValueError(f"Row {number} has {len(row)} cells where the header has {len(header)}.")
        yield _written([_cell(cell, for_spreadsheets=for_spreadsheets) for cell in row])


def _written(cells: Sequence[str]) -> str:
    line = StringIO(newline="")
    csv.writer(line, lineterminator="\r\n").writerow(cells)
    return line.getvalue()


def _safe(text: str) -> str:
    return f"'{text}" if text.startswith(FORMULA_STARTS) else text


def _cell(cell: Cell, *, for_spreadsheets: bool) -> str:
    if isinstance(cell, str):
        return _safe(cell) if for_spreadsheets else cell
    return "" if cell is None else plain_words(cell)


def plain_words(cell: int | Decimal | date | Cents) -> str:
    """An amount, a number or a day in plain words that every program reads alike: -12.50, 2026-11-25."""
    if isinstance(cell, Cents):
        return money_plain(cell.value, cell.places)
    if isinstance(cell, datetime):
        return _instant(cell)
    if isinstance(cell, date):
        return cell.isoformat()
    return _number(cell)


def _instant(instant: datetime) -> str:
    if instant.tzinfo is None:
        raise ValueError("An instant needs a zone before it can be written.")
    return instant.astimezone(UTC).replace(tzinfo=None).isoformat() + "Z"


def _number(number: int | Decimal) -> str:
    if isinstance(number, bool) or not isinstance(number, int | Decimal):
        raise TypeError(f"{number!r} is not a cell; write it as a text, a whole number, a Decimal or a day.")
    if isinstance(number, Decimal) and not number.is_finite():
        raise ValueError("Only a finite number can be written.")
    return format(number, "f") if isinstance(number, Decimal) else str(number)
