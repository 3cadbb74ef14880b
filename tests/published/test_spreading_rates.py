"""Spreading rates, against an older builder's handbook.

Source: http://chestofbooks.com/architecture/Building-Construction-V4/Data-On-Painting.html (10 lb of paste filler to
about 400 ft2; varnish 350 to 450 ft2 to the gallon for the first coat, 450 to 550 for later ones).
"""

from app.recipes.rules import CM2_PER_FT2, SPREADS, Product
from app.shelf.rules import Measure, measure_size


def test_ten_pounds_of_filler_fill_four_hundred_square_feet() -> None:
    ten_pounds = 10 * measure_size(Measure.LB)
    assert ten_pounds * SPREADS[Product.GRAIN_FILLER].usual_cm2 == 400 * CM2_PER_FT2


def test_varnish_lies_within_the_handbooks_two_ranges() -> None:
    spread = SPREADS[Product.WATERBORNE_CLEAR]
    assert spread.low <= 350 <= spread.usual <= 450
    assert spread.high >= 550
