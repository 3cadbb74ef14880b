"""Stock turnover, days of stock and return on money, against a textbook.

Source: OpenStax, *Principles of Accounting* Vol. 1, sec. 10.5 (module m67893): cost of goods sold 7,200 and 7,920,
stock 3,150, 8,955 and 9,851; Vol. 2, sec. 9.3 (m68078): income 3,891 on 15,000 and 2,533 on 65,000, 500 on 2,500.
The days are printed as 306.79 and 433.32 because the book divides by rounded parts; the exact ones are ours.
"""

from fractions import Fraction

import pytest

from app.reports.rules.ratios import days_of_stock, mean_stock, return_on_money, turnover

YEAR = 365


@pytest.mark.parametrize(
    ("cost", "stocks", "times", "days_printed", "days_exact"),
    [(7_200, (3_150, 8_955), 1.19, 306.79, 306.83), (7_920, (8_955, 9_851), 0.84, 433.32, 433.35)],
)
def test_turnover_and_days_of_stock(
    cost: int, stocks: tuple[int, int], times: float, days_printed: float, days_exact: float
) -> None:
    average = mean_stock(stocks)
    assert average == Fraction(sum(stocks), 2)
    turned, days = turnover(cost, average), days_of_stock(average, cost, YEAR)
    assert turned is not None
    assert days is not None
    assert round(float(turned), 2) == times
    assert float(days) == pytest.approx(days_printed, abs=0.5)
    assert float(days) == pytest.approx(days_exact, abs=0.01)
    # Both say the same thing: what turns over so often lasts for so many days.
    assert turned * days == YEAR


@pytest.mark.parametrize(
    ("made", "money", "printed"), [(3_891, 15_000, 25.9), (2_533, 65_000, 3.9), (500, 2_500, 20.0)]
)
def test_return_on_money(made: int, money: int, printed: float) -> None:
    found = return_on_money(made, money)
    assert found is not None
    assert round(float(found) * 100, 1) == printed
