"""The pages of the tax-year worksheet: the form filled, the rows behind a line, the self-employment estimate."""

from collections.abc import Iterator

from flask import abort, render_template, request, url_for
from flask.typing import ResponseReturnValue

from app.basics.csv_out import Cell, Cents
from app.floor.forms import show_misread
from app.reports.formats import line_map
from app.reports.forms.worksheet import WagesForm
from app.reports.queries.sums import LineRow
from app.reports.queries.worksheet import car_facts, rows_of_key, total_of_key, worksheet_of
from app.reports.queries.year_page import years_known
from app.reports.routes.asked_year import known_year
from app.reports.routes.blueprint import bp
from app.reports.routes.years import href_of_row
from app.reports.rules import self_employment_tax
from app.reports.rules.self_employment import ADDITIONAL_FROM
from app.reports.rules.worksheet import PART_WORDS, FilledLine, FilledPart, Worksheet
from app.reports.rules.worksheet_words import words_of_key
from app.web.filters import money
from app.web.frame import frame, ledger
from app.web.paging import PageSheet, page_of
from app.web.takeaway import csv_answer

WORKSHEET_HEADER = ("Line", "What", "Amount", "Confirmed", "Remark", "Ask")
LINE_HEADER = ("Line", "Part", "Date", "Tag", "Piece", "Note", "Amount")
PAGE_SIZE = 40


@bp.get("/books/years/<int:year>/worksheet")
def worksheet(year: int) -> ResponseReturnValue:
    sheet = _worksheet(year)
    with ledger().reading() as session:
        car = car_facts(session, year)
        years = years_known(session, frame().today)
    return render_template(
        "reports/worksheet.html",
        sheet=sheet,
        parts={part: (words, _rungs(sheet, part)) for part, words in PART_WORDS.items()},
        unfed=[line for line in sheet.map.lines if not line.is_fed],
        confirmed=[line.number for line in sheet.map.lines if line.is_confirmed],
        car=car,
        years=years,
    )


@bp.get("/books/years/<int:year>/worksheet.csv")
def worksheet_csv(year: int) -> ResponseReturnValue:
    sheet = _worksheet(year)
    return csv_answer(f"worksheet-{year}.csv", WORKSHEET_HEADER, _worksheet_cells(sheet, frame().places))


@bp.get("/books/years/<int:year>/worksheet/<number>")
def worksheet_line(year: int, number: str) -> ResponseReturnValue:
    sheet = _worksheet(year)
    filled = _line(sheet, number)
    chosen = _chosen(filled)
    page, rows = _page_of_rows(year, chosen) if chosen else (None, [])
    return render_template(
        "reports/worksheet_line.html",
        sheet=sheet,
        filled=filled,
        parts=_part_rungs(sheet, filled),
        chosen=chosen,
        rows=rows,
        page=page,
        words_of_key=words_of_key,
        href_of=href_of_row,
    )


@bp.get("/books/years/<int:year>/worksheet/<number>.csv")
def worksheet_line_csv(year: int, number: str) -> ResponseReturnValue:
    filled = _line(_worksheet(year), number)
    if not filled.line.takes:
        abort(404)
    cells: list[tuple[Cell, ...]] = []
    with ledger().reading() as session:
        for part in filled.parts:
            if part.take in filled.line.takes and part.cents:
                rows = rows_of_key(session, part.take.key, year, frame().today)
                cells += _line_cells(filled, part, rows, frame().places)
    return csv_answer(f"worksheet-{year}-line-{number}.csv", LINE_HEADER, cells)


@bp.get("/books/years/<int:year>/self-employment")
def self_employment(year: int) -> ResponseReturnValue:
    sheet = _worksheet(year)
    form = WagesForm.from_request()
    show_misread(form, "other_wages")
    wages, whole = form.other_wages.data or 0, bool(form.whole.data)
    is_dollars = frame().currency == "USD"
    estimate = self_employment_tax(sheet.profit, year, other_wages=wages, whole_dollars=whole) if is_dollars else None
    return render_template(
        "reports/self_employment.html",
        sheet=sheet,
        form=form,
        estimate=estimate,
        additional_from=ADDITIONAL_FROM,
    )


def _worksheet(year: int) -> Worksheet:
    today = frame().today
    if known_year(year) > today.year:
        abort(404)
    with ledger().reading() as session:
        return worksheet_of(session, line_map(year), today, is_lower=request.args.get("lower") == "1")


def _line(sheet: Worksheet, number: str) -> FilledLine:
    found = sheet.lines.get(number)
    if found is None:
        abort(404)
    return found


def _lower(sheet: Worksheet) -> int | None:
    """What an address carries on when the lower value was chosen."""
    return 1 if sheet.is_lower else None


def _rungs(sheet: Worksheet, part: str) -> list[dict[str, object]]:
    return [
        {
            "label": f"{filled.line.number} {filled.line.words}",
            "note": "ask" if filled.line.ask and filled.cents else "",
            "amount": money(filled.cents),
            "negative": filled.cents < 0 and bool(filled.line.makes),
            "css": "rung-sum" if filled.line.makes else "",
            "href": url_for("reports.worksheet_line", year=sheet.map.year, number=number, lower=_lower(sheet)),
        }
        for number, filled in sheet.lines.items()
        if filled.line.part == part and filled.line.is_fed
    ]


def _part_rungs(sheet: Worksheet, filled: FilledLine) -> list[dict[str, object]]:
    """What makes a line: keys of the books that open to their rows, or other lines."""
    rungs: list[dict[str, object]] = []
    for part in filled.parts:
        is_key = part.take in filled.line.takes
        key = part.take.key
        if is_key and not part.cents:
            continue
        label = words_of_key(key) if is_key else f"Line {key}: {sheet.lines[key].line.words}"
        href = url_for(
            "reports.worksheet_line",
            year=sheet.map.year,
            number=filled.line.number if is_key else key,
            part=key if is_key else None,
            lower=_lower(sheet),
        )
        rungs.append({"label": label, "amount": money(part.cents), "href": href})
    return rungs


def _chosen(filled: FilledLine) -> FilledPart | None:
    """The part of the line that the address asks for; without one, the first with anything in it."""
    asked = request.args.get("part", "")
    of_books = [part for part in filled.parts if part.take in filled.line.takes]
    named = [part for part in of_books if part.take.key == asked]
    return next(iter(named or [part for part in of_books if part.cents]), None)


def _page_of_rows(year: int, part: FilledPart) -> tuple[PageSheet, list[LineRow]]:
    """The page of a part's rows that the address asks for."""
    key, today = part.take.key, frame().today
    with ledger().reading() as session:
        page = page_of(total_of_key(session, key, year, today)[0], "reports.worksheet_line", size=PAGE_SIZE)
        return page, rows_of_key(session, key, year, today, limit=PAGE_SIZE, offset=page.offset)


def _worksheet_cells(sheet: Worksheet, places: int) -> Iterator[tuple[Cell, ...]]:
    for filled in sheet.lines.values():
        line = filled.line
        confirmed = "yes" if line.is_confirmed else "check the form"
        yield line.number, line.words, Cents(filled.cents, places), confirmed, line.remark, line.ask


def _line_cells(filled: FilledLine, part: FilledPart, rows: list[LineRow], places: int) -> Iterator[tuple[Cell, ...]]:
    for row in rows:
        cents = Cents(part.take.sign * row.cents, places)
        yield filled.line.number, words_of_key(part.take.key), row.on, row.tag, row.name, row.note, cents
