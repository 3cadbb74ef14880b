"""How far a varnish goes, against one worked figure.

Source: https://greatgreenwedding.com/how-do-i-calculate-how-much-varnish-i-need/ (45 % solids at 2 mil: 361 ft2 to the
gallon; varnish in general 300 to 600).
"""

from fractions import Fraction

from app.basics.money import half_up
from app.recipes.rules import SPREADS, Product
from tests.published.in_us_measures import ft2_per_gallon


def test_forty_five_percent_at_two_mil() -> None:
    assert half_up(ft2_per_gallon(Fraction(45, 100), 2)) == 361


def test_the_range_of_a_clear_coat() -> None:
    spread = SPREADS[Product.WATERBORNE_CLEAR]
    assert (spread.low, spread.high) == (300, 600)
