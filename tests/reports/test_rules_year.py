"""A year's sections hold together, and a sum that does not meet is told."""

from dataclasses import replace
from datetime import date

import pytest

from app.basics.dates import Month
from app.reports.rules.sums import PeriodSums, Standing
from app.reports.rules.year import LineKind, YearBooks, YearLine, words_of_line

AMOUNTS = {
    "sales": 90_000,
    "delivery_charged": 2_500,
    "refunds:in_part": -1_000,
    "cost_of_goods_sold": -26_000,
    "cost_back": 2_000,
    "fees": -4_000,
    "late_costs:materials": -300,
    "trips:rate": -1_200,
    "scrapped:left": -700,
    "kept:left": -1_500,
    "shop:rent": -9_000,
    "shop:trips:rate": -800,
    "stock:bought:price": 30_000,
    "stock:cost_lines:hardware": 1_000,
    "stock:trips": 900,
    "stock:moved:in": 400,
    "stock:moved:out": -400,
    "shelf:bought": 3_000,
    "shelf:used": -1_100,
    "deposits:taken": 2_000,
    "deposits:applied": -1_500,
    "all_trips:rate": -2_000,
    "all_trips:actual": -900,
}
OPENING = Standing(stock=5_000, shelf=0, deposits=0)
CLOSING = Standing(stock=10_700, shelf=1_900, deposits=500)
PROFIT_ON_PIECES = 90_000 + 2_500 - 1_000 - 26_000 + 2_000 - 4_000 - 300 - 1_200 - 700


def a_year(**changes: int) -> YearBooks:
    """A year that holds together; `changes` are further amounts on the lines of the year alone."""
    sums = PeriodSums(date(2026, 1, 1), date(2026, 12, 31), AMOUNTS, OPENING, CLOSING)
    months = ((Month(2026, 3), sums),)
    changed = {key.replace("__", ":"): cents for key, cents in changes.items()}
    whole = replace(sums, amounts={**AMOUNTS, **changed})
    return YearBooks(2026, whole, months, 12, PROFIT_ON_PIECES, -600)


def gaps(books: YearBooks) -> dict[str, int]:
    return {tie.name: tie.gap for tie in books.ties() if tie.gap}


def lines_of(books: YearBooks, key: str) -> tuple[YearLine, ...]:
    return next(section.lines for section in books.sections() if section.key == key)


def test_a_year_that_holds_together_has_no_gap_anywhere() -> None:
    books = a_year()
    assert gaps(books) == {}
    assert books.sums.profit_on_pieces == books.profit_from_stock == PROFIT_ON_PIECES
    assert len(list(books.ties())) == 7


@pytest.mark.parametrize(
    ("line", "gap", "named"),
    [
        ("stock__bought", 70, {"Stock at cost at the end", "Cost of what sold", "Profit on pieces"}),
        ("cost_of_goods_sold", -26_070, {"Stock at cost at the end", "Cost of what sold"}),
        ("shelf__shop", -70, {"The shelf at the end"}),
        ("deposits__kept", -70, {"Deposits owed at the end"}),
        ("fees", -4_070, {"Profit on pieces"}),
    ],
)
def test_an_amount_that_is_on_one_side_alone_is_told_at_the_sums_it_breaks(
    line: str, gap: int, named: set[str]
) -> None:
    broken = gaps(a_year(**{line: gap}))
    assert named <= set(broken)
    assert set(broken.values()) == {70}


def test_a_trip_at_the_rate_that_came_into_stock_would_be_told() -> None:
    books = a_year(stock__trips=900 + 2_000, trips__rate=0)
    broken = gaps(books)
    assert broken["Trips at the rate, none of it in stock"] == 1_200
    assert broken["Trips at actual cost"] == 2_000


def test_the_profit_is_read_from_the_receipts_down() -> None:
    lines = lines_of(a_year(), "profit")
    sums = {line.label: line.cents for line in lines if line.kind is not LineKind.LINE}
    assert sums == {
        "Net receipts": 91_500,
        "Gross profit": 67_500,
        "Profit on pieces": PROFIT_ON_PIECES,
        "Profit of 2026": PROFIT_ON_PIECES - 9_800,
    }
    plain = [line for line in lines if line.kind is LineKind.LINE]
    assert sum(line.cents for line in plain) == PROFIT_ON_PIECES - 9_800
    assert ("shop:rent", "Rent") in [(line.key, line.label) for line in plain]


def test_the_stock_runs_from_its_opening_to_its_closing_and_ends_with_what_sold() -> None:
    opening, *changes, closing = lines_of(a_year(), "stock")
    assert opening.cents + sum(line.cents for line in changes) == closing.cents
    assert changes[-1].key == "stock:sold"
    assert [line.cents for line in changes if line.key == "stock:moved"] == [0]


def test_a_write_down_stands_apart_and_changes_no_other_line() -> None:
    books = a_year()
    assert [line.cents for line in lines_of(books, "written")] == [10_700, -600, 10_100]
    without = replace(books, written=0)
    others = [section for section in books.sections() if section.key != "written"]
    assert others == [section for section in without.sections() if section.key != "written"]


def test_an_empty_year_is_one_without_a_row_and_without_anything_from_before() -> None:
    empty = YearBooks(2026, PeriodSums(date(2026, 1, 1), date(2026, 12, 31)), (), 0, 0, 0)
    assert empty.is_empty
    assert not a_year().is_empty
    assert not replace(empty, sums=replace(empty.sums, opening=OPENING)).is_empty
    assert {section.key for section in empty.sections()} == {"profit", "stock", "written"}


def test_a_line_is_said_with_its_parts() -> None:
    assert words_of_line("late_costs:materials") == "Costs on pieces already gone: Paint and materials"
    assert words_of_line("stock:bought:tax") == "Bought: Sales tax"
    for unknown in ("nothing", "sales:", "salesman", "stock", "late_costs:nonsense", ""):
        with pytest.raises(KeyError):
            words_of_line(unknown)
