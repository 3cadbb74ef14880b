"""Areas, films and numbers are read as people type them, and results are shown so that they add up."""

import re
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from app.basics.errors import RuleError
from app.basics.quantities import Units
from app.recipes.rules import CM2_PER_FT2, cm2_of_us_spread
from app.recipes.rules.sums import (
    amount_shown,
    amounts_shown,
    area_shown,
    film_shown,
    parse_area,
    parse_count,
    parse_film,
    parse_number,
    spread_of_number,
    spread_shown,
    temperature_shown,
)
from app.shelf.rules import Measure, Unit, measure_size

US, METRIC = Units.IMPERIAL, Units.METRIC


@pytest.mark.parametrize(
    ("typed", "units", "cm2"),
    [
        ("1", US, CM2_PER_FT2),
        ("1", METRIC, Fraction(10_000)),
        (" 31.5 sq ft", US, Fraction("31.5") * CM2_PER_FT2),
        ("2.9 m²", US, Fraction(29_000)),
        ("144 in2", METRIC, CM2_PER_FT2),
        ("500cm2", US, Fraction(500)),
        (".5", METRIC, Fraction(5000)),
    ],
)
def test_an_area_is_read_in_the_shops_units_unless_it_says(typed: str, units: Units, cm2: Fraction) -> None:
    assert parse_area(typed, units) == cm2


@pytest.mark.parametrize(
    ("typed", "words"),
    [
        ("1,5", "with a point, like 31.5"),
        ("", "as a number"),
        ("NaN", "as a number"),
        ("-2", "as a number"),
        ("3 acres", "as a number"),
        ("0", "cannot be"),
        ("1000000", "cannot be"),
        ("9" * 5000, "as a number"),
    ],
)
def test_what_is_no_area_is_refused(typed: str, words: str) -> None:
    with pytest.raises(RuleError, match=words):
        parse_area(typed, US)


def test_a_film_is_read_in_mils_or_in_microns() -> None:
    assert parse_film("1.5", US) == parse_film("1.5 mil", METRIC) == Fraction("38.1")
    assert parse_film("38", METRIC) == parse_film("38 µm", US) == parse_film("38 microns", US) == 38
    with pytest.raises(RuleError, match="cannot be"):
        parse_film("5001", METRIC)
    with pytest.raises(RuleError, match="like 38"):
        parse_film("thick", METRIC)


@pytest.mark.parametrize(
    ("typed", "number"),
    [("2", 2), ("1.5", Fraction(3, 2)), ("1 1/2", Fraction(3, 2)), ("1½", Fraction(3, 2)), ("½", Fraction(1, 2))],
)
def test_a_number_is_read_with_its_fraction(typed: str, number: Fraction) -> None:
    assert parse_number(typed, "cut", "2") == number


@pytest.mark.parametrize("typed", ["", "1/0", "-2", "two", "1 1 1/2", "2,5", "999999"])
def test_what_is_no_number_is_refused(typed: str) -> None:
    with pytest.raises(RuleError):
        parse_number(typed, "cut", "2")


@pytest.mark.parametrize("typed", ["0", "13", "1.5", "", "-1", "٣"])
def test_coats_are_counted_in_whole_ones_and_not_too_many(typed: str) -> None:
    with pytest.raises(RuleError, match="whole number of coats, from 1 to 12"):
        parse_count(typed, "coats", 12)


@given(st.lists(st.fractions(0, 20_000, max_denominator=1000), min_size=1, max_size=5).filter(any))
def test_amounts_add_up_as_they_are_read(amounts: list[Fraction]) -> None:
    for units, measure, finest in ((US, Measure.FL_OZ, Fraction(1, 20)), (METRIC, Measure.ML, Fraction(1, 2))):
        read = [Fraction(shown.own.split()[0].replace(",", "")) for shown in amounts_shown(amounts, Unit.ML, units)]
        exact = sum(amounts) / measure_size(measure)
        assert abs(sum(read) - exact) <= finest
        assert all(
            abs(one - amount / measure_size(measure)) < 2 * finest for one, amount in zip(read, amounts, strict=True)
        )


def test_three_equal_parts_of_half_a_litre_are_read_as_half_a_litre() -> None:
    shown = amounts_shown([Fraction(500, 3)] * 3, Unit.ML, METRIC)
    assert [one.own for one in shown] == ["167 ml", "167 ml", "166 ml"]
    assert [one.other for one in shown] == ["5.7 fl oz", "5.6 fl oz", "5.6 fl oz"]


def test_small_amounts_are_shown_finer() -> None:
    assert amount_shown(Fraction("4.26"), Unit.ML, METRIC).words == "4.3 ml (0.14 fl oz)"
    assert amount_shown(113, Unit.G, US).words == "4 oz (113 g)"
    assert amount_shown(4000, Unit.ML, METRIC).own == "4,000 ml"


def test_results_are_shown_in_both_units() -> None:
    assert area_shown(29_129, US).words == "31.4 ft² (2.91 m²)"
    assert film_shown(38, METRIC).words == "38 µm (1.5 mil)"
    assert spread_shown(cm2_of_us_spread(350), Unit.ML, US).words == "350 ft² a gallon (8.6 m² a litre)"
    assert spread_shown(300, Unit.G, METRIC).own == "30 m² a kg"
    assert temperature_shown(-40, US).words == "\u221240 °F (\u221240 °C)"
    assert temperature_shown(9.26, METRIC).own == "9.3 °C"


def test_a_rate_typed_is_the_rate_shown() -> None:
    for units, unit in ((US, Unit.ML), (US, Unit.G), (METRIC, Unit.ML), (METRIC, Unit.G)):
        shown = spread_shown(spread_of_number(120, unit, units), unit, units).own
        assert re.match(r"120 ", shown)
