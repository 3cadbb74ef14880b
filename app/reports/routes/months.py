"""The pages of the months: the list of them, and one month with its ladder, its sales and its cash."""

from collections.abc import Iterator, Sequence
from itertools import groupby

from flask import render_template
from flask.typing import ResponseReturnValue

from app.basics.csv_out import Cell, Cents
from app.basics.dates import Month, months_between
from app.database.unit_of_work import Session
from app.reports.queries import MonthSheet, months_known, months_of
from app.reports.routes.asked import asked_month_sheet
from app.reports.routes.blueprint import bp
from app.reports.routes.rungs import rungs_of
from app.reports.rules import Line, MonthProfit
from app.web.frame import frame, ledger
from app.web.paging import page_of
from app.web.takeaway import csv_answer

MONTHS_HEADER = ("Month", "Sold", "Profit on pieces", "Shop costs", "Profit", "Cash in minus cash out")
MONTH_HEADER = ("Part", "Line", "Date", "Tag", "Piece or cost", "Amount")
ALWAYS_SHOWN = ("sales", "cost_of_goods_sold")

YEARS_SHOWN = 6
"""How many years one page of the months holds."""


@bp.get("/books/months")
def months() -> ResponseReturnValue:
    with ledger().reading() as session:
        profits = _all_months(session)
    years = _years_booked(profits)
    page = page_of(len(years), "reports.months", size=YEARS_SHOWN)
    return render_template(
        "reports/months.html",
        years=years[page.offset : page.last],
        page=page,
        month_of=lambda profit: Month.of(profit.first),
    )


@bp.get("/books/months.csv")
def months_csv() -> ResponseReturnValue:
    with ledger().reading() as session:
        profits = _all_months(session)
    booked = [profit for _, of_year in _years_booked(profits) for profit in of_year]
    return csv_answer("months.csv", MONTHS_HEADER, _months_cells(booked, frame().places))


@bp.get("/books/months/<month>")
def month(month: str) -> ResponseReturnValue:
    sheet = asked_month_sheet(month)
    profit = sheet.profit
    return render_template(
        "reports/month.html",
        sheet=sheet,
        ladder=rungs_of(profit.lines, sheet.names, ALWAYS_SHOWN),
        shop_costs=rungs_of([profit.shop_costs], sheet.names, ("shop_costs",), sheet.materials),
        beside=rungs_of([profit.kept, profit.tax], sheet.names),
        cash=rungs_of(profit.cash.lines, sheet.names, ("received",), sheet.materials),
    )


@bp.get("/books/months/<month>.csv")
def month_csv(month: str) -> ResponseReturnValue:
    sheet = asked_month_sheet(month)
    return csv_answer(f"month-{sheet.month}.csv", MONTH_HEADER, _month_cells(sheet, frame().places))


def _all_months(session: Session) -> list[MonthProfit]:
    """Every month from the first row to the present one, newest first; none while nothing is booked."""
    known = months_known(session)
    if not known:
        return []
    last = max(known[-1], Month.of(frame().today))
    return months_of(session, months_between(known[0], last))[::-1]


def _years_booked(profits: Sequence[MonthProfit]) -> list[tuple[int, list[MonthProfit]]]:
    """The months by year, newest first, without the years in which nothing is booked.

    One row that carries a wrong, far-off year must not fill the page with empty ones. The present year always stands.
    """
    years = [(year, list(of_year)) for year, of_year in groupby(profits, key=lambda profit: profit.first.year)]
    present = frame().today.year
    return [(year, of_year) for year, of_year in years if year == present or any(map(_is_booked, of_year))]


def _is_booked(profit: MonthProfit) -> bool:
    lines = (*profit.lines, profit.shop_costs, profit.kept, profit.tax, *profit.cash.lines)
    return any(line.parts for line in lines)


def _months_cells(profits: Sequence[MonthProfit], places: int) -> Iterator[tuple[Cell, ...]]:
    for profit in profits:
        amounts = (profit.profit_on_pieces, profit.shop_costs.cents, profit.profit, profit.cash.net)
        cents = [Cents(amount, places) for amount in amounts]
        yield (str(Month.of(profit.first)), profit.sold_count, *cents)


def _month_cells(sheet: MonthSheet, places: int) -> Iterator[tuple[Cell, ...]]:
    profit = sheet.profit
    parts: tuple[tuple[str, Sequence[Line]], ...] = (
        ("Profit on pieces", profit.lines),
        ("Shop costs", [profit.shop_costs]),
        ("Beside the profit", [profit.kept, profit.tax]),
        ("Cash", profit.cash.lines),
    )
    for part, lines in parts:
        for line in lines:
            for row in line.parts:
                tag = "" if row.piece_id is None else row.label
                name = row.label if row.piece_id is None else sheet.names[row.piece_id]
                yield part, line.label, row.on, tag, name, Cents(row.cents, places)
