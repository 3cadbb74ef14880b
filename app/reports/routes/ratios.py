"""The page of the ratios of a year, each with its definition and what it is worked out from."""

from collections.abc import Iterator
from dataclasses import dataclass
from fractions import Fraction

from flask import abort, render_template, request, url_for
from flask.typing import ResponseReturnValue

from app.basics.csv_out import Cell
from app.basics.dates import FIRST_YEAR
from app.basics.money import half_up
from app.reports.queries import days_known
from app.reports.queries.ratios import figures_of_year
from app.reports.routes.blueprint import bp
from app.reports.rules.ratios import DEFINITIONS, PeriodFigures, ratios_of
from app.web.filters import MINUS, counted, money
from app.web.frame import frame, ledger
from app.web.takeaway import csv_answer

RATIOS_HEADER = ("Ratio", "Value", "Worked out from", "Definition")
NAMES = {
    "margin": "Margin",
    "markup": "Markup",
    "turnover": "Turnover",
    "days": "Days of stock",
    "sell_through": "Sell-through",
    "on_cash": "Return on cash",
    "on_stock": "Return per stock money",
}


@dataclass(frozen=True)
class RatioLine:
    """One ratio as the page shows it: its value in words, the sum behind it, and where that is shown in full."""

    name: str
    value: str
    sum: str
    definition: str
    href: str


@bp.get("/books/ratios")
def ratios() -> ResponseReturnValue:
    year, years = _asked_year()
    figures = _figures(year)
    return render_template("reports/ratios.html", year=year, years=years, figures=figures, lines=lines_of(figures))


@bp.get("/books/ratios.csv")
def ratios_csv() -> ResponseReturnValue:
    year, _ = _asked_year()
    return csv_answer(f"ratios-{year}.csv", RATIOS_HEADER, _cells(lines_of(_figures(year))))


def _figures(year: int) -> PeriodFigures:
    with ledger().reading() as session:
        return figures_of_year(session, year, frame().today)


def _asked_year() -> tuple[int, list[int]]:
    """The year the address asks for, the present one when it asks for none; and all years from the first row on."""
    present = frame().today.year
    words = request.args.get("year", str(present))
    if not (words.isascii() and words.isdigit() and len(words) == len(str(present))):
        abort(404)
    with ledger().reading() as session:
        span = days_known(session)
    if not FIRST_YEAR <= int(words) <= present:
        abort(404)
    first = min(span[0].year, present) if span else present
    return int(words), list(range(present, first - 1, -1))


def lines_of(figures: PeriodFigures) -> list[RatioLine]:
    """Every ratio of the year, in the order they are read."""
    found = ratios_of(figures)
    receipts, cost, gross = money(figures.net_receipts), money(figures.cost_of_goods_sold), money(figures.gross_profit)
    stock = money(half_up(found.average_stock or Fraction(0)))
    year, months = url_for("reports.stock", month=f"{figures.first:%Y-%m}"), url_for("reports.months")
    return [
        _line("margin", _percent(found.margin), f"{gross} / {receipts}", months),
        _line("markup", _percent(found.markup), f"{gross} / {cost}", months),
        _line("turnover", _times(found.turnover), f"{cost} / {stock}", year),
        _line("days", _days(found.days), f"{stock} / ({cost} / {figures.days:,} days)", year),
        _line("sell_through", _percent(found.sell_through), _sold(figures), url_for("reports.pieces_profit")),
        _line("on_cash", _percent(found.on_cash), f"{money(figures.made)} / {money(figures.put_in)}", months),
        _line("on_stock", _percent(found.on_stock), f"{gross} / {stock}", year),
    ]


def _line(key: str, value: str, worked_out: str, href: str) -> RatioLine:
    return RatioLine(NAMES[key], value or "not known", worked_out, DEFINITIONS[key], href)


def _sold(figures: PeriodFigures) -> str:
    return f"{figures.sold:,} sold / ({figures.here_at_start:,} here at the start + {figures.came:,} come)"


def _percent(share: Fraction | None) -> str:
    """A share in percent with one place; nothing where there is none."""
    return _with_one_place(None if share is None else share * 100, " %")


def _times(times: Fraction | None) -> str:
    return _with_one_place(times, " times")


def _days(days: Fraction | None) -> str:
    return "" if days is None else counted(half_up(days), "day", "days")


def _with_one_place(number: Fraction | None, unit: str) -> str:
    if number is None:
        return ""
    tenths = half_up(number * 10)
    whole, tenth = divmod(abs(tenths), 10)
    return f"{MINUS if tenths < 0 else ''}{whole:,}.{tenth}{unit}"


def _cells(lines: list[RatioLine]) -> Iterator[tuple[Cell, ...]]:
    for line in lines:
        yield line.name, line.value, line.sum, line.definition
