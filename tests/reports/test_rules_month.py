"""The month: profit on what sold in it, less shop costs, and the cash beside it."""

from datetime import date
from fractions import Fraction

import pytest

from app.basics.dates import Month
from app.reports.rules import MonthProfit, month_profit, period_profit
from tests.reports.ledger_book import Book, shop_cost

FEBRUARY, MARCH, APRIL = Month(2026, 2), Month(2026, 3), Month(2026, 4)
BOUGHT = date(2026, 2, 5)
SOLD_ON = date(2026, 3, 20)


def figures(profit: MonthProfit) -> dict[str, int]:
    return {line.key: line.cents for line in profit.lines if line.cents}


def table() -> Book:
    book = Book("T-7", piece_id=7)
    book.cost(BOUGHT, 50_00)
    book.cost(BOUGHT, 5_00, "premium")
    book.cost(date(2026, 3, 1), 20_00, "paint")
    return book


def test_a_month_counts_the_cost_of_what_sold_in_it_whenever_it_was_spent() -> None:
    book = table()
    book.sell(SOLD_ON, 200_00, delivery=(30_00, 22_00), fees=10_00, tax=14_00)

    profit = month_profit([book.ledger], [shop_cost(1, date(2026, 3, 31), 40_00)], MARCH)

    assert figures(profit) == {
        "sales": 200_00,
        "delivery_charged": 30_00,
        "cost_of_goods_sold": -75_00,
        "fees": -10_00,
        "delivery_paid": -22_00,
    }
    assert (profit.profit_on_pieces, profit.shop_costs.cents, profit.profit) == (123_00, -40_00, 83_00)
    assert (profit.sold_count, profit.tax.cents) == (1, 14_00)


def test_what_is_only_bought_costs_the_month_no_profit() -> None:
    profit = month_profit([table().ledger], [], FEBRUARY)

    assert (profit.profit, profit.cash.net) == (0, -55_00)


def test_sales_tax_is_never_income_but_passes_through_the_cash() -> None:
    book = table()
    sale = book.sell(SOLD_ON, 200_00, tax=14_00)
    book.take_back(sale, date(2026, 3, 25), 200_00, tax=14_00)

    profit = month_profit([book.ledger], [], MARCH)

    assert (profit.profit, profit.tax.cents) == (0, 0)
    assert profit.cash.line("received").cents == 214_00
    assert profit.cash.line("refunded").cents == -214_00


def test_a_sale_line_shows_what_the_sale_brought_on_its_day() -> None:
    book = table()
    book.sell(SOLD_ON, 200_00, delivery=(30_00, 22_00), fees=10_00)

    (sale,) = month_profit([book.ledger], [], MARCH).sales

    assert (sale.tag, sale.revenue, sale.cost_of_goods_sold, sale.fees, sale.delivery_paid) == (
        "T-7",
        230_00,
        75_00,
        10_00,
        22_00,
    )
    assert (sale.profit, sale.came_back) == (123_00, False)


def test_a_return_counts_in_its_own_month_and_leaves_the_month_of_the_sale_alone() -> None:
    book = table()
    sale = book.sell(SOLD_ON, 200_00, delivery=(30_00, 22_00), fees=10_00)
    before = month_profit([book.ledger], [], MARCH).profit
    book.take_back(sale, date(2026, 4, 3), 230_00, fees=8_00, delivery=4_00)

    april = month_profit([book.ledger], [], APRIL)

    assert month_profit([book.ledger], [], MARCH).profit == before == 123_00
    assert figures(april) == {
        "refunds": -230_00,
        "cost_back": 75_00,
        "fees_back": 8_00,
        "delivery_back": 4_00,
    }
    assert (april.sold_count, april.returned_count) == (0, 1)
    assert month_profit([book.ledger], [], MARCH).sales[0].came_back


def test_a_cost_after_the_sale_is_an_expense_of_its_own_month() -> None:
    book = table()
    book.sell(SOLD_ON, 200_00)
    late = book.cost(date(2026, 4, 3), 6_00, "repair")

    april = month_profit([book.ledger], [], APRIL)

    assert figures(april) == {"late_costs": -6_00}
    assert april.line("late_costs").rows == (late.row,)


def test_a_kept_piece_is_shown_but_is_neither_profit_nor_loss() -> None:
    book = table()
    book.leave(SOLD_ON, "kept")

    profit = month_profit([book.ledger], [], MARCH)

    assert (profit.profit, profit.kept.cents) == (0, -75_00)


@pytest.mark.parametrize("how", ["given_away", "scrapped"])
def test_a_piece_given_away_or_scrapped_is_a_loss_until_it_is_brought_back(how: str) -> None:
    book = table()
    leaving = book.leave(SOLD_ON, how)
    book.bring_back(leaving, date(2026, 4, 3))

    assert figures(month_profit([book.ledger], [], MARCH)) == {how: -75_00}
    assert figures(month_profit([book.ledger], [], APRIL)) == {how: 75_00}


def test_the_cost_of_what_sold_opens_to_the_cost_rows() -> None:
    book = table()
    book.sell(SOLD_ON, 200_00)

    line = month_profit([book.ledger], [], MARCH).line("cost_of_goods_sold")

    assert line.rows == tuple(cost.row for cost in book.ledger.costs)
    assert [(part.piece_id, part.label, part.cents) for part in line.parts] == [(7, "T-7", -75_00)]


def test_the_cash_view_leaves_out_what_moves_no_money() -> None:
    book = Book()
    book.cost(BOUGHT, 50_00, "opening")
    book.cost(BOUGHT, -20_00, "moved")
    book.cost(BOUGHT, 3_00, "hardware")

    cash = month_profit([book.ledger], [], FEBRUARY).cash

    assert cash.net == -3_00
    assert cash.line("cost_lines").cents == -3_00


def test_the_cash_view_shows_all_money_in_and_out() -> None:
    book = table()
    sale = book.sell(SOLD_ON, 200_00, delivery=(30_00, 22_00), fees=10_00, tax=14_00)
    book.take_back(sale, date(2026, 3, 25), 230_00, tax=14_00, fees=8_00, delivery=4_00)
    rent = shop_cost(1, date(2026, 3, 31), 40_00)

    cash = period_profit([book.ledger], [rent], BOUGHT, date(2026, 3, 31)).cash

    assert {line.key: line.cents for line in cash.lines} == {
        "received": 244_00,
        "deposits": 0,
        "refunded": -244_00,
        "bought": -55_00,
        "cost_lines": -20_00,
        "shelf": 0,
        "trips": 0,
        "delivery_paid": -22_00,
        "delivery_back": 4_00,
        "fees": -10_00,
        "fees_back": 8_00,
        "shop_costs": -40_00,
        "corrections": 0,
    }
    assert cash.net == -135_00


def test_a_month_takes_its_first_and_its_last_day_and_no_other() -> None:
    costs = [
        shop_cost(number, day, 10**number)
        for number, day in enumerate([date(2026, 2, 28), date(2026, 3, 1), date(2026, 3, 31), date(2026, 4, 1)])
    ]

    assert month_profit([], costs, MARCH).shop_costs.cents == -110


def test_a_longer_period_is_the_sum_of_its_months() -> None:
    book = table()
    sale = book.sell(SOLD_ON, 200_00, fees=10_00)
    book.take_back(sale, date(2026, 4, 3), 200_00)

    months = sum(month_profit([book.ledger], [], month).profit for month in (FEBRUARY, MARCH, APRIL))

    assert period_profit([book.ledger], [], FEBRUARY.first, APRIL.last).profit == months == -10_00


def test_the_gross_profit_ratio_is_over_what_was_received() -> None:
    book = table()
    book.sell(SOLD_ON, 100_00)

    assert month_profit([book.ledger], [], MARCH).gross_profit_ratio == Fraction(1, 4)
    assert month_profit([book.ledger], [], APRIL).gross_profit_ratio is None
