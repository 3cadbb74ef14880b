"""Gross profit on stock for one line of goods, against a published example.

Source: a small-business guide, https://www.thebalancesmb.com/calculate-gmroi-2890416: price 100, cost 75, median stock
20; 1.25. The page goes on to call that 1.25 percent; as a share it is 125 %.
"""

from fractions import Fraction

from app.reports.rules.ratios import return_on_stock


def test_a_margin_of_25_on_a_stock_of_20() -> None:
    assert return_on_stock(100 - 75, 20) == Fraction(125, 100)
