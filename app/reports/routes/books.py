"""The first page of the books: what was earned this month, the months before, stock, and the way to all reports."""

from babel.dates import format_date
from flask import render_template, url_for
from flask.typing import ResponseReturnValue

from app.basics.dates import Month
from app.reports.queries import BooksSheet, books_sheet
from app.reports.routes.blueprint import bp
from app.reports.rules import MonthProfit
from app.web.charts import Bar, BarChart, bar_chart
from app.web.filters import money, month
from app.web.frame import frame, ledger


@bp.get("/books")
def books() -> ResponseReturnValue:
    with ledger().reading() as session:
        sheet = books_sheet(session, frame().today, too_long_days=frame().sits_too_long_days)
    return render_template("reports/books.html", sheet=sheet, chart=_chart(sheet), month_of=month_of)


def month_of(profit: MonthProfit) -> Month:
    """The month a profit is of."""
    return Month.of(profit.first)


def _chart(sheet: BooksSheet) -> BarChart:
    return bar_chart(
        "Profit by month",
        [_bar(profit) for profit in sheet.months],
        description=_conclusion(sheet),
        say=lambda cents: _whole(round(cents)),
        value_name="Profit after shop costs",
    )


def _bar(profit: MonthProfit) -> Bar:
    of = month_of(profit)
    label = format_date(of.first, "LLL", locale=frame().locale)
    return Bar(label, profit.profit, money(profit.profit), url_for("reports.month", month=of))


def _conclusion(sheet: BooksSheet) -> str:
    best = max(sheet.months, key=lambda profit: profit.profit)
    if best.profit <= 0:
        return "Profit after shop costs, month by month; the present month is not over yet."
    return (
        "Profit after shop costs, month by month; the present month is not over yet."
        f" The best of them was {month(month_of(best))} with {money(best.profit)}."
    )


def _whole(cents: int) -> str:
    """An amount for the scale of the chart: without cents where there are none."""
    shown = money(cents)
    return shown[:-3] if shown.endswith((".00", ",00")) else shown
