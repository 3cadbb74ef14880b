"""Temperatures are read and shown in the shop's degrees."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from app.basics.errors import RuleError
from app.basics.quantities import Units
from app.basics.temperature import (
    COLDEST_TENTHS,
    HOTTEST_TENTHS,
    format_temperature,
    parse_temperature,
    temperature_plain,
)


@pytest.mark.parametrize(
    ("typed", "units", "tenths"),
    [
        ("68", Units.IMPERIAL, 200),
        ("50 °F", Units.METRIC, 100),
        ("21", Units.METRIC, 210),
        ("21.5", Units.METRIC, 215),
        ("20 C", Units.IMPERIAL, 200),
        ("-40", Units.IMPERIAL, -400),
        ("\u22125", Units.METRIC, -50),
        ("140", Units.IMPERIAL, 600),
    ],
)
def test_a_temperature_is_read_in_the_degrees_of_the_shop_or_those_named(typed: str, units: Units, tenths: int) -> None:
    assert parse_temperature(typed, units) == tenths


@pytest.mark.parametrize("typed", ["warm", "", "1e2", "68 K", "141", "-41", "20,5", "--5"])
def test_what_is_no_temperature_of_a_room_is_refused_in_words(typed: str) -> None:
    with pytest.raises(RuleError, match=r"Type (the|a) temperature"):
        parse_temperature(typed, Units.IMPERIAL)


@given(st.integers(COLDEST_TENTHS, HOTTEST_TENTHS), st.sampled_from(Units))
def test_what_a_form_shows_reads_back_to_a_tenth(tenths: int, units: Units) -> None:
    assert abs(parse_temperature(temperature_plain(tenths, units), units) - tenths) <= (units is Units.IMPERIAL)


def test_it_is_shown_in_whole_degrees() -> None:
    assert format_temperature(200, Units.IMPERIAL) == "68 °F"
    assert format_temperature(204, Units.METRIC) == "20 °C"
    assert format_temperature(-6, Units.METRIC) == "-1 °C"
