"""Reading and showing lengths, working time, percentages and rates of tax."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from app.basics.errors import RuleError
from app.basics.quantities import (
    LONGEST_MINUTES,
    LONGEST_MM,
    LONGEST_WAIT,
    Units,
    format_dimensions,
    format_length,
    format_minutes,
    format_percent,
    format_rate,
    format_wait,
    length_plain,
    parse_length,
    parse_minutes,
    parse_percent,
    parse_rate,
    parse_wait,
    percent_plain,
    rate_plain,
)

LENGTHS = st.integers(min_value=1, max_value=LONGEST_MM)
EITHER = st.sampled_from(Units)


@pytest.mark.parametrize(
    ("typed", "mm"),
    [
        ("31", 787),
        ("31.5", 800),
        (".5", 13),
        ("31 1/2", 800),
        ("31-1/2", 800),
        ("1/2", 13),
        ("31½", 800),
        ("31 ½", 800),
        ("½", 13),
        ("31\u00a01\u20442 in", 800),
        ("31 15/16", 811),
        ("31 in", 787),
        ("31 IN.", 787),
        ("31 inches", 787),
        ('31"', 787),
        ("31”", 787),
        ('31 1/2"', 800),
        (" 31 ", 787),
        ("80 cm", 800),
        ("800mm", 800),
    ],
)
def test_inches_are_read_as_a_tape_is_read(typed: str, mm: int) -> None:
    assert parse_length(typed, Units.IMPERIAL) == mm


@pytest.mark.parametrize(
    ("typed", "mm"),
    [
        ("80", 800),
        ("80.5", 805),
        ("80.55", 806),
        ("80 cm", 800),
        ("80.5cm", 805),
        ("800 mm", 800),
        ("31 in", 787),
    ],
)
def test_metric_lengths_are_centimetres_unless_they_say_otherwise(typed: str, mm: int) -> None:
    assert parse_length(typed, Units.METRIC) == mm


@pytest.mark.parametrize(
    ("typed", "units", "advice"),
    [
        ("", Units.IMPERIAL, "inches, like 31.5 or 31 1/2"),
        ("", Units.METRIC, "centimetres, like 80.5"),
        ("wide", Units.METRIC, "centimetres, like 80.5"),
        ("80,5", Units.METRIC, "with a point, like 80.5"),
        ("80,5 cm", Units.METRIC, "with a point, like 80.5"),
        ("31,5", Units.IMPERIAL, "with a point, like 31.5"),
        ("-31", Units.IMPERIAL, "never below zero"),
        ("80 1/2", Units.METRIC, "Fractions are for inches"),
        ("31 1/2 cm", Units.IMPERIAL, "Fractions are for inches"),
        ("31 1/3", Units.IMPERIAL, "as on a tape"),
        ("31 3/2", Units.IMPERIAL, "as on a tape"),
        ("31 0/2", Units.IMPERIAL, "as on a tape"),
        ("31 1/0", Units.IMPERIAL, "as on a tape"),
        ("31.5 1/2", Units.IMPERIAL, "inches"),
        ("31 yards", Units.IMPERIAL, "inches"),
        ("1e2", Units.IMPERIAL, "inches"),
        ("٣١", Units.IMPERIAL, "inches"),
        ("NaN", Units.IMPERIAL, "inches"),
        ("0", Units.IMPERIAL, "more than nothing and at most 787 in"),
        ("0.01", Units.METRIC, "more than nothing and at most 2,000 cm"),
        ("2000.1", Units.METRIC, "at most 2,000 cm"),
        ("999999999999", Units.IMPERIAL, "at most 787 in"),
    ],
)
def test_what_is_no_length_is_refused_with_what_to_type(typed: str, units: Units, advice: str) -> None:
    with pytest.raises(RuleError) as refusal:
        parse_length(typed, units)

    assert advice in refusal.value.message


@pytest.mark.parametrize(("typed", "mm"), [("1 mm", 1), ("20000 mm", 20_000)])
def test_the_shortest_and_the_longest_length_are_allowed(typed: str, mm: int) -> None:
    assert parse_length(typed, Units.METRIC) == mm


@given(LENGTHS, EITHER)
def test_a_length_in_a_form_reads_back_as_itself(mm: int, units: Units) -> None:
    assert parse_length(length_plain(mm, units), units) == mm


@given(st.integers(min_value=1, max_value=700 * 8).map(lambda eighths: eighths / 8))
def test_a_length_typed_to_the_eighth_comes_back_as_it_was_typed(inches: float) -> None:
    mm = parse_length(f"{inches:.3f}", Units.IMPERIAL)

    assert float(length_plain(mm, Units.IMPERIAL)) == inches


# From the first quarter inch to the last one that may also be typed.
@given(st.integers(min_value=4, max_value=LONGEST_MM - 4))
def test_a_length_as_shown_is_at_most_an_eighth_of_an_inch_off(mm: int) -> None:
    assert abs(parse_length(format_length(mm, Units.IMPERIAL), Units.IMPERIAL) - mm) <= 3


@given(LENGTHS)
def test_a_metric_length_as_shown_reads_back_as_itself(mm: int) -> None:
    assert parse_length(format_length(mm, Units.METRIC), Units.METRIC) == mm


@pytest.mark.parametrize(
    ("mm", "units", "shown"),
    [
        (800, Units.IMPERIAL, "31 1/2 in"),
        (787, Units.IMPERIAL, "31 in"),
        (794, Units.IMPERIAL, "31 1/4 in"),
        (806, Units.IMPERIAL, "31 3/4 in"),
        (13, Units.IMPERIAL, "1/2 in"),
        (2, Units.IMPERIAL, "under 1/4 in"),
        (800, Units.METRIC, "80 cm"),
        (805, Units.METRIC, "80.5 cm"),
        (20_000, Units.METRIC, "2000 cm"),
    ],
)
def test_a_length_is_shown_in_the_owner_s_units(mm: int, units: Units, shown: str) -> None:
    assert format_length(mm, units) == shown


def test_the_sides_that_are_known_are_shown_by_their_letter() -> None:
    assert format_dimensions(800, 457, 762, Units.IMPERIAL) == "W 31 1/2 x D 18 x H 30 in"
    assert format_dimensions(800, None, 765, Units.METRIC) == "W 80 x H 76.5 cm"
    assert format_dimensions(None, None, None, Units.METRIC) == ""


@pytest.mark.parametrize(
    ("typed", "minutes"),
    [
        ("40", 40),
        ("90m", 90),
        ("90 min", 90),
        ("1 minute", 1),
        ("1:20", 80),
        ("0:05", 5),
        ("1h 20", 80),
        ("1h20", 80),
        ("1H 20M", 80),
        ("1 h 20 min", 80),
        ("2 hours", 120),
        ("1.5 h", 90),
        (".25h", 15),
        ("1.33 h", 80),
        ("24 h", 1440),
    ],
)
def test_working_time_is_read_as_people_type_it(typed: str, minutes: int) -> None:
    assert parse_minutes(typed) == minutes


@pytest.mark.parametrize(
    ("typed", "advice"),
    [
        ("", "in minutes, like 90"),
        ("1.5", "in minutes, like 90"),
        ("1,5 h", "in minutes, like 90"),
        ("1:60", "in minutes, like 90"),
        ("1:5", "in minutes, like 90"),
        ("1h 75", "in minutes, like 90"),
        ("1.5 h 20", "in minutes, like 90"),
        ("-5", "in minutes, like 90"),
        ("all day", "in minutes, like 90"),
        ("٤٠", "in minutes, like 90"),
        ("0", "at least 1 minute"),
        ("0:00", "at least 1 minute"),
        ("1441", "at most 24 hours"),
        ("24:01", "at most 24 hours"),
        ("999999999999 h", "at most 24 hours"),
    ],
)
def test_what_is_no_working_time_is_refused_with_what_to_type(typed: str, advice: str) -> None:
    with pytest.raises(RuleError) as refusal:
        parse_minutes(typed)

    assert advice in refusal.value.message


@given(st.integers(min_value=1, max_value=LONGEST_MINUTES))
def test_working_time_as_shown_reads_back_as_itself(minutes: int) -> None:
    assert parse_minutes(format_minutes(minutes)) == minutes


@pytest.mark.parametrize(
    ("minutes", "shown"),
    [(0, "0 min"), (40, "40 min"), (80, "1 h 20 min"), (120, "2 h"), (1805, "30 h 5 min")],
)
def test_working_time_is_shown_in_hours_and_minutes(minutes: int, shown: str) -> None:
    assert format_minutes(minutes) == shown


def test_working_time_below_zero_is_not_shown() -> None:
    with pytest.raises(ValueError, match="below zero"):
        format_minutes(-1)


@pytest.mark.parametrize(
    ("typed", "hundredths"),
    [("13", 1300), ("13.25", 1325), ("13 %", 1300), ("2.9%", 290), (".5", 50), ("0", 0), ("100", 10_000)],
)
def test_a_percentage_is_read_with_or_without_its_sign(typed: str, hundredths: int) -> None:
    assert parse_percent(typed) == hundredths


@pytest.mark.parametrize(
    ("typed", "advice"),
    [
        ("", "from 0 to 100"),
        ("-1", "from 0 to 100"),
        ("100.01", "from 0 to 100"),
        ("999999999999", "from 0 to 100"),
        ("13,5", "with a point, like 13.25"),
        ("13,5 %", "with a point, like 13.25"),
        ("13.255", "at most 2 digits"),
        ("a tenth", "from 0 to 100"),
        ("NaN", "from 0 to 100"),
    ],
)
def test_what_is_no_percentage_is_refused_with_what_to_type(typed: str, advice: str) -> None:
    with pytest.raises(RuleError) as refusal:
        parse_percent(typed)

    assert advice in refusal.value.message


@given(st.integers(min_value=0, max_value=10_000))
def test_a_percentage_reads_back_as_itself(hundredths: int) -> None:
    assert parse_percent(percent_plain(hundredths)) == hundredths
    assert parse_percent(format_percent(hundredths)) == hundredths


@pytest.mark.parametrize(
    ("typed", "millionths"),
    [("8", 80_000), ("8.875", 88_750), (" 8.8750 % ", 88_750), ("0", 0), ("0.0001", 1), ("100", 1_000_000)],
)
def test_a_rate_of_tax_is_read_to_four_decimals(typed: str, millionths: int) -> None:
    assert parse_rate(typed) == millionths


@pytest.mark.parametrize(
    ("typed", "advice"),
    [
        ("100.0001", "Type a percentage from 0 to 100, like 8 or 8.875."),
        ("8.87501", "Type at most 4 digits after the point, like 8.875."),
        ("8,875", "Write the percentage with a point, like 8.875."),
        ("-8", "Type a percentage from 0 to 100, like 8 or 8.875."),
        ("nan", "Type a percentage from 0 to 100, like 8 or 8.875."),
    ],
)
def test_what_is_no_rate_of_tax_is_refused_with_what_to_type(typed: str, advice: str) -> None:
    with pytest.raises(RuleError) as refusal:
        parse_rate(typed)
    assert refusal.value.message == advice


@given(st.integers(0, 1_000_000))
def test_a_rate_of_tax_reads_back_as_itself(millionths: int) -> None:
    assert parse_rate(rate_plain(millionths)) == millionths
    assert parse_rate(format_rate(millionths)) == millionths


def test_a_percentage_is_shown_without_needless_digits() -> None:
    assert [format_percent(value) for value in (1300, 1325, 290, 0, 10_000)] == [
        "13%",
        "13.25%",
        "2.9%",
        "0%",
        "100%",
    ]


@given(st.text(max_size=20) | st.text(alphabet="0123456789 ./:½-hmincm%\"'", max_size=10))
def test_any_text_is_either_read_within_the_limits_or_refused(typed: str) -> None:
    for read, most in ((parse_minutes, LONGEST_MINUTES), (parse_percent, 10_000), (parse_rate, 1_000_000)):
        try:
            assert 0 <= read(typed) <= most
        except RuleError:
            continue
    for units in Units:
        try:
            assert 1 <= parse_length(typed, units) <= LONGEST_MM
        except RuleError:
            continue


@pytest.mark.parametrize(
    ("typed", "minutes"),
    [
        ("30 min", 30),
        ("30min", 30),
        ("4 h", 240),
        ("4hrs.", 240),
        ("1.5 H", 90),
        ("36 hours", 36 * 60),
        ("3 days", 3 * 24 * 60),
        ("1 day", 24 * 60),
        ("2 weeks", 14 * 24 * 60),
        ("1 h 30 min", 90),
        ("1 day 4 h", 28 * 60),
        ("1 day and 4 h", 28 * 60),
        ("1 d, 30 m", 24 * 60 + 30),
        ("0", 0),
        ("0 h", 0),
        ("365 days", LONGEST_WAIT),
    ],
)
def test_a_time_to_wait_is_read_as_a_label_says_it(typed: str, minutes: int) -> None:
    assert parse_wait(typed) == minutes


@pytest.mark.parametrize(
    ("typed", "advice"),
    [
        ("4", "Say what it is behind the number"),
        ("1.5", "Say what it is behind the number"),
        ("1,5 h", "with a point, like 1.5 h"),
        ("-4 h", "never below zero"),
        ("overnight", "like 30 min, 4 h, 3 days or 2 weeks"),
        ("4 to 6 h", "like 30 min, 4 h, 3 days or 2 weeks"),
        ("4 months", "like 30 min, 4 h, 3 days or 2 weeks"),
        ("", "like 30 min, 4 h, 3 days or 2 weeks"),
        ("NaN h", "like 30 min, 4 h, 3 days or 2 weeks"),
        ("366 days", "at most 365 days"),
        ("999999999999 weeks", "at most 365 days"),
    ],
)
def test_what_is_no_time_to_wait_is_refused(typed: str, advice: str) -> None:
    with pytest.raises(RuleError, match=advice):
        parse_wait(typed)


@pytest.mark.parametrize(
    ("minutes", "shown"),
    [
        (0, "0 min"),
        (30, "30 min"),
        (240, "4 h"),
        (90, "1 h 30 min"),
        (24 * 60, "1 day"),
        (36 * 60, "36 h"),
        (48 * 60, "2 days"),
        (52 * 60, "2 days 4 h"),
        (30 * 24 * 60, "30 days"),
    ],
)
def test_a_time_to_wait_is_shown_in_the_words_of_the_trade(minutes: int, shown: str) -> None:
    assert format_wait(minutes) == shown


@given(st.integers(min_value=0, max_value=LONGEST_WAIT))
def test_a_time_to_wait_reads_back_as_it_is_shown(minutes: int) -> None:
    assert parse_wait(format_wait(minutes)) == minutes


def test_no_time_to_wait_is_below_zero() -> None:
    with pytest.raises(ValueError, match="never below zero"):
        format_wait(-1)
