"""The charts of the books: which amounts they show, and their conclusion in a sentence."""

from collections.abc import Sequence

from babel.dates import format_date
from flask import url_for

from app.basics.dates import Month
from app.reports.rules import MonthProfit
from app.web.charts import Bar, BarChart, Twin, TwinChart, bar_chart, twin_chart
from app.web.filters import money
from app.web.filters import month as month_words
from app.web.frame import frame

PROFIT_SERIES = ("Profit on pieces", "Shop costs", "Earned")


def profit_chart(profits: Sequence[MonthProfit]) -> TwinChart:
    """What the pieces brought in each month, what the shop cost, and what was earned after both."""
    return twin_chart(
        "Profit by month",
        [_twin(profit) for profit in profits],
        names=PROFIT_SERIES,
        description=_best_month(profits),
        say=_on_scale,
    )


def stock_chart(levels: Sequence[tuple[Month, int]]) -> BarChart:
    """What the stock stood at when each month ended, and what it stands at now."""
    present = Month.of(frame().today)
    return bar_chart(
        "Stock at cost over time",
        [
            Bar(_label(month), cents, money(cents), url_for("reports.stock", month=month, _anchor="moved"))
            for month, cents in levels
        ],
        description=_highest_stock(levels),
        say=_on_scale,
        label_name="End of" if levels[-1][0] != present else "End of, and now",
        value_name="At cost",
        gap=0,
    )


def _twin(profit: MonthProfit) -> Twin:
    of = Month.of(profit.first)
    values = (profit.profit_on_pieces, profit.shop_costs.cents)
    href = url_for("reports.month", month=of)
    return Twin(_label(of), values, (money(values[0]), money(values[1])), profit.profit, money(profit.profit), href)


def _best_month(profits: Sequence[MonthProfit]) -> str:
    best = max(profits, key=lambda profit: profit.profit)
    told = "What the pieces brought, what the shop cost, and what you earned after both; this month is not over yet."
    if best.profit <= 0:
        return told
    return f"{told} The best of them was {month_words(Month.of(best.first))} with {money(best.profit)}."


def _highest_stock(levels: Sequence[tuple[Month, int]]) -> str:
    month, cents = max(levels, key=lambda level: level[1])
    told = "What your pieces had cost when each month ended, and now."
    return f"{told} Most stood there in {month_words(month)}: {money(cents)}." if cents > 0 else told


def _label(month: Month) -> str:
    """A month's short name; January tells the year, so that two years of them can be told apart."""
    return format_date(month.first, "LLL" if month.month != 1 else "LLL yy", locale=frame().locale)


def _on_scale(cents: float) -> str:
    """An amount for the scale of a chart: without cents where there are none."""
    shown = money(round(cents))
    return shown[:-3] if shown.endswith((".00", ",00")) else shown
