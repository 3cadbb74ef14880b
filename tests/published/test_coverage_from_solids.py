"""Coverage from solids and dry film, against a sheet on spreading rate in both systems of units.

Source: https://www.scribd.com/document/343849341/Spreading-Rate-pdf (65 % solids at 5.0 mil: 208.52 ft2 to the gallon;
at 125 micrometres: 5.2 m2 to the litre. Its formula line prints 100 by misprint where its working uses 1000). The
sheet rounds a gallon at one mil to 1604 ft2, which is exactly 1604 1/6; so its first answer is met to 0.02.
"""

from fractions import Fraction

import pytest

from app.recipes.rules import theoretical_coverage_m2_per_l
from tests.published.in_us_measures import ft2_per_gallon

SOLIDS = Fraction(65, 100)


def test_square_feet_to_the_gallon() -> None:
    assert float(ft2_per_gallon(SOLIDS, 5)) == pytest.approx(208.52, abs=0.025)


def test_square_metres_to_the_litre() -> None:
    assert theoretical_coverage_m2_per_l(SOLIDS, 125) == Fraction("5.2")
