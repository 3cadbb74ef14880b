"""Gross profit on the average stock of a year, against a published exercise.

Source: a retail mathematics text, https://scribd.com/document/67179751/GMROI: sales 500,000, cost 260,000, thirteen
month-end stocks that add up to 1,300,000; gross margin 240,000 or 48 %, average stock 100,000, sales over stock 5. The
text is cut before its last line: 240 % on the stock is our own arithmetic on its figures.
"""

from fractions import Fraction

from app.reports.rules.ratios import margin, mean_stock, return_on_stock

THIRTEEN_STOCKS = (
    80_000,
    90_000,
    100_000,
    110_000,
    120_000,
    100_000,
    100_000,
    100_000,
    100_000,
    95_000,
    105_000,
    110_000,
    90_000,
)
"""Levels of our own making with the sum that is published."""


def test_gross_profit_on_the_mean_of_thirteen_stocks() -> None:
    assert sum(THIRTEEN_STOCKS) == 1_300_000
    average = mean_stock(THIRTEEN_STOCKS)
    assert average == 100_000
    assert margin(500_000, 260_000) == Fraction(48, 100)
    assert Fraction(500_000) / average == 5
    assert return_on_stock(500_000 - 260_000, average) == Fraction(240, 100)
