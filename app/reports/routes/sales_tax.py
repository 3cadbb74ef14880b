"""The pages of the sales tax: a year by place and quarter, and the rows behind any of it."""

from collections.abc import Iterator

from flask import render_template, request, url_for
from flask.typing import ResponseReturnValue

from app.basics.csv_out import Cell, Cents
from app.reports.queries.sales_tax import TaxYear, tax_year
from app.reports.queries.statements import years_with_sales
from app.reports.routes.asked_year import asked_year
from app.reports.routes.blueprint import bp
from app.reports.rules.sales_tax import TAXED_WORDS, TaxEntry, tax_sum
from app.web.forms import row_number
from app.web.frame import frame, ledger
from app.web.paging import page_of
from app.web.takeaway import csv_answer

TABLE_WORDS = {
    "sale": "Sale",
    "sale_return": "Came back",
    "sale_refund": "Refund in part",
    "adjustment": "Correction of a closed month",
}
SUMMARY_HEADER = (
    "Quarter",
    "Place",
    "Price and delivery",
    "Not taxed",
    "The channel collected",
    "Taxed by you",
    "Given back",
    "Given back on what you taxed",
    "Tax you collected",
    "Tax given back",
    "Tax you owe",
    "Tax the channel collected",
)
ROWS_HEADER = (
    "Date",
    "Row",
    "Tag",
    "Piece",
    "Place",
    "Taxed",
    "Reason",
    "Price and delivery",
    "Given back",
    "Tax you collected",
    "Tax given back",
    "Tax the channel collected",
)


@bp.get("/books/sales-tax")
def sales_tax() -> ResponseReturnValue:
    with ledger().reading() as session:
        sheet = tax_year(session, asked_year())
        years = years_with_sales(session, frame().today.year)
    return render_template("reports/sales_tax.html", sheet=sheet, years=years, rows_href=_rows_href)


@bp.get("/books/sales-tax.csv")
def sales_tax_csv() -> ResponseReturnValue:
    sheet = _sheet()
    return csv_answer(f"sales-tax-{sheet.year}.csv", SUMMARY_HEADER, _summary_cells(sheet, frame().places))


@bp.get("/books/sales-tax/rows")
def sales_tax_rows() -> ResponseReturnValue:
    sheet, quarter, place_id = _sheet(), _number("quarter"), _number("place")
    entries = sheet.chosen(quarter, place_id)
    page = page_of(len(entries), "reports.sales_tax_rows")
    return render_template(
        "reports/sales_tax_rows.html",
        sheet=sheet,
        entries=entries[page.offset : page.last],
        sum=tax_sum(entries),
        page=page,
        quarter=quarter,
        place=None if place_id is None else sheet.place_name(place_id),
        table_words=TABLE_WORDS,
        taxed_words=TAXED_WORDS,
        csv_href=url_for("reports.sales_tax_rows_csv", year=sheet.year, quarter=quarter, place=place_id),
    )


@bp.get("/books/sales-tax/rows.csv")
def sales_tax_rows_csv() -> ResponseReturnValue:
    sheet = _sheet()
    entries = sheet.chosen(_number("quarter"), _number("place"))
    return csv_answer(f"sales-tax-rows-{sheet.year}.csv", ROWS_HEADER, _row_cells(sheet, entries, frame().places))


def _sheet() -> TaxYear:
    with ledger().reading() as session:
        return tax_year(session, asked_year())


def _number(name: str) -> int | None:
    return row_number(request.args.get(name, ""))


def _rows_href(year: int, quarter: int | None = None, place_id: int | None = None) -> str:
    """Where the rows behind a sum are; a place of 0 is none named."""
    return url_for("reports.sales_tax_rows", year=year, quarter=quarter, place=place_id)


def _summary_cells(sheet: TaxYear, places: int) -> Iterator[tuple[Cell, ...]]:
    for one in sheet.places:
        sums = one.sum
        bases = (sums.gross, sums.not_taxed, sums.by_channel, sums.by_shop, sums.given_back, sums.given_back_by_shop)
        taxes = (sums.tax, sums.tax_back, sums.owed, sums.channel_tax)
        yield f"{sheet.year} Q{one.quarter}", one.place, *(Cents(cents, places) for cents in (*bases, *taxes))


def _row_cells(sheet: TaxYear, entries: list[TaxEntry], places: int) -> Iterator[tuple[Cell, ...]]:
    for one in entries:
        amounts = (one.gross, one.given_back, one.tax, one.tax_back, one.channel_tax)
        said = (one.on, TABLE_WORDS[one.table], one.tag, one.piece_name, sheet.place_name(one.place_id or 0))
        yield *said, TAXED_WORDS[one.taxed], one.reason, *(Cents(cents, places) for cents in amounts)
