"""Part of a can of paint, against a published worksheet for costing crafts.

Source: https://fayllar.org/helping-ar-sans-reach-global-markets-finding-your-scale-module/ (a worksheet for artisans:
a can of paint for 4.00, half of it used, costs 2.00).
"""

from decimal import Decimal
from fractions import Fraction

import pytest

from app.shelf.rules import CanPart, Measure, MovingAverage, Quantity, Unit, parse_quantity, part_of_can


@pytest.mark.parametrize("half", [0.5, Decimal("0.5"), Fraction(1, 2)])
def test_half_a_can_costs_half_its_price(half: Quantity) -> None:
    shelf = MovingAverage()
    shelf.buy(1, 4_00)
    assert shelf.use(half) == 2_00
    assert shelf.value == 2_00


def test_half_a_quart_said_as_about_half_costs_half_its_price_too() -> None:
    quart = parse_quantity("1", Unit.ML, Measure.QUART)
    shelf = MovingAverage()
    shelf.buy(quart, 4_00)
    assert shelf.use(part_of_can(CanPart.HALF, can_milli=quart, left_milli=quart)) == 2_00
