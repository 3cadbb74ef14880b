"""Sell-through of the opening stock, against a published example.

Source: an encyclopedia's article, https://wiki-gateway.eudic.net/wikipedia_en/Sell-through.html: sold 100, end stock
900, received 300, returned 600, so an opening stock of 1,300; 7.69 %. Ours would count the 300 received as well.
"""

from app.reports.rules.ratios import sell_through


def test_100_of_an_opening_stock_of_1300() -> None:
    opening = 900 + 100 - 300 + 600
    assert opening == 1_300
    found = sell_through(100, opening)
    assert found is not None
    assert round(float(found) * 100, 2) == 7.69
