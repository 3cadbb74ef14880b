"""CSV as it leaves the ledger: exact, or safe to open in a spreadsheet."""

import csv
from datetime import UTC, date, datetime, timedelta, timezone
from decimal import Decimal
from io import StringIO
from typing import cast

import pytest
from hypothesis import given
from hypothesis import strategies as st

from app.basics.csv_out import Cell, Cents, write_rows

DANGEROUS = ["=1+1", "+44 20", "-5 chairs", "@home", "\tindented", "\rreturned"]


def written(*cells: Cell, for_spreadsheets: bool = True) -> str:
    """The one row of a file that has those cells, without its header and its line end."""
    header = [f"column {number}" for number in range(len(cells))]
    lines = list(write_rows(header, [cells], bom=False, for_spreadsheets=for_spreadsheets))
    return lines[1].removesuffix("\r\n")


def read_back(text: str) -> list[list[str]]:
    return list(csv.reader(StringIO(text, newline=""), strict=True))


def test_every_line_ends_in_cr_lf_and_the_header_comes_first() -> None:
    text = "".join(write_rows(["Piece", "Price"], [["Chest", Cents(12_50, 2)], ["Chair", None]], bom=False))

    assert text == "Piece,Price\r\nChest,12.50\r\nChair,\r\n"


def test_a_file_without_rows_still_has_its_header() -> None:
    assert "".join(write_rows(["Piece"], [], bom=False)) == "Piece\r\n"


def test_the_mark_for_spreadsheets_comes_once_and_only_when_asked_for() -> None:
    text = "".join(write_rows(["Piece"], [["Chest"]], bom=True))

    assert text.startswith("\ufeffPiece")
    assert text.count("\ufeff") == 1


@pytest.mark.parametrize(
    ("text", "line"),
    [
        ("oak, pine", '"oak, pine"'),
        ('the "old" chest', '"the ""old"" chest"'),
        ("two\nlines", '"two\nlines"'),
        ("two\r\nlines", '"two\r\nlines"'),
        ("🪑 chair", "🪑 chair"),
        ("", '""'),
    ],
)
def test_text_is_quoted_where_the_format_asks_for_it(text: str, line: str) -> None:
    assert written(text) == line


@pytest.mark.parametrize("text", DANGEROUS)
def test_text_that_would_start_a_formula_is_held_back_by_an_apostrophe(text: str) -> None:
    assert read_back(written(text, "next")) == [[f"'{text}", "next"]]


@pytest.mark.parametrize("text", DANGEROUS)
def test_an_exact_file_holds_the_text_as_it_is(text: str) -> None:
    assert read_back(written(text, "next", for_spreadsheets=False)) == [[text, "next"]]


def test_a_heading_that_would_start_a_formula_is_held_back_too() -> None:
    assert next(write_rows(["=1+1"], [], bom=False)) == "'=1+1\r\n"
    assert next(write_rows(["=1+1"], [], bom=False, for_spreadsheets=False)) == "=1+1\r\n"


@pytest.mark.parametrize(
    ("cell", "line"),
    [
        (Cents(-12_50, 2), "-12.50"),
        (Cents(-1250, 0), "-1250"),
        (Cents(1234, 3), "1.234"),
        (-5, "-5"),
        (Decimal("-0.25"), "-0.25"),
        (Decimal("1E+3"), "1000"),
        (date(2026, 11, 25), "2026-11-25"),
        (datetime(2026, 11, 25, 6, 35, tzinfo=UTC), "2026-11-25T06:35:00Z"),
        (datetime(2026, 11, 25, 6, 35, tzinfo=timezone(timedelta(hours=-5))), "2026-11-25T11:35:00Z"),
    ],
)
def test_numbers_and_days_are_written_plainly_and_never_held_back(cell: Cell, line: str) -> None:
    assert written(cell) == line


def test_an_empty_cell_among_others_is_left_empty() -> None:
    assert written("Chest", None, 1) == "Chest,,1"


def test_a_row_of_another_length_than_the_header_is_refused() -> None:
    with pytest.raises(ValueError, match="Row 2 has 1 cells where the header has 2"):
        list(write_rows(["a", "b"], [["1", "2"], ["1"]], bom=False))


@pytest.mark.parametrize("cell", [1.5, True, ["a"], b"a"])
def test_a_cell_of_no_known_type_is_refused(cell: object) -> None:
    with pytest.raises(TypeError, match="is not a cell"):
        written(cast("Cell", cell))


@pytest.mark.parametrize("cell", [Decimal("NaN"), Decimal("Infinity")])
def test_a_number_that_is_not_finite_is_refused(cell: Decimal) -> None:
    with pytest.raises(ValueError, match="finite"):
        written(cell)


def test_an_instant_without_a_zone_is_refused() -> None:
    with pytest.raises(ValueError, match="zone"):
        written(datetime(2026, 11, 25, 6, 35))  # noqa: DTZ001 - the naive instant is what is refused


@given(st.lists(st.lists(st.text(max_size=12), min_size=3, max_size=3), max_size=6))
def test_an_exact_file_reads_back_as_it_was(rows: list[list[str]]) -> None:
    text = "".join(write_rows(["a", "b", "c"], rows, bom=False, for_spreadsheets=False))

    assert read_back(text) == [["a", "b", "c"], *rows]


@given(st.text(max_size=12))
def test_no_text_reaches_a_spreadsheet_as_a_formula(text: str) -> None:
    cell = read_back(written(text, "next"))[0][0]

    assert not cell.startswith(("=", "+", "-", "@", "\t", "\r"))
    assert cell.removeprefix("'") == text.removeprefix("'")
