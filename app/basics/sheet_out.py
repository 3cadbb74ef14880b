"""Rows written as a spreadsheet: text that can never be a formula, money as numbers, days as days."""

import re
from collections.abc import Iterable, Sequence
from datetime import date, datetime
from decimal import Decimal
from io import BytesIO
from typing import Any, Final

from xlsxwriter import Workbook

from app.basics.csv_out import Cell, Cents, plain_words

ROWS_OF_A_SHEET: Final = 1_048_576
LONGEST_TEXT: Final = 32_767
"""Letters of one cell, counted as spreadsheets count them: one beyond the first 65,536 counts twice."""
LONGEST_NAME: Final = 31
NARROWEST, WIDEST = 8, 60
FIRST_SURE_DAY: Final = date(1900, 3, 1)
"""Before it spreadsheets count a day that never was, so that earlier days are written as words."""

# What the file format cannot hold at all; a spreadsheet would call the whole file broken.
_UNFIT: Final = re.compile("[\x00-\x08\x0b\x0c\x0e-\x1f\ud800-\udfff\ufffe\uffff]")
_NOT_IN_A_NAME: Final = re.compile(r"[\[\]:*?/\\\x00-\x1f]")
_OPTIONS: Final = {
    "constant_memory": True,
    "strings_to_formulas": False,
    "strings_to_urls": False,
    "strings_to_numbers": False,
}


def write_sheet(name: str, header: Sequence[str], rows: Iterable[Sequence[Cell]]) -> bytes:
    """Write a header and rows as a spreadsheet file whose sheet is called `name`.

    The same rows always make the same bytes. Rows that no longer fit go on in a further sheet. Refuses what
    `csv_out.write_rows` refuses: a row of another length than the header, a cell of an unknown type.
    """
    body = BytesIO()
    with Workbook(body, _OPTIONS) as book:
        book.set_properties({"title": _fit(name), "created": datetime(2000, 1, 1)})  # noqa: DTZ001 - no real moment
        writer = _SheetWriter(book, name, header)
        for number, row in enumerate(rows, start=1):
            if len(row) != len(header):
                raise ValueError(f"Row {number} has {len(row)} cells where the header has {len(header)}.")
            writer.add(row)
        writer.finish()
    return body.getvalue()


def sheet_name(name: str, number: int = 1) -> str:
    """A name a sheet may bear, made of `name`; from the second sheet on with its number."""
    ending = "" if number == 1 else f" {number}"
    bare = _NOT_IN_A_NAME.sub(" ", name).strip("' ")[: LONGEST_NAME - len(ending)].strip("' ")
    # One name is kept back by spreadsheets for themselves.
    return f"{bare or 'List'}{ending}" if bare.casefold() != "history" else f"{bare} list{ending}"


class _SheetWriter:
    """Writes rows one under another, and begins a new sheet when one is full."""

    def __init__(self, book: Any, name: str, header: Sequence[str]) -> None:
        self._book, self._name, self._header = book, name, header
        self._bold = book.add_format({"bold": True, "bottom": 1})
        self._day = book.add_format({"num_format": "yyyy-mm-dd"})
        self._money: dict[int, Any] = {}
        self._sheets = 0
        self._begin()

    def add(self, row: Sequence[Cell]) -> None:
        """The next row."""
        if self._row == ROWS_OF_A_SHEET:
            self.finish()
            self._begin()
        for column, cell in enumerate(row):
            self._widths[column] = max(self._widths[column], self._write(column, cell))
        self._row += 1

    def finish(self) -> None:
        """Give the columns of the sheet the widths of what stands in them."""
        for column, wide in enumerate(self._widths):
            self._sheet.set_column(column, column, min(max(wide + 2, NARROWEST), WIDEST))

    def _begin(self) -> None:
        self._sheets += 1
        self._sheet = self._book.add_worksheet(sheet_name(self._name, self._sheets))
        self._sheet.freeze_panes(1, 0)
        self._row, self._widths = 0, [0] * len(self._header)
        for column, title in enumerate(self._header):
            self._widths[column] = self._text(column, title, self._bold)
        self._row = 1

    def _write(self, column: int, cell: Cell) -> int:
        """Write a cell; how many letters wide it is."""
        if cell is None:
            return 0
        if isinstance(cell, str):
            return self._text(column, cell)
        words = plain_words(cell)
        if isinstance(cell, Cents):
            # Up to fifteen figures the nearest binary fraction is shown as the amount itself.
            self._sheet.write_number(self._row, column, cell.value / 10**cell.places, self._money_format(cell.places))
            return len(words) + len(words) // 4
        if isinstance(cell, int | Decimal):
            self._sheet.write_number(self._row, column, float(cell))
        elif isinstance(cell, datetime) or cell < FIRST_SURE_DAY:
            return self._text(column, words)
        else:
            self._sheet.write_datetime(self._row, column, cell, self._day)
        return len(words)

    def _text(self, column: int, text: str, look: Any = None) -> int:
        fit = _fit(text)
        self._sheet.write_string(self._row, column, fit, look)
        return max((len(line) for line in fit.split("\n")), default=0)

    def _money_format(self, places: int) -> Any:
        if places not in self._money:
            pattern = "#,##0" + ("." + "0" * places if places else "")
            self._money[places] = self._book.add_format({"num_format": pattern})
        return self._money[places]


def _fit(text: str) -> str:
    """The text with what no cell can hold replaced by a sign for it, cut where it is too long."""
    whole = _UNFIT.sub("\ufffd", text.replace("\r\n", "\n").replace("\r", "\n"))
    if _length(whole) <= LONGEST_TEXT:
        return whole
    cut = whole.encode("utf-16-le")[: (LONGEST_TEXT - 1) * 2]
    return cut.decode("utf-16-le", errors="ignore") + "\u2026"


def _length(text: str) -> int:
    return len(text.encode("utf-16-le")) // 2
