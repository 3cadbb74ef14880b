"""Splitting, reading, rounding and showing money."""

from decimal import Decimal
from fractions import Fraction
from itertools import pairwise

import pytest
from babel.numbers import get_currency_precision
from hypothesis import given
from hypothesis import strategies as st

from app.basics.errors import RuleError
from app.basics.money import (
    UNITS_LIMIT,
    MoneyError,
    currency_places,
    format_money,
    format_plain_amount,
    half_up,
    known_currencies,
    money_plain,
    parse_money,
    percent_of,
    split_exactly,
)

CENTS = st.integers(min_value=-(10**12), max_value=10**12)
WEIGHTS = st.lists(st.integers(min_value=0, max_value=10**9), min_size=1, max_size=40)


def test_equal_lines_share_the_odd_cents_from_the_first_on() -> None:
    assert split_exactly(100, [1, 1, 1]) == [34, 33, 33]
    assert split_exactly(5, [7, 7, 7]) == [2, 2, 1]


def test_a_line_without_weight_gets_nothing_while_another_has_some() -> None:
    assert split_exactly(100, [0, 3, 0]) == [0, 100, 0]


def test_lines_without_any_weight_share_equally() -> None:
    assert split_exactly(10, [0, 0, 0]) == [4, 3, 3]


def test_a_refund_is_split_as_the_mirror_of_its_payment() -> None:
    assert split_exactly(-100, [1, 1, 1]) == [-34, -33, -33]


@pytest.mark.parametrize("weights", [[], [1, -1], [-1]])
def test_nothing_and_weights_below_zero_are_refused(weights: list[int]) -> None:
    with pytest.raises(ValueError, match="split"):
        split_exactly(100, weights)


@given(CENTS, WEIGHTS)
def test_the_parts_always_add_up_to_the_whole(total: int, weights: list[int]) -> None:
    assert sum(split_exactly(total, weights)) == total


@given(CENTS, WEIGHTS)
def test_no_part_is_a_whole_cent_away_from_its_exact_share(total: int, weights: list[int]) -> None:
    shares = weights if any(weights) else [1] * len(weights)
    for part, share in zip(split_exactly(total, weights), shares, strict=True):
        assert abs(part - Fraction(total * share, sum(shares))) < 1


@given(CENTS, WEIGHTS)
def test_a_heavier_line_never_gets_less(total: int, weights: list[int]) -> None:
    by_weight = sorted(zip(weights, split_exactly(abs(total), weights), strict=True), key=lambda pair: pair[0])
    for (light, little), (heavy, much) in pairwise(by_weight):
        assert little <= much or light == heavy


@pytest.mark.parametrize(
    ("typed", "cents"),
    [
        ("12", 1200),
        ("12.5", 1250),
        ("12.50", 1250),
        (".50", 50),
        ("0", 0),
        ("007", 700),
        (" $12.50 ", 1250),
        ("$ 12.50", 1250),
        ("12.50 €", 1250),
        ("12.50\u00a0€", 1250),
        ("1,250", 125_000),
        ("1,250.00", 125_000),
        ("1 250.50", 125_050),
        ("1\u00a0250.50", 125_050),
        ("1\u202f250\u202f000", 125_000_000),
        ("9,999,999,999", 999_999_999_900),
    ],
)
def test_an_amount_is_read_as_people_type_it(typed: str, cents: int) -> None:
    assert parse_money(typed) == cents


@pytest.mark.parametrize(("typed", "places", "units"), [("1,250", 0, 1250), ("1.5", 3, 1500), ("1.234", 3, 1234)])
def test_a_currency_without_cents_or_with_thousandths_is_read(typed: str, places: int, units: int) -> None:
    assert parse_money(typed, places=places) == units


@pytest.mark.parametrize(
    ("typed", "advice"),
    [
        ("", "Type an amount, like 12.50"),
        ("   ", "Type an amount, like 12.50"),
        ("12,50", "with a point, like 12.50"),
        ("1.250,00", "with a point, like 12.50"),
        ("0,250", "with a point"),
        ("1,2500", "with a point"),
        ("-5", "never below zero"),
        ("\u22125", "never below zero"),
        ("$-5", "never below zero"),
        ("-$5", "never below zero"),
        ("5-", "never below zero"),
        ("(5)", "never below zero"),
        ("1e3", "plain digits"),
        ("NaN", "plain digits"),
        ("Infinity", "plain digits"),
        ("1_000", "plain digits"),
        ("١٢", "plain digits"),
        ("１２", "plain digits"),
        ("12.", "plain digits"),
        (".", "plain digits"),
        ("$", "plain digits"),
        ("$5$", "plain digits"),
        ("1 25", "plain digits"),
        ("1,250 000", "plain digits"),
        ("12.505", "at most 2 digits after the point"),
        ("10,000,000,000", "at most 9,999,999,999"),
        ("9,999,999,999.01", "at most 9,999,999,999"),
        ("9" * 10_000, "at most 9,999,999,999"),
    ],
)
def test_what_is_no_amount_is_refused_with_what_to_type(typed: str, advice: str) -> None:
    with pytest.raises(MoneyError) as refusal:
        parse_money(typed)

    assert advice in refusal.value.message
    assert isinstance(refusal.value, RuleError)


@pytest.mark.parametrize(("places", "advice"), [(0, "without a point, like 12"), (1, "1 digit after"), (3, "3 digits")])
def test_too_many_decimals_are_refused_in_the_currency_s_own_terms(places: int, advice: str) -> None:
    with pytest.raises(MoneyError, match=advice):
        parse_money("12.3456", places=places)


@given(st.text(max_size=30) | st.text(alphabet="0123456789., $€-()e", max_size=12))
def test_any_text_is_either_read_within_the_limit_or_refused(typed: str) -> None:
    try:
        cents = parse_money(typed)
    except MoneyError:
        return
    assert 0 <= cents <= UNITS_LIMIT * 100


@given(st.integers(min_value=0, max_value=UNITS_LIMIT), st.sampled_from([0, 2, 3]))
def test_a_plain_amount_reads_back_as_itself(cents: int, places: int) -> None:
    assert parse_money(money_plain(cents, places), places=places) == cents


@given(st.integers(min_value=0, max_value=UNITS_LIMIT * 100))
def test_an_amount_as_shown_in_dollars_reads_back_as_itself(cents: int) -> None:
    assert parse_money(format_money(cents, "USD", "en_US")) == cents


@pytest.mark.parametrize(
    ("cents", "places", "plain"),
    [(1250, 2, "12.50"), (-5, 2, "-0.05"), (0, 2, "0.00"), (1250, 0, "1250"), (-1, 3, "-0.001")],
)
def test_a_plain_amount_has_a_point_and_no_grouping(cents: int, places: int, plain: str) -> None:
    assert money_plain(cents, places) == plain


@pytest.mark.parametrize(
    ("cents", "currency", "locale", "shown"),
    [
        (1250, "USD", "en_US", "$12.50"),
        (125_000_000, "USD", "en-US", "$1,250,000.00"),
        (-1250, "USD", "en_US", "-$12.50"),
        (1250, "JPY", "en_US", "¥1,250"),
        (1234, "KWD", "en_US", "KWD1.234"),
        (123_456, "EUR", "de_DE", "1.234,56\u00a0€"),
        (2**53 * 100 + 1, "USD", "en_US", "$9,007,199,254,740,992.01"),
    ],
)
def test_an_amount_is_shown_as_its_reader_expects(cents: int, currency: str, locale: str, shown: str) -> None:
    assert format_money(cents, currency, locale) == shown


@pytest.mark.parametrize(
    ("cents", "currency", "locale", "shown"),
    [
        (1_234_567, "ALL", "en_US", "ALL12,345.67"),
        (-1250, "SOS", "de_DE", "-12,50\u00a0SOS"),
        (1_234_567, "IQD", "en_US", "IQD1,234.567"),
        (12_345_678_950, "LAK", "lo", "₭123.456.789,50"),
    ],
)
def test_cents_out_of_daily_use_are_still_shown(cents: int, currency: str, locale: str, shown: str) -> None:
    assert get_currency_precision(currency) != currency_places(currency)
    assert format_money(cents, currency, locale) == shown


def test_a_currency_or_locale_nobody_knows_is_refused() -> None:
    with pytest.raises(ValueError, match="QQQ"):
        format_money(1, "QQQ", "en_US")
    with pytest.raises(ValueError, match="usd"):
        currency_places("usd")
    with pytest.raises(ValueError, match="xx_YY"):
        format_money(1, "USD", "xx_YY")


def test_minor_units_follow_the_currency() -> None:
    assert [currency_places(code) for code in ("USD", "EUR", "JPY", "KWD", "ALL")] == [2, 2, 0, 3, 2]


def test_currencies_in_use_are_offered_by_name_and_old_ones_are_not() -> None:
    offered = dict(known_currencies("en_US"))

    assert offered["USD"] == "US Dollar"
    assert offered["EUR"] == "Euro"
    assert "DEM" not in offered
    assert "XAU" not in offered
    assert dict(known_currencies("de"))["USD"] == "US-Dollar"
    assert list(offered) == sorted(offered)


@pytest.mark.parametrize("currency", [code for code, _name in known_currencies()])
def test_every_currency_offered_shows_all_its_minor_units(currency: str) -> None:
    places = currency_places(currency)
    shown = format_money(10**places + 1, currency, "en_US")

    assert "".join(mark for mark in shown if mark.isdigit()) == str(10**places + 1)


@pytest.mark.parametrize(
    ("value", "whole"),
    [("2.4", 2), ("2.5", 3), ("3.5", 4), ("-2.5", -3), ("-2.4", -2), ("0", 0), ("-0.4", 0)],
)
def test_an_exact_half_goes_away_from_zero(value: str, whole: int) -> None:
    assert half_up(Decimal(value)) == whole
    assert half_up(Fraction(value)) == whole


@given(st.fractions())
def test_rounding_moves_a_value_by_half_at_most_and_mirrors_losses(value: Fraction) -> None:
    assert abs(half_up(value) - value) <= Fraction(1, 2)
    assert half_up(-value) == -half_up(value)


@pytest.mark.parametrize("value", ["NaN", "Infinity", "-Infinity"])
def test_what_is_not_a_finite_number_is_not_rounded(value: str) -> None:
    with pytest.raises(ValueError, match="finite"):
        half_up(Decimal(value))


def test_a_binary_fraction_is_not_rounded() -> None:
    with pytest.raises(TypeError, match="Decimal"):
        half_up(2.5)  # type: ignore[arg-type]


@pytest.mark.parametrize(
    ("cents", "percent", "share"),
    [(10_000, 1300, 1300), (999, 1300, 130), (50, 100, 1), (-50, 100, -1), (107, 700, 7)],
)
def test_a_percentage_is_rounded_once_and_half_up(cents: int, percent: int, share: int) -> None:
    assert percent_of(cents, percent) == share


@pytest.mark.parametrize(
    ("cents", "places", "locale", "shown"),
    [
        (123_456, 2, "en_US", "1,234.56"),
        (-5, 2, "en_US", "\u22120.05"),
        (1_234_567, 0, "en_US", "1,234,567"),
        (1_234_567, 3, "de_DE", "1.234,567"),
        (0, 2, "en_US", "0.00"),
    ],
)
def test_an_amount_without_its_sign_is_grouped_as_people_read_it(
    cents: int, places: int, locale: str, shown: str
) -> None:
    assert format_plain_amount(cents, places, locale) == shown
