"""How far, at what rate, what a trip may be, and what its pieces share."""

from dataclasses import replace
from datetime import date
from decimal import Decimal
from fractions import Fraction
from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st

from app.basics.errors import RuleError
from app.basics.quantities import Units
from app.trips.rules import (
    COUNTS_WORDS,
    PUBLISHED_RATES,
    PURPOSE_WORDS,
    CarFacts,
    CountsAs,
    Distance,
    DistanceUnit,
    OwnRate,
    RateGap,
    ShopRates,
    TripPurpose,
    all_of,
    amount_at,
    charge_of,
    other_hundredths,
    parse_distance,
    parse_rate,
    rate_on,
    rate_plain,
    require_sound,
    require_sound_car,
    require_sound_rate,
    shares_of,
    usual_unit,
)
from tests.builders.trips import KM, MILE, miles, some_rate, some_trip

TODAY = date(2026, 11, 25)
BEGIN = date(2024, 1, 1)
OWN = OwnRate(date(2026, 6, 1), date(2026, 6, 30), 50_00, MILE, "own figure", 1)


def refusal_of(**said: object) -> RuleError:
    with pytest.raises(RuleError) as refused:
        require_sound(some_trip(**said), today=TODAY, books_begin=BEGIN)
    return refused.value


@pytest.mark.parametrize(
    ("typed", "hundredths", "unit"),
    [
        ("12.5", 12_50, MILE),
        (" 1,250 ", 1250_00, MILE),
        ("20 km", 20_00, KM),
        ("20km", 20_00, KM),
        ("7 Miles", 7_00, MILE),
        (".5", 50, MILE),
        ("0", 0, MILE),
        ("999,999.99", 99_999_999, MILE),
    ],
)
def test_a_distance_is_read_as_people_type_it(typed: str, hundredths: int, unit: DistanceUnit) -> None:
    assert parse_distance(typed, MILE) == Distance(hundredths, unit)


@pytest.mark.parametrize(
    ("typed", "words"),
    [
        ("12,5", "with a point"),
        ("NaN", "in plain digits"),
        ("inf", "in plain digits"),
        ("-3", "in plain digits"),
        (".", "in plain digits"),
        ("km", "in plain digits"),
        ("12 leagues", "in plain digits"),
        ("1e3", "in plain digits"),
        ("1.234", "at most 2 digits"),
        ("1000000", "at most 999,999"),
        ("9" * 5000, "in plain digits"),
        ("٣", "in plain digits"),
    ],
)
def test_what_is_no_distance_is_refused_with_words(typed: str, words: str) -> None:
    with pytest.raises(RuleError, match=words):
        parse_distance(typed, MILE)


def test_a_number_alone_is_in_the_owners_unit() -> None:
    assert (usual_unit(Units.IMPERIAL), usual_unit(Units.METRIC)) == (MILE, KM)
    assert parse_distance("12", KM) == Distance(12_00, KM)


@given(st.integers(0, 99_999_999), st.sampled_from(list(DistanceUnit)))
def test_a_distance_shown_reads_back_as_the_same(hundredths: int, unit: DistanceUnit) -> None:
    distance = Distance(hundredths, unit)
    assert parse_distance(distance.words, MILE) == parse_distance(distance.plain, unit) == distance


def test_kilometres_turn_exactly() -> None:
    assert Distance(1_609_344, KM).miles == 10_000
    assert miles(1).exactly_in(KM) == Fraction(1_609_344, 1_000_000)
    assert miles(100).rounded_in(KM) == Distance(160_93, KM)


def test_distances_are_added_before_they_are_rounded() -> None:
    # Each by itself rounds to 0.62 miles, which would make 1.86.
    assert all_of([Distance(1_00, KM)] * 3, MILE) == Distance(1_86, MILE)
    assert all_of([Distance(1_00, KM)] * 8, MILE) == Distance(4_97, MILE)
    assert all_of([], KM) == Distance(0, KM)


def test_an_own_rate_goes_before_the_published_one_on_its_days() -> None:
    assert rate_on(date(2026, 5, 31), [OWN]) == Decimal("72.5")
    assert rate_on(date(2026, 6, 1), [OWN]) == rate_on(date(2026, 6, 30), [OWN]) == Decimal(50)
    assert rate_on(date(2026, 7, 1), [OWN]) == Decimal("72.5")


def test_an_own_rate_for_a_kilometre_is_told_for_a_mile_exactly() -> None:
    assert rate_on(date(2026, 6, 2), [replace(OWN, hundredths=30_00, unit=KM)]) == Decimal("48.28032")


@pytest.mark.parametrize("day", [date(2017, 12, 31), date(2027, 1, 1)])
def test_a_day_without_a_rate_says_what_to_do(day: date) -> None:
    with pytest.raises(RateGap, match=r"No mileage rate is known for .* Trips, Rates, or count the trip") as gap:
        rate_on(day)
    assert (gap.value.field, gap.value.day) == ("on_date", day)


def test_the_published_table_has_no_gap_and_no_day_twice() -> None:
    for earlier, later in pairwise(PUBLISHED_RATES):
        assert (later.from_date - earlier.until_date).days == 1
    assert all(rate.notice for rate in PUBLISHED_RATES)
    assert [rate.source for rate in PUBLISHED_RATES if rate.is_notice_recalled] == [
        "Notice 2019-02 (check this number), IR-2018-251",
        "Notice 2023-03 (check this number), IR-2022-234",
    ]


def test_an_amount_is_rounded_once_half_up() -> None:
    assert amount_at(miles(13), 72_50, MILE) == 9_43
    # 16.09344 km are ten miles: nothing is lost on the way through the other unit.
    assert amount_at(Distance(1609, KM), 100_00, KM) == 16_09
    assert amount_at(miles(10), 100_00, KM) == 16_09
    assert amount_at(Distance(20_00, KM), 72_50, MILE) == 9_01


@given(st.integers(1, 999_999), st.integers(1, 200_00))
def test_an_amount_is_never_more_than_half_a_cent_off(hundredths: int, rate: int) -> None:
    exact = Fraction(hundredths, 100) / Fraction(1_609_344, 1_000_000) * Fraction(rate, 100)
    assert abs(amount_at(Distance(hundredths, KM), rate, MILE) - exact) <= Fraction(1, 2)


@pytest.mark.parametrize(("typed", "places", "hundredths"), [("0.725", 2, 72_50), (".7", 2, 70_00), ("$1", 2, 100_00)])
def test_a_rate_is_typed_as_money(typed: str, places: int, hundredths: int) -> None:
    assert parse_rate(typed, places) == hundredths


@pytest.mark.parametrize("typed", ["0.72512", "0,725", "NaN", "-1", "x"])
def test_what_is_no_rate_is_refused_with_an_example(typed: str) -> None:
    with pytest.raises(RuleError, match=r"like 0\.725\."):
        parse_rate(typed, 2)


def test_a_rate_shows_the_places_of_the_money_at_least() -> None:
    assert [rate_plain(hundredths, 2) for hundredths in (70_00, 72_50, 72_55, 200_00)] == [
        "0.70",
        "0.725",
        "0.7255",
        "2.00",
    ]
    assert [rate_plain(hundredths, 0) for hundredths in (25_00, 25_50)] == ["25", "25.5"]


def test_an_own_rate_may_not_share_a_day_with_another() -> None:
    require_sound_rate(some_rate(date(2026, 7, 1), date(2026, 7, 1)), [OWN])
    for first, last in ((date(2026, 6, 30), date(2026, 7, 9)), (date(2026, 5, 1), date(2026, 6, 1))):
        with pytest.raises(RuleError, match="from 1 June 2026 to 30 June 2026 already") as refused:
            require_sound_rate(some_rate(first, last), [OWN])
        assert refused.value.field == "from_date"


@pytest.mark.parametrize(
    ("wrong", "field"),
    [
        ({"hundredths": 0}, "rate"),
        ({"hundredths": 10_000_001}, "rate"),
        ({"until_date": date(2025, 12, 31)}, "until_date"),
        ({"source": "  "}, "source"),
    ],
)
def test_an_own_rate_that_makes_no_sense_is_refused_at_its_field(wrong: dict[str, object], field: str) -> None:
    with pytest.raises(RuleError) as refused:
        require_sound_rate(replace(some_rate(), **wrong), [])  # type: ignore[arg-type]
    assert refused.value.field == field


def test_a_plain_trip_is_sound() -> None:
    require_sound(some_trip(), today=TODAY, books_begin=BEGIN)
    require_sound(some_trip(on_date=BEGIN), today=TODAY, books_begin=BEGIN)
    require_sound(some_trip(counts_as=CountsAs.ACTUAL, actual_cents=1), today=TODAY, books_begin=None)


@pytest.mark.parametrize(
    ("wrong", "field"),
    [
        ({"purpose_words": ""}, "purpose_words"),
        ({"from_place": ""}, "from_place"),
        ({"to_place": ""}, "to_place"),
        ({"distance": miles(0)}, "distance"),
        ({"distance": miles(10_000)}, "distance"),
        ({"actual_cents": 1}, "actual"),
        ({"counts_as": CountsAs.ACTUAL, "actual_cents": 5, "extra_cents": 1}, "extra"),
        ({"counts_as": CountsAs.ACTUAL}, "actual"),
        ({"on_date": date(2026, 11, 26)}, "on_date"),
        ({"on_date": date(2023, 12, 31)}, "on_date"),
        ({"piece_ids": tuple(range(61))}, "pieces"),
    ],
)
def test_a_trip_that_lacks_something_is_refused_at_its_field(wrong: dict[str, object], field: str) -> None:
    assert refusal_of(**wrong).field == field


def test_a_trip_costs_its_rate_with_tolls_or_what_it_really_cost() -> None:
    rates = ShopRates()
    assert charge_of(some_trip(extra_cents=3_50), rates).cents == 14_50 + 3_50
    actual = charge_of(some_trip(counts_as=CountsAs.ACTUAL, actual_cents=45_00), rates)
    assert (actual.cents, actual.rate_hundredths, actual.rate_unit) == (45_00, None, None)


def test_a_trip_at_actual_cost_needs_no_rate() -> None:
    nowhere = ShopRates(published=())
    assert charge_of(some_trip(counts_as=CountsAs.ACTUAL, actual_cents=45_00), nowhere).cents == 45_00
    with pytest.raises(RateGap):
        charge_of(some_trip(), nowhere)


@given(st.integers(0, 10_000_000), st.lists(st.integers(0, 1_000_000), min_size=1, max_size=12))
def test_the_shares_always_add_up_to_the_trip(cents: int, weights: list[int]) -> None:
    assert sum(shares_of(cents, weights)) == cents


def test_pieces_that_cost_nothing_share_equally_and_none_share_nothing() -> None:
    assert shares_of(1_00, [0, 0, 0]) == [34, 33, 33]
    assert shares_of(1_00, []) == []


def test_the_rest_of_the_cars_year_is_neither_business_nor_commuting() -> None:
    facts = CarFacts(2026, MILE, 9000_00, 1000_00)
    assert other_hundredths(facts, miles(1250)) == 6750_00
    require_sound_car(facts, miles(8000), today=TODAY)
    with pytest.raises(RuleError, match=r"8,000\.01 mi of business in 2026") as refused:
        require_sound_car(facts, miles(8000.01), today=TODAY)
    assert refused.value.field == "total"


@pytest.mark.parametrize(
    ("facts", "field", "words"),
    [
        (CarFacts(2027, MILE, 1, 0), None, "has not come yet"),
        (CarFacts(2026, MILE, 1, 0, date(2026, 11, 26)), "in_service_on", "has not come yet"),
        (CarFacts(2025, MILE, 1, 0, date(2026, 1, 1)), "in_service_on", "ran nothing in 2025"),
    ],
)
def test_a_cars_year_that_cannot_be_is_refused(facts: CarFacts, field: str | None, words: str) -> None:
    with pytest.raises(RuleError, match=words) as refused:
        require_sound_car(facts, miles(0), today=TODAY)
    assert refused.value.field == field


def test_every_purpose_and_every_way_to_count_has_its_words() -> None:
    assert set(PURPOSE_WORDS) == set(TripPurpose)
    assert set(COUNTS_WORDS) == set(CountsAs)
