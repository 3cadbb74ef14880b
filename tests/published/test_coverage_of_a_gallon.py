"""What a gallon covers one mil thick, against a published derivation.

Source: a question-and-answer column on calculating coverage (item H1002; its address bears its author's name and is
left out): 0.13368 cubic feet to the gallon, 12,000 mils to the foot. Its example, 52 % solids, 35 % of it staying on,
1.5 mil, is cut off before the answer; 194.6 is our own arithmetic with its 1604.
"""

from fractions import Fraction

import pytest

from app.recipes.rules import practical_coverage
from tests.published.in_us_measures import ft2_per_gallon


def test_the_published_factors_make_the_constant() -> None:
    assert float(ft2_per_gallon(1, 1)) == pytest.approx(0.13368 * 12_000, abs=0.01)
    assert ft2_per_gallon(1, 1) == Fraction(9625, 6)


def test_the_example_that_lost_its_answer() -> None:
    theoretical = ft2_per_gallon(Fraction(52, 100), Fraction(3, 2))
    assert float(practical_coverage(theoretical, transfer=Fraction(35, 100))) == pytest.approx(194.6, abs=0.05)
