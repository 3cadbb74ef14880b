"""The pages of the years: the list of them, one year from its stock to its profit, and the rows behind each line."""

from collections.abc import Iterator, Sequence

from babel.dates import format_date
from flask import abort, render_template, url_for
from flask.typing import ResponseReturnValue

from app.basics.csv_out import Cell, Cents
from app.reports.queries.sums import LineRow
from app.reports.queries.year_page import YearSheet, line_of_year, rows_of_year, year_sheet, years_of
from app.reports.routes.asked_year import known_year
from app.reports.routes.blueprint import bp
from app.reports.routes.rungs import MATERIAL, href_of_page
from app.reports.rules.sums import PeriodSums
from app.reports.rules.year import PART_WORDS, RECEIPTS, YearBooks, words_of_line
from app.web.frame import frame, ledger
from app.web.paging import page_of
from app.web.takeaway import HAND_OVER_NOTE, csv_answer

YEARS_HEADER = ("Year", "Net receipts", "Profit on pieces", "Shop costs", "Profit", "Stock at cost at the end")
YEAR_HEADER = ("Part", "Line", "Amount")
LINE_HEADER = ("Date", "Tag", "Piece", "Line", "Note", "Amount")


@bp.get("/books/years")
def years() -> ResponseReturnValue:
    with ledger().reading() as session:
        found = years_of(session, frame().today)
    page = page_of(len(found), "reports.years")
    rows = found[page.offset : page.last]
    return render_template("reports/years.html", rows=rows, page=page, receipts=_receipts, note=HAND_OVER_NOTE)


@bp.get("/books/years.csv")
def years_csv() -> ResponseReturnValue:
    with ledger().reading() as session:
        found = years_of(session, frame().today)
    return csv_answer("years.csv", YEARS_HEADER, _years_cells(found, frame().places))


@bp.get("/books/years/this")
def this_year() -> ResponseReturnValue:
    return year(frame().today.year)


@bp.get("/books/years/<int:year>")
def year(year: int) -> ResponseReturnValue:
    sheet = asked_year_sheet(year)
    return render_template(
        "reports/year.html",
        sheet=sheet,
        books=sheet.books,
        sections=list(sheet.books.sections()),
        ties=list(sheet.books.ties()),
        address_of=address_of,
        month_name=lambda month: format_date(month.first, "LLLL", locale=frame().locale),
        note=HAND_OVER_NOTE,
    )


@bp.get("/books/years/<int:year>.csv")
def year_csv(year: int) -> ResponseReturnValue:
    books = asked_year_sheet(year).books
    return csv_answer(f"year-{year}.csv", YEAR_HEADER, _year_cells(books, frame().places))


@bp.get("/books/years/<int:year>/<line>")
def year_line(year: int, line: str) -> ResponseReturnValue:
    key, words = _line_asked(line)
    with ledger().reading() as session:
        found = line_of_year(session, known_year(year), key)
        page = page_of(found.total, "reports.year_line")
        rows = rows_of_year(session, year, key, limit=page.last - page.offset, offset=page.offset)
    return render_template(
        "reports/year_line.html",
        year=year,
        line=line,
        words=words,
        found=found,
        rows=rows,
        page=page,
        href_of=href_of_row,
        what_of=what_of_row,
        part_of=part_words,
        note=HAND_OVER_NOTE,
    )


@bp.get("/books/years/<int:year>/<line>.csv")
def year_line_csv(year: int, line: str) -> ResponseReturnValue:
    key, _ = _line_asked(line)
    with ledger().reading() as session:
        rows = rows_of_year(session, known_year(year), key)
    return csv_answer(f"year-{year}-{line}.csv", LINE_HEADER, _line_cells(rows, frame().places))


def asked_year_sheet(year: int) -> YearSheet:
    """The year an address names, with all that its page shows; there is no page for one the ledger cannot hold."""
    with ledger().reading() as session:
        return year_sheet(session, known_year(year), frame().today)


def address_of(key: str) -> str:
    """The key of a line as it stands in an address, where a colon would be hard to type."""
    return key.replace(":", "-")


def href_of_row(row: LineRow) -> str:
    """Where a row is shown: on its piece's page of profit, or where the shop's own rows stand."""
    if row.tag:
        return url_for("reports.piece_profit", tag=row.tag)
    return href_of_page(row.table, row.page_id or row.row_id, row.on)


def what_of_row(row: LineRow) -> str:
    """What a row without a piece is called: the material, or what part of the line it stands on."""
    if row.table == MATERIAL:
        return row.note
    return row.name or PART_WORDS.get(row.key.split(":")[-1]) or words_of_line(row.key)


def part_words(key: str) -> str:
    """A part of a line by its own words alone."""
    return PART_WORDS[key.rsplit(":", maxsplit=1)[-1]]


def _line_asked(words: str) -> tuple[str, str]:
    """The key an address names, with its words; a colon of the key is a hyphen there."""
    key = words.replace("-", ":")
    try:
        return key, words_of_line(key)
    except KeyError:
        abort(404)


def _receipts(sums: PeriodSums) -> int:
    return sum(sums.cents(key) for key in RECEIPTS)


def _years_cells(found: Sequence[tuple[int, PeriodSums]], places: int) -> Iterator[tuple[Cell, ...]]:
    for year, sums in found:
        amounts = (_receipts(sums), sums.profit_on_pieces, sums.cents("shop"), sums.profit, sums.closing_stock)
        yield (year, *(Cents(amount, places) for amount in amounts))


def _year_cells(books: YearBooks, places: int) -> Iterator[tuple[Cell, ...]]:
    for section in books.sections():
        for line in section.lines:
            yield section.title, line.label, Cents(line.cents, places)
    for tie in books.ties():
        for words, cents in tie.sides:
            yield "Do the sums meet?", f"{tie.name}: {words}", Cents(cents, places)


def _line_cells(rows: Sequence[LineRow], places: int) -> Iterator[tuple[Cell, ...]]:
    for row in rows:
        yield row.on, row.tag, row.name, words_of_line(row.key), row.note, Cents(row.cents, places)
