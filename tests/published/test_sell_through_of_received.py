"""Sell-through of what was received, against a published example.

Source: a collection of worked formulas, https://calculator.academy/sell-through-rate-calculator/: 45 sold of 80
received, 56.25 %. It is the narrowest of the definitions in use; ours counts what was here at the start too.
"""

from fractions import Fraction

from app.reports.rules.ratios import sell_through


def test_45_of_80_received() -> None:
    assert sell_through(45, 80) == Fraction(5625, 10_000)
