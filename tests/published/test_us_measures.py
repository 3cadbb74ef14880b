"""US measures of length, area, volume and weight in metric ones, against the federal table.

Source: 16 CFR 500.19, https://www.law.cornell.edu/cfr/text/16/500.19 (six-figure factors: gallon 3.78541 L, quart
946.353 ml, fluid ounce 29.5735 ml, pound 453.592 g, ounce 28.3495 g; exact:
mil 25.4 micrometres, square foot 929.0304 cm2). It prints the pint as 473.177 ml where half the
exact quart is 473.176473; the exact value is checked. That the gallon is 231 cubic inches and the pound 453.59237 g
exactly is from memory; both agree with the table to its six figures.
"""

from fractions import Fraction

import pytest

from app.recipes.rules import CM2_PER_FT2, UM_PER_MIL
from app.shelf.rules import Measure, Unit, measure_size, parse_quantity
from tests.published.in_us_measures import ft2_per_gallon


@pytest.mark.parametrize(
    ("measure", "unit", "milli"),
    [
        (Measure.QUART, Unit.ML, 946_353),
        (Measure.PINT, Unit.ML, 473_176),
        (Measure.LB, Unit.G, 453_592),
    ],
)
def test_one_of_it_is_the_published_number_of_thousandths(measure: Measure, unit: Unit, milli: int) -> None:
    assert parse_quantity("1", unit, measure) == milli


@pytest.mark.parametrize(
    ("measure", "unit", "printed"),
    [(Measure.GALLON, Unit.ML, 3785.41), (Measure.FL_OZ, Unit.ML, 29.5735), (Measure.OZ, Unit.G, 28.3495)],
)
def test_a_thousand_of_it_agree_with_the_published_six_figures(measure: Measure, unit: Unit, printed: float) -> None:
    assert float(f"{parse_quantity('1000', unit, measure) / 1_000_000:.6g}") == printed


def test_the_smaller_measures_make_up_the_gallon() -> None:
    gallon = parse_quantity("1", Unit.ML, Measure.GALLON)
    for number, measure in ((128, Measure.FL_OZ), (8, Measure.PINT), (4, Measure.QUART)):
        assert parse_quantity(str(number), Unit.ML, measure) == gallon


def test_the_mil_and_the_square_foot_are_the_exact_ones() -> None:
    assert (Fraction("25.4"), Fraction("929.0304")) == (UM_PER_MIL, CM2_PER_FT2)


def test_a_gallon_of_231_cubic_inches_covers_what_follows_at_one_mil() -> None:
    assert measure_size(Measure.GALLON) == 231 * Fraction("16.387064")
    assert ft2_per_gallon(1, 1) == Fraction(231 * 1000, 144)
