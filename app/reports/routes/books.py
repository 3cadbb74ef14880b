"""The first page of the books: what was earned this month, the months before, stock, and the way to all reports."""

from flask import render_template
from flask.typing import ResponseReturnValue

from app.basics.dates import Month
from app.reports.queries import books_sheet
from app.reports.routes.blueprint import bp
from app.reports.routes.charts import profit_chart
from app.reports.rules import MonthProfit
from app.web.frame import frame, ledger


@bp.get("/books")
def books() -> ResponseReturnValue:
    with ledger().reading() as session:
        sheet = books_sheet(session, frame().today, too_long_days=frame().sits_too_long_days)
    return render_template("reports/books.html", sheet=sheet, chart=profit_chart(sheet.months), month_of=month_of)


def month_of(profit: MonthProfit) -> Month:
    """The month a profit is of."""
    return Month.of(profit.first)
