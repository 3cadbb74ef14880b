"""The gross profit ratio, against the published test of gross profit accuracy and textbook margins.

Sources: IRS Publication 334, ch. 7, "Testing Gross Profit Accuracy" (net receipts 300,000, cost of goods sold
200,000); OpenStax, *Principles of Accounting* Vol. 1, sec. 6.6 (net sales 293,500, cost 180,000: 39 %; sales
256,400, returns and discounts 79,650, cost 120,470: 32 %). The 50 % mark-up is our own arithmetic on the first.
"""

from datetime import date
from fractions import Fraction

import pytest

from app.basics.dates import Month
from app.basics.money import half_up
from app.reports.rules import MonthProfit, month_profit
from tests.reports.ledger_book import Book

MARCH = Month(2026, 3)


def trade(sales: int, cost: int) -> MonthProfit:
    """A month of one sale, in whole units."""
    book = Book()
    book.cost(date(2026, 2, 1), cost * 100)
    book.sell(date(2026, 3, 5), sales * 100)
    return month_profit([book.ledger], [], MARCH)


def test_gross_profit_and_its_ratio_are_as_published() -> None:
    profit = trade(300_000, 200_000)

    assert profit.gross_profit == 100_000_00
    assert profit.gross_profit_ratio == Fraction(1, 3)


def test_a_third_of_the_price_is_half_of_the_cost_and_the_ratio_is_over_the_price() -> None:
    profit = trade(300_000, 200_000)

    assert Fraction(profit.gross_profit, -profit.line("cost_of_goods_sold").cents) == Fraction(1, 2)
    assert profit.gross_profit_ratio != Fraction(1, 2)


@pytest.mark.parametrize(
    ("sales", "given_back", "net", "cost", "percent"),
    [(300_000, 6_500, 293_500, 180_000, 39), (256_400, 79_650, 176_750, 120_470, 32)],
)
def test_the_ratio_is_over_receipts_after_what_was_given_back(
    sales: int, given_back: int, net: int, cost: int, percent: int
) -> None:
    kept, disputed = Book("T-1", piece_id=1), Book("T-2", piece_id=2)
    kept.cost(date(2026, 2, 1), cost * 100)
    kept.sell(date(2026, 3, 5), (sales - given_back) * 100)
    disputed.take_back(disputed.sell(date(2026, 3, 6), given_back * 100), date(2026, 3, 20), given_back * 100)

    profit = month_profit([kept.ledger, disputed.ledger], [], MARCH)

    ratio = profit.gross_profit_ratio
    assert (profit.line("sales").cents, profit.net_receipts) == (sales * 100, net * 100)
    assert ratio is not None
    assert half_up(ratio * 100) == percent
