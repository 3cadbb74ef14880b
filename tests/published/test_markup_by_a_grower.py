"""Mark-up is no margin, against a published example.

Source: a Penn State Extension column,
https://www.nxtbook.com/greatamericanmediaservices/FGN/may-2024/index.php?startid=32: cost 5 and 30 % mark-up make a
price of 6.50; at cost 1 and price 1.30 the margin is 23 %.
"""

from fractions import Fraction

from app.reports.rules.ratios import margin, markup


def test_a_mark_up_of_30_percent_is_a_margin_of_23() -> None:
    assert markup(650, 500) == Fraction(30, 100)
    found = margin(130, 100)
    assert found is not None
    assert round(float(found) * 100) == 23
