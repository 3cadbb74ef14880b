"""Mark-up and margin of one price, against a published example.

Source: an encyclopedia's article, http://www.self.gutenberg.org/articles/Markup_(business): cost 1.40, price 1.99;
mark-up 42 %, margin 29.6 %.
"""

from app.reports.rules.ratios import margin, markup


def test_1_99_for_what_cost_1_40() -> None:
    up, left = markup(199, 140), margin(199, 140)
    assert up is not None
    assert left is not None
    assert round(float(up) * 100) == 42
    assert round(float(left) * 100, 1) == 29.6
