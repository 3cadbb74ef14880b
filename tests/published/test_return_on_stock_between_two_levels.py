"""Gross profit on the mean of an opening and a closing stock, against a published example.

Source: a page on apparel retail, http://thefinancebase.com/calculate-gross-margin-roi-apparel-retailers-1646.html:
margin 750, stock 5,000 and 3,500. It prints 0.17; 750 / 4,250 is 0.1765, so to two places 0.18.
"""

from app.reports.rules.ratios import mean_stock, return_on_stock


def test_750_on_the_mean_of_two_stocks() -> None:
    average = mean_stock([5_000, 3_500])
    assert average == 4_250
    found = return_on_stock(750, average)
    assert found is not None
    assert round(float(found), 2) == 0.18
