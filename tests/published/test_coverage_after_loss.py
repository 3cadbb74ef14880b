"""What a loss leaves of the coverage, against a dictionary of corrosion.

Source: https://www.corrosionpedia.com/definition/2294/practical-coverage (100 ft2 to the gallon less a loss of 30 % is
70 ft2).
"""

from fractions import Fraction

from app.recipes.rules import practical_coverage


def test_a_loss_of_thirty_percent() -> None:
    assert practical_coverage(100, loss=Fraction(30, 100)) == 70
