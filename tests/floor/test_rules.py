"""What may be asked, held and taken by a channel."""

from datetime import date, timedelta
from decimal import Decimal
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from app.basics.errors import RuleError
from app.basics.money import half_up
from app.floor.rules import (
    DEFAULT_CHANNELS,
    fee_proposed,
    hold_has_run_out,
    price_after_fees,
    require_asking_price,
    require_listable,
    require_new_price,
    require_sound_channel,
    require_sound_hold,
)
from app.pieces.rules import CannotMove, Leaving, Stage

TODAY = date(2026, 11, 25)
PERCENTS = st.integers(0, 9999)


def test_a_fee_is_the_percentage_rounded_half_up_and_the_fixed_part() -> None:
    assert fee_proposed(240_00, 13_00, 30) == 31_50
    assert fee_proposed(1_50, 3_00, 0) == 5
    assert fee_proposed(1_49, 3_00, 0) == 4
    assert fee_proposed(1, 50_00, 0) == 1


def test_a_fee_proposed_is_never_more_than_the_price() -> None:
    assert fee_proposed(20, 13_00, 30) == 20
    assert fee_proposed(0, 13_00, 30) == 0


@pytest.mark.parametrize("below", [(-1, 0, 0), (1, -1, 0), (1, 0, -1)])
def test_no_fee_is_worked_out_of_amounts_below_zero(below: tuple[int, int, int]) -> None:
    with pytest.raises(ValueError, match="below zero"):
        fee_proposed(*below)


@given(st.integers(0, 10**9), PERCENTS, st.integers(0, 10**6))
def test_a_fee_proposed_lies_between_nothing_and_the_price(price: int, hundredths: int, fixed: int) -> None:
    assert 0 <= fee_proposed(price, hundredths, fixed) <= price


def test_thirteen_means_thirteen_percent() -> None:
    assert price_after_fees(87_00, 13, 0) == 100_00
    assert price_after_fees(87_00, Decimal("13.00"), 0) == 100_00


def test_without_fees_the_price_is_what_is_wanted() -> None:
    assert price_after_fees(123_45, 0, 0) == 123_45
    assert price_after_fees(0, 0, 0) == 0


@given(st.integers(0, 10**8), PERCENTS, st.integers(0, 10**5))
def test_the_price_leaves_what_is_wanted_and_one_cent_less_does_not(wanted: int, hundredths: int, fixed: int) -> None:
    percent = Decimal(hundredths) / 100

    def net(price: int) -> int:
        return price - half_up(Fraction(price * hundredths, 10_000)) - fixed

    price = price_after_fees(wanted, percent, fixed)

    assert net(price) >= wanted
    assert price == 0 or net(price - 1) < wanted


@given(st.integers(1, 10**8), PERCENTS, st.integers(0, 10**5))
def test_the_price_found_also_survives_the_fee_the_sell_page_proposes(wanted: int, hundredths: int, fixed: int) -> None:
    price = price_after_fees(wanted, Decimal(hundredths) / 100, fixed)

    assert price - fee_proposed(price, hundredths, fixed) >= wanted


@pytest.mark.parametrize("percent", [100, 101, Decimal(100), Decimal("NaN"), Decimal("Infinity"), -1])
def test_no_price_survives_a_fee_that_takes_all_or_makes_no_sense(percent: int | Decimal) -> None:
    with pytest.raises(ValueError, match=r"percent|below zero"):
        price_after_fees(10_00, percent, 0)


@pytest.mark.parametrize(("wanted", "fixed"), [(-1, 0), (1, -1)])
def test_no_price_is_worked_out_of_amounts_below_zero(wanted: int, fixed: int) -> None:
    with pytest.raises(ValueError, match="below zero"):
        price_after_fees(wanted, 13, fixed)


def test_a_binary_fraction_is_read_as_it_prints() -> None:
    assert price_after_fees(100_00, 2.9, 30) == price_after_fees(100_00, Decimal("2.9"), 30) == 103_30


def test_the_channels_a_shop_begins_with_are_sound_and_differ() -> None:
    for name, percent, fixed in DEFAULT_CHANNELS:
        require_sound_channel(name, percent or 0, fixed or 0)
        assert (percent, fixed) == (None, None), "what a channel takes is the owner's to say"
        assert name == name.lower()
    assert len({name for name, *_ in DEFAULT_CHANNELS}) == len(DEFAULT_CHANNELS)


@pytest.mark.parametrize(
    ("name", "percent", "fixed", "field"),
    [("", 0, 0, "name"), ("Stall", 100_00, 0, "percent"), ("Stall", -1, 0, "percent"), ("Stall", 0, -1, "fixed")],
)
def test_an_unsound_channel_is_refused_at_its_field(name: str, percent: int, fixed: int, field: str) -> None:
    with pytest.raises(RuleError) as refusal:
        require_sound_channel(name, percent, fixed)
    assert refusal.value.field == field


@pytest.mark.parametrize("stage", [Stage.SOURCED, Stage.PREPPED, Stage.FINISHED])
def test_a_piece_may_be_listed_from_every_stage_before_the_floor(stage: Stage) -> None:
    require_listable(stage, None)


@pytest.mark.parametrize(
    ("stage", "left_as", "words"),
    [
        (Stage.LISTED, None, "listed already"),
        (Stage.SOLD, None, "is sold"),
        (Stage.FINISHED, Leaving.GIVEN_AWAY, "given away"),
    ],
)
def test_what_is_listed_sold_or_gone_cannot_be_listed(stage: Stage, left_as: Leaving | None, words: str) -> None:
    with pytest.raises(CannotMove, match=words):
        require_listable(stage, left_as)


def test_nothing_is_no_asking_price() -> None:
    with pytest.raises(RuleError, match="more than nothing"):
        require_asking_price(0)


@pytest.mark.parametrize(
    ("cents", "on_date", "field"),
    [
        (0, TODAY, "asking"),
        (200_00, TODAY, "asking"),
        (180_00, TODAY + timedelta(days=1), "on_date"),
        (180_00, TODAY - timedelta(days=11), "on_date"),
    ],
)
def test_a_price_that_is_no_change_or_dated_wrong_is_refused(cents: int, on_date: date, field: str) -> None:
    with pytest.raises(RuleError) as refusal:
        require_new_price(cents, 200_00, on_date, TODAY - timedelta(days=10), TODAY)
    assert refusal.value.field == field


def test_a_price_may_change_on_the_day_of_the_last_one_and_today() -> None:
    require_new_price(180_00, 200_00, TODAY - timedelta(days=10), TODAY - timedelta(days=10), TODAY)
    require_new_price(220_00, 200_00, TODAY, TODAY - timedelta(days=10), TODAY)


def test_a_hold_names_somebody_and_a_day_that_is_not_over() -> None:
    require_sound_hold("A. Buyer", TODAY, TODAY)
    with pytest.raises(RuleError) as nobody:
        require_sound_hold("", TODAY, TODAY)
    with pytest.raises(RuleError) as gone_by:
        require_sound_hold("A. Buyer", TODAY - timedelta(days=1), TODAY)
    assert (nobody.value.field, gone_by.value.field) == ("held_for", "until")


def test_a_hold_runs_out_when_its_last_day_is_over() -> None:
    assert not hold_has_run_out(TODAY, TODAY)
    assert hold_has_run_out(TODAY - timedelta(days=1), TODAY)
