"""Quantities as they are typed and shown: US and metric measures, fractions, parts of a can."""

from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from app.basics.errors import RuleError
from app.basics.quantities import Units
from app.shelf.rules import (
    CanPart,
    Measure,
    Unit,
    average_cents,
    format_quantity,
    measure_words,
    measures_for,
    parse_quantity,
    part_of_can,
    priced_measure,
    quantity_plain,
)


@pytest.mark.parametrize(
    ("typed", "unit", "measure", "milli"),
    [
        ("1", Unit.ML, Measure.GALLON, 3_785_412),
        ("1 gal", Unit.ML, Measure.FL_OZ, 3_785_412),
        ("1", Unit.ML, Measure.QUART, 946_353),
        ("1/2", Unit.ML, Measure.PINT, 236_588),
        ("8 fl oz", Unit.ML, Measure.ML, 236_588),
        ("8oz", Unit.ML, Measure.ML, 236_588),
        ("1½ quarts", Unit.ML, Measure.ML, 1_419_529),
        ("0.75 l", Unit.ML, Measure.FL_OZ, 750_000),
        ("1", Unit.G, Measure.LB, 453_592),
        ("8 oz.", Unit.G, Measure.G, 226_796),
        ("12", Unit.SHEET, Measure.SHEET, 12_000),
        ("1 sheet", Unit.SHEET, Measure.SHEET, 1_000),
        (" 4 ", Unit.EACH, Measure.EACH, 4_000),
        ("0", Unit.EACH, Measure.EACH, 0),
    ],
)
def test_a_quantity_is_read_in_its_measure(typed: str, unit: Unit, measure: Measure, milli: int) -> None:
    assert parse_quantity(typed, unit, measure) == milli


@pytest.mark.parametrize(
    ("typed", "words"),
    [
        ("", "as a number"),
        ("some", "as a number"),
        ("1,5", "with a point"),
        ("-1", "never below zero"),
        ("1/0", "as a number"),
        ("2 sheets", "measured in fl oz, pt, qt, gal"),
        ("999999999999 gal", "more than the shelf can hold"),
        ("0.0000001", "too little to keep"),
        ("NaN", "as a number"),
        ("1e5", "as a number"),
        ("9" * 5_000, "as a number"),
    ],
)
def test_what_is_no_quantity_is_refused_in_plain_words(typed: str, words: str) -> None:
    with pytest.raises(RuleError, match=words):
        parse_quantity(typed, Unit.ML, Measure.ML)


def test_an_ounce_of_liquid_and_an_ounce_of_weight_are_two_things() -> None:
    assert parse_quantity("1 oz", Unit.ML, Measure.ML) == 29_574
    assert parse_quantity("1 oz", Unit.G, Measure.G) == 28_350


@pytest.mark.parametrize(
    ("milli", "unit", "units", "shown"),
    [
        (3_785_412, Unit.ML, Units.IMPERIAL, "1 gal"),
        (946_353, Unit.ML, Units.IMPERIAL, "1 qt"),
        (236_588, Unit.ML, Units.IMPERIAL, "8 fl oz"),
        (-236_588, Unit.ML, Units.IMPERIAL, "\u22128 fl oz"),
        (1_250_000, Unit.ML, Units.METRIC, "1.25 litres"),
        (1_000_000, Unit.ML, Units.METRIC, "1 litre"),
        (250_000, Unit.ML, Units.METRIC, "250 ml"),
        (453_592, Unit.G, Units.IMPERIAL, "1 lb"),
        (500_000, Unit.G, Units.METRIC, "500 g"),
        (1_000, Unit.SHEET, Units.METRIC, "1 sheet"),
        (12_500, Unit.SHEET, Units.IMPERIAL, "12.5 sheets"),
        (4_000, Unit.EACH, Units.IMPERIAL, "4"),
        (1_234_000, Unit.EACH, Units.IMPERIAL, "1,234"),
        (0, Unit.ML, Units.IMPERIAL, "0 fl oz"),
        (1, Unit.ML, Units.IMPERIAL, "under 0.01 fl oz"),
    ],
)
def test_a_quantity_is_shown_in_the_owners_measures(milli: int, unit: Unit, units: Units, shown: str) -> None:
    assert format_quantity(milli, unit, units) == shown


@given(milli=st.integers(1, 10**10), unit=st.sampled_from(Unit), units=st.sampled_from(Units))
def test_what_a_form_shows_reads_back_as_the_same_thousandths(milli: int, unit: Unit, units: Units) -> None:
    written = quantity_plain(milli, unit, units)
    assert parse_quantity(written, unit, measures_for(unit, units)[0]) == milli


def test_the_measures_of_the_shops_own_way_come_first() -> None:
    assert measures_for(Unit.ML, Units.IMPERIAL)[0] is Measure.FL_OZ
    assert measures_for(Unit.ML, Units.METRIC)[:2] == (Measure.ML, Measure.LITRE)
    assert measures_for(Unit.G, Units.METRIC) == (Measure.G, Measure.KG, Measure.OZ, Measure.LB)
    assert [measure_words(each) for each in measures_for(Unit.EACH, Units.METRIC)] == ["each"]


def test_an_average_is_shown_for_a_measure_people_buy_in() -> None:
    quart = Fraction(2_000, 946_353)
    assert (priced_measure(Unit.ML, Units.IMPERIAL), average_cents(quart, Unit.ML, Units.IMPERIAL)) == ("qt", 2_000)
    assert (priced_measure(Unit.EACH, Units.METRIC), average_cents(Fraction(1, 4), Unit.EACH, Units.METRIC)) == (
        "each",
        250,
    )


def test_a_part_of_the_can_is_a_part_of_what_was_bought_last() -> None:
    assert part_of_can(CanPart.THIRD, can_milli=946_353, left_milli=5) == 315_451
    assert part_of_can(CanPart.HALF, can_milli=3, left_milli=5) == 2
    assert part_of_can(CanPart.WHOLE, can_milli=946_353, left_milli=5) == 946_353
    assert part_of_can(CanPart.REST, can_milli=None, left_milli=5) == 5
    with pytest.raises(RuleError, match="nothing was left"):
        part_of_can(CanPart.REST, can_milli=946_353, left_milli=0)
    with pytest.raises(RuleError, match="Nothing of it was bought yet"):
        part_of_can(CanPart.HALF, can_milli=None, left_milli=0)
