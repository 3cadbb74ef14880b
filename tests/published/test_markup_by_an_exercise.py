"""Mark-up and margin of one price, against a published exercise.

Source: a marketing text's exercise,
https://www.studymode.com/essays/Pricing-Break-Even-And-Marginal-Analysis-1302138.html: cost 125, price 225; 100, which
is 80 % on cost and 44 % on price.
"""

from fractions import Fraction

from app.reports.rules.ratios import margin, markup


def test_225_for_what_cost_125() -> None:
    left = margin(225, 125)
    assert left is not None
    assert markup(225, 125) == Fraction(80, 100)
    assert round(float(left) * 100) == 44
