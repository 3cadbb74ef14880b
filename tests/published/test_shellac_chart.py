"""Shellac cuts, against a mixing chart.

Source: https://paperzz.com/doc/9138158/shellac-mixing-chart (ounces of flake to a gallon, half a gallon, a quart, a
pint and a cup of alcohol). A forum page, https://www.satfix.to/showthread.php?13726-Shellac-s-cut, agrees on the pint.
That a cut counts the alcohol and not the liquid made: http://www.woodworkersjournal.com/cut-shellac/.
"""

from fractions import Fraction

import pytest

from app.recipes.rules import flakes_for, ounces_per_cup
from app.shelf.rules import Measure, measure_size

GALLON = measure_size(Measure.GALLON)
VOLUMES = (GALLON, GALLON / 2, GALLON / 4, GALLON / 8, GALLON / 16)
CHART = [
    (Fraction(1), (16, 8, 4, 2, 1)),
    (Fraction(3, 2), (24, 12, 6, 3, Fraction(3, 2))),
    (Fraction(2), (32, 16, 8, 4, 2)),
    (Fraction(5, 2), (40, 20, 10, 5, Fraction(5, 2))),
    (Fraction(3), (48, 24, 12, 6, 3)),
]


@pytest.mark.parametrize(("cut", "ounces"), CHART)
def test_a_row_of_the_chart(cut: Fraction, ounces: tuple[Fraction, ...]) -> None:
    ounce = measure_size(Measure.OZ)
    assert tuple(flakes_for(volume, cut) / ounce for volume in VOLUMES) == ounces
    assert ounces_per_cup(cut) == ounces[-1]
