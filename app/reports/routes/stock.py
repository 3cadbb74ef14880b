"""The pages of the stock: what it stands at and how it moved, and what left without a sale."""

from collections.abc import Iterator

from flask import abort, render_template, request, url_for
from flask.typing import ResponseReturnValue

from app.basics.csv_out import Cell, Cents
from app.basics.dates import Month
from app.basics.errors import RuleError
from app.pieces.rules import LEAVING_WORDS, Leaving
from app.reports.queries import LeftRow, StockRow, left_rows, stock_rows, stock_sheet
from app.reports.routes.blueprint import bp
from app.reports.routes.charts import stock_chart
from app.reports.routes.rungs import rungs_by_month, rungs_of
from app.web.frame import frame, ledger
from app.web.takeaway import csv_answer

STOCK_HEADER = ("Tag", "Piece", "Count", "Stage", "Found on", "At cost")
LEFT_HEADER = ("Tag", "Piece", "How", "On", "At cost", "Reason")


@bp.get("/books/stock")
def stock() -> ResponseReturnValue:
    month = _asked_month()
    with ledger().reading() as session:
        sheet = stock_sheet(session, month, frame().today)
    return render_template(
        "reports/stock.html",
        sheet=sheet,
        chart=stock_chart(sheet.over_time),
        month_lines=rungs_of(sheet.in_month.lines, sheet.names),
        year_lines=rungs_by_month(sheet.in_year.lines, _month_href),
    )


@bp.get("/books/stock.csv")
def stock_csv() -> ResponseReturnValue:
    with ledger().reading() as session:
        rows = stock_rows(session, frame().today)
    return csv_answer("stock-at-cost.csv", STOCK_HEADER, _stock_cells(rows, frame().places))


@bp.get("/books/left")
def left() -> ResponseReturnValue:
    rows = _left()
    sums = [(LEAVING_WORDS[how], *_sum_of(rows, how)) for how in Leaving]
    return render_template("reports/left.html", rows=rows, sums=sums, words=LEAVING_WORDS)


@bp.get("/books/left.csv")
def left_csv() -> ResponseReturnValue:
    return csv_answer("left-without-a-sale.csv", LEFT_HEADER, _left_cells(_left(), frame().places))


def _asked_month() -> Month:
    """The month the address asks for, the present one when it asks for none or for one to come."""
    present = Month.of(frame().today)
    words = request.args.get("month", "")
    if not words:
        return present
    try:
        return min(Month.parse(words), present)
    except RuleError:
        abort(404)


def _month_href(month: Month) -> str:
    return url_for("reports.stock", month=month, _anchor="moved")


def _left() -> list[LeftRow]:
    with ledger().reading() as session:
        return left_rows(session, frame().today)


def _sum_of(rows: list[LeftRow], how: Leaving) -> tuple[int, int]:
    cents = [row.piece.cents for row in rows if row.piece.how == how]
    return len(cents), sum(cents)


def _stock_cells(rows: list[StockRow], places: int) -> Iterator[tuple[Cell, ...]]:
    for row in rows:
        yield row.tag, row.title, row.count, str(row.stage), row.sourced_on, Cents(row.cents, places)


def _left_cells(rows: list[LeftRow], places: int) -> Iterator[tuple[Cell, ...]]:
    for row in rows:
        piece = row.piece
        how = LEAVING_WORDS[Leaving(piece.how)]
        yield piece.tag, piece.title, how, piece.on, Cents(piece.cents, places), row.reason
