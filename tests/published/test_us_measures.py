"""US measures of volume and weight in metric ones, against the federal table.

Source: 16 CFR 500.19, https://www.law.cornell.edu/cfr/text/16/500.19 (six-figure factors: gallon 3.78541 L, quart
946.353 ml, fluid ounce 29.5735 ml, pound 453.592 g, ounce 28.3495 g). It prints the pint as 473.177 ml where half the
exact quart is 473.176473; the exact value is checked. That the gallon is 231 cubic inches and the pound 453.59237 g
exactly is from memory; both agree with the table to its six figures.
"""

import pytest

from app.shelf.rules import Measure, Unit, parse_quantity


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
