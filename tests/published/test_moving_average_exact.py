"""The moving average where nothing needs rounding, against a published exercise.

Source: https://wizedu.com/questions/628894/purchase-unitsunit-cost-sold-units-begnventory-and (3,000 at 0.60; 4,000
bought at 0.74; 4,400 drawn; 2,200 bought at 0.80; 2,100 drawn). Its answers agree with exact arithmetic.
"""

from fractions import Fraction

from app.shelf.rules import MovingAverage


def test_averages_draws_and_what_is_left_are_the_published_ones() -> None:
    shelf = MovingAverage()
    shelf.buy(3_000, 1_800_00)
    shelf.buy(4_000, 2_960_00)
    assert shelf.last_average == 68
    assert shelf.use(4_400) == 2_992_00
    shelf.buy(2_200, 1_760_00)
    assert shelf.last_average == Fraction("73.5")
    assert shelf.use(2_100) == 1_543_50
    assert shelf.quantity == 2_700
    assert shelf.value == 1_984_50
    assert 2_992_00 + 1_543_50 == 4_535_50
