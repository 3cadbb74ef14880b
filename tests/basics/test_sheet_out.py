"""Spreadsheets as they leave the ledger, read back by another library."""

from datetime import UTC, date, datetime
from decimal import Decimal
from io import BytesIO
from typing import Any, cast
from xml.etree.ElementTree import fromstring
from zipfile import ZipFile

import pytest
from hypothesis import given
from hypothesis import strategies as st
from openpyxl import load_workbook
from openpyxl.utils.escape import unescape

from app.basics import sheet_out
from app.basics.csv_out import Cell, Cents
from app.basics.sheet_out import LONGEST_TEXT, sheet_name, write_sheet

DANGEROUS = ["=1+1", "+44 20", "-5 chairs", "@home", "\tindented", '=HYPERLINK("http://x.example")', "http://x.example"]


def written(*cells: Cell) -> list[Any]:
    """The one row of a sheet with those cells, as another library reads it."""
    header = [f"column {number}" for number in range(len(cells))]
    (sheet,) = load_workbook(BytesIO(write_sheet("list", header, [cells]))).worksheets
    _, row = sheet.iter_rows()
    return list(row)


def test_the_header_is_bold_and_stays_in_sight() -> None:
    (sheet,) = load_workbook(BytesIO(write_sheet("shop costs", ["What", "Amount"], []))).worksheets

    assert [cell.value for cell in sheet[1]] == ["What", "Amount"]
    assert all(cell.font.bold for cell in sheet[1])
    assert sheet.freeze_panes == "A2"
    assert sheet.title == "shop costs"


@pytest.mark.parametrize("text", DANGEROUS)
def test_text_stays_text_and_is_never_a_formula_or_a_link(text: str) -> None:
    (cell,) = written(text)

    assert (cell.data_type, cell.value, cell.hyperlink) == ("s", text, None)


@pytest.mark.parametrize(
    ("cents", "value", "pattern"),
    [
        (Cents(-12_50, 2), -12.5, "#,##0.00"),
        (Cents(7, 0), 7, "#,##0"),
        (Cents(1, 3), 0.001, "#,##0.000"),
        (Cents(999_999_999_999_99, 2), 999_999_999_999.99, "#,##0.00"),
    ],
)
def test_money_is_a_number_in_the_places_of_its_currency(cents: Cents, value: float, pattern: str) -> None:
    (cell,) = written(cents)

    assert (cell.data_type, cell.value, cell.number_format) == ("n", value, pattern)


@given(st.integers(-(10**14), 10**14))
def test_money_reads_back_to_the_cent(cents: int) -> None:
    (cell,) = written(Cents(cents, 2))

    assert round(Decimal(str(cell.value)) * 100) == cents


@pytest.mark.parametrize("day", [date(1900, 3, 1), date(2026, 11, 25), date(2200, 12, 31)])
def test_a_day_is_a_real_day(day: date) -> None:
    (cell,) = written(day)

    assert cell.is_date
    assert (cell.value.date(), cell.number_format) == (day, "yyyy-mm-dd")


def test_a_day_that_spreadsheets_count_wrongly_and_an_instant_are_words() -> None:
    early, instant = written(date(1900, 2, 28), datetime(2026, 11, 25, 6, 35, tzinfo=UTC))

    assert (early.value, instant.value) == ("1900-02-28", "2026-11-25T06:35:00Z")


def test_numbers_are_numbers_and_nothing_is_nothing() -> None:
    whole, part, nothing, last = written(5, Decimal("-0.25"), None, 1)

    assert [whole.value, part.value, nothing.value, last.value] == [5, -0.25, None, 1]


@given(st.text(st.characters(exclude_categories=["Cs"]), max_size=30))
def test_every_text_reads_back_but_for_what_no_sheet_can_hold(text: str) -> None:
    (cell, _) = written(text, 1)

    expected = sheet_out._UNFIT.sub("\ufffd", text.replace("\r\n", "\n").replace("\r", "\n"))
    assert unescape(cell.value or "") == expected


def test_what_no_sheet_can_hold_is_shown_as_replaced_and_the_file_is_sound() -> None:
    body = write_sheet("list", ["a\x00"], [["bell\x07, \ufffe, _x0041_"]])

    for name in ZipFile(BytesIO(body)).namelist():
        fromstring(ZipFile(BytesIO(body)).read(name))  # noqa: S314 - our own file
    (cell,) = next(iter(load_workbook(BytesIO(body)).worksheets[0].iter_rows(min_row=2)))
    assert unescape(cell.value) == "bell\ufffd, \ufffd, _x0041_"


@pytest.mark.parametrize("letter", ["x", "\U0001fa91"])
def test_a_text_beyond_what_a_cell_holds_is_cut_and_says_so(letter: str) -> None:
    (cell,) = written(letter * 40_000)

    assert cell.value.endswith(f"{letter}\u2026")
    assert LONGEST_TEXT - 2 <= len(cell.value.encode("utf-16-le")) // 2 <= LONGEST_TEXT
    assert written("x" * LONGEST_TEXT)[0].value == "x" * LONGEST_TEXT


@pytest.mark.parametrize(
    ("name", "title"),
    [
        ("month-2026-11", "month-2026-11"),
        ("a/b\\c:d*e?f[g]", "a b c d e f g"),
        ("'quoted'", "quoted"),
        ("x" * 40, "x" * 31),
        ("History", "History list"),
        ("???", "List"),
        ("", "List"),
    ],
)
def test_a_sheet_bears_a_name_it_may_bear(name: str, title: str) -> None:
    assert sheet_name(name) == title
    assert load_workbook(BytesIO(write_sheet(name, ["a"], []))).sheetnames == [title]


def test_rows_that_no_longer_fit_go_on_in_a_further_sheet(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(sheet_out, "ROWS_OF_A_SHEET", 4)
    book = load_workbook(BytesIO(write_sheet("list", ["number"], ([number] for number in range(7)))))

    assert book.sheetnames == ["list", "list 2", "list 3"]
    assert [[row[0] for row in sheet.values] for sheet in book] == [
        ["number", 0, 1, 2],
        ["number", 3, 4, 5],
        ["number", 6],
    ]


def test_columns_are_as_wide_as_what_stands_in_them_within_reason() -> None:
    (sheet,) = load_workbook(BytesIO(write_sheet("list", ["a", "b", "c"], [["x" * 20, "y" * 500, None]]))).worksheets
    narrow, middle, wide = (sheet.column_dimensions[name].width for name in "CAB")

    assert narrow < middle < wide < 62


def test_the_same_rows_make_the_same_bytes() -> None:
    rows: list[list[Cell]] = [["Chest", Cents(1250, 2), date(2026, 11, 25)]]
    assert write_sheet("list", ["a", "b", "c"], rows) == write_sheet("list", ["a", "b", "c"], rows)


def test_what_csv_refuses_is_refused_here_too() -> None:
    with pytest.raises(ValueError, match="Row 1 has 1 cells where the header has 2"):
        write_sheet("list", ["a", "b"], [["1"]])
    with pytest.raises(TypeError, match="is not a cell"):
        written(cast("Cell", 1.5))
    with pytest.raises(ValueError, match="finite"):
        written(Decimal("NaN"))
