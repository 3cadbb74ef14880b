"""The fee a channel takes and the price that survives it, against published examples.

Sources: OpenStax, *Principles of Accounting* Vol. 1 (Financial), sec. 9.1 (card sales of 300 at 5 %, 1,790 and
1,120 at 3 %, 1,200 at 4 %); a web page on fees, https://cal57.calculator.city/flatfix-calculator.html (to keep
100.00 after 2.9 % and 0.30 ask 103.30; a weak source whose arithmetic was checked);
http://www.csgnetwork.com/marginmarkuptable.html (500 at 30 % margin, and with 5 % overhead on the price);
https://www.studymode.com/essays/Pricing-Break-Even-And-Marginal-Analysis-1302138.html (59 at 10 %; 60 less 20 %
less 15 %); Iowa State Extension, https://www.extension.iastate.edu/ffed/value-your-labor/ (0.42 at 25 %).
"""

from decimal import Decimal

import pytest

from app.floor.rules import fee_proposed, price_after_fees


@pytest.mark.parametrize(
    ("price", "percent_hundredths", "fee", "received"),
    [
        (300_00, 5_00, 15_00, 285_00),
        (1_790_00, 3_00, 53_70, 1_736_30),
        (1_120_00, 3_00, 33_60, 1_086_40),
        (1_200_00, 4_00, 48_00, 1_152_00),
    ],
)
def test_the_fee_proposed_is_the_published_one(price: int, percent_hundredths: int, fee: int, received: int) -> None:
    assert fee_proposed(price, percent_hundredths, 0) == fee
    assert price - fee == received


@pytest.mark.parametrize(
    ("wanted", "percent", "fixed", "price"),
    [
        (100_00, Decimal("2.9"), 30, 103_30),
        (500_00, 35, 0, 769_23),
        (59_00, 10, 0, 65_56),
        (42, 25, 0, 56),
        (48_00, 20, 0, 60_00),
        (40_80, 15, 0, 48_00),
    ],
)
def test_the_price_that_survives_the_fees_is_the_published_one(
    wanted: int, percent: int | Decimal, fixed: int, price: int
) -> None:
    assert price_after_fees(wanted, percent, fixed) == price


def test_a_cent_less_than_published_leaves_a_cent_less() -> None:
    assert 103_30 - fee_proposed(103_30, 2_90, 30) == 100_00
    assert 103_29 - fee_proposed(103_29, 2_90, 30) == 99_99


def test_where_the_fee_rounds_down_a_cent_less_than_published_is_enough() -> None:
    # Published to the nearest cent: 714.29. Its fee rounds up, that of 714.28 rounds down: both leave 500.00.
    assert 714_29 - fee_proposed(714_29, 30_00, 0) == 500_00
    assert price_after_fees(500_00, 30, 0) == 714_28
    assert 714_28 - fee_proposed(714_28, 30_00, 0) == 500_00
