"""The moving average of a month, against a textbook.

Source: OpenStax, *Principles of Accounting* Vol. 1 (Financial), Rice University: sec. 10.3, perpetual method, with
the data of sec. 10.2. The book prints averages of 26.29 and 31.24, 7,253 as cost of goods sold and 8,902 as closing
stock, and warns of a gap of one: it rounds to whole units of currency. The exact values are checked here: without any
rounding on the way, sold and left add up to all that was bought. Rounded averages would leave 8,903.40.
"""

from fractions import Fraction

from app.shelf.rules import MovingAverage

OPENING, JULY_10, JULY_25 = (150, 150 * 21_00), (225, 225 * 27_00), (210, 210 * 33_00)


def test_the_month_costs_and_leaves_what_is_published_to_the_cent() -> None:
    shelf = MovingAverage()
    shelf.buy(*OPENING)
    first = shelf.use(120)
    shelf.buy(*JULY_10)
    assert shelf.value == 6_705_00
    average = shelf.last_average
    assert average is not None
    assert round(float(average) / 100, 4) == 26.2941
    second = shelf.use(180)
    shelf.buy(*JULY_25)

    assert (first, second) == (2_520_00, 4_732_94)
    assert first + second == 7_252_94
    assert round((first + second) / 100) == 7_253
    assert shelf.quantity == 285
    assert shelf.value == 8_902_06
    assert round(shelf.value / 100) == 8_902
    assert shelf.last_average is not None
    assert round(float(shelf.last_average) / 100, 4) == 31.2353
    assert first + second + shelf.value == 16_155_00


def test_the_margin_is_the_published_one() -> None:
    sold = 120 * 36_00 + 180 * 39_00
    assert sold - 7_252_94 == 4_087_06


def test_averages_rounded_to_cents_would_no_longer_add_up() -> None:
    rounded = Fraction(26_29) * 180
    assert rounded == 4_732_20
    assert 2_520_00 + rounded + 285 * 31_24 != 16_155_00
