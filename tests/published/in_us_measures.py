"""Coverage in the measures of American tables: the same function the pages ask, by exact conversion."""

from fractions import Fraction

from app.recipes.rules import UM_PER_MIL, cm2_of_us_spread, theoretical_coverage_m2_per_l

CM2_PER_ML_IN_M2_PER_L = 10


def ft2_per_gallon(solids: Fraction | int, mil: Fraction | int) -> Fraction:
    """Square feet to the gallon from solids as a part of one and a dry film in mils."""
    cm2_per_ml = theoretical_coverage_m2_per_l(solids, mil * UM_PER_MIL) * CM2_PER_ML_IN_M2_PER_L
    return cm2_per_ml / cm2_of_us_spread(1)
