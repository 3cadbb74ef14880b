"""What a sale and a return may say."""

from dataclasses import replace
from datetime import date, timedelta

import pytest

from app.basics.errors import RuleError
from app.pieces.rules import CannotMove, Leaving, Stage
from app.sales.rules import (
    AlreadySold,
    NewReturn,
    NewSale,
    SaleMoney,
    net_of_sale,
    require_sellable,
    require_sound_return,
    require_sound_sale,
    require_standing_sale,
)

TODAY = date(2026, 11, 25)
FOUND_ON = date(2026, 9, 1)
FINISHED_ON = date(2026, 10, 20)
SALE = NewSale(
    piece_id=1,
    sold_on=date(2026, 11, 20),
    channel_id=None,
    price_cents=240_00,
    delivery_charged_cents=25_00,
    delivery_paid_cents=18_00,
    fees_cents=31_20,
    tax_cents=19_80,
)
MONEY = SaleMoney(
    sold_on=SALE.sold_on,
    price_cents=240_00,
    delivery_charged_cents=25_00,
    delivery_paid_cents=18_00,
    fees_cents=31_20,
    tax_cents=19_80,
)
COMES_BACK = NewReturn(
    sale_id=1,
    returned_on=date(2026, 11, 23),
    refund_cents=265_00,
    tax_refunded_cents=19_80,
    fees_back_cents=31_20,
    delivery_back_cents=18_00,
    reason="Did not fit the room",
)


def require(new: NewSale) -> None:
    require_sound_sale(new, sourced_on=FOUND_ON, last_step_on=FINISHED_ON, today=TODAY)


def refused_field(new: NewSale) -> str | None:
    with pytest.raises(RuleError) as refusal:
        require(new)
    return refusal.value.field


def refused_return_field(new: NewReturn) -> str | None:
    with pytest.raises(RuleError) as refusal:
        require_sound_return(new, MONEY, TODAY)
    return refusal.value.field


def test_what_a_sale_leaves_is_without_the_sales_tax() -> None:
    assert net_of_sale(240_00, 25_00, 18_00, 31_20) == 215_80
    assert net_of_sale(10_00, 0, 40_00, 0) == -30_00


@pytest.mark.parametrize("stage", [Stage.SOURCED, Stage.PREPPED, Stage.FINISHED, Stage.LISTED])
def test_a_piece_may_be_sold_from_any_stage(stage: Stage) -> None:
    require_sellable(stage, None)


def test_a_sold_piece_cannot_be_sold_again() -> None:
    with pytest.raises(AlreadySold):
        require_sellable(Stage.SOLD, None)


def test_a_piece_that_left_cannot_be_sold() -> None:
    with pytest.raises(CannotMove, match="scrapped"):
        require_sellable(Stage.FINISHED, Leaving.SCRAPPED)


def test_a_sale_may_lie_on_the_day_of_the_last_step_and_today() -> None:
    require(replace(SALE, sold_on=FINISHED_ON))
    require(replace(SALE, sold_on=TODAY))


@pytest.mark.parametrize(
    "sold_on",
    [TODAY + timedelta(days=1), FINISHED_ON - timedelta(days=1), FOUND_ON - timedelta(days=1)],
)
def test_a_sale_in_the_future_before_the_find_or_before_the_last_step_is_refused(sold_on: date) -> None:
    assert refused_field(replace(SALE, sold_on=sold_on)) == "sold_on"


def test_the_find_is_named_when_a_sale_lies_before_it() -> None:
    with pytest.raises(RuleError, match="the day the piece was found, 1 September 2026"):
        require(replace(SALE, sold_on=FOUND_ON - timedelta(days=1)))


def test_a_sale_for_nothing_is_no_sale() -> None:
    assert refused_field(replace(SALE, price_cents=0)) == "price"


def test_fees_may_take_everything_taken_in_and_not_a_cent_more() -> None:
    require(replace(SALE, fees_cents=265_00))
    assert refused_field(replace(SALE, fees_cents=265_01)) == "fees"


def test_sales_tax_may_be_as_much_as_what_was_taken_in_and_not_a_cent_more() -> None:
    require(replace(SALE, tax_cents=265_00))
    assert refused_field(replace(SALE, tax_cents=265_01)) == "tax"


def test_delivery_may_cost_more_than_the_piece_brought() -> None:
    require(replace(SALE, delivery_paid_cents=900_00))


@pytest.mark.parametrize(
    ("amount", "field"),
    [
        ("price_cents", "price"),
        ("delivery_charged_cents", "delivery_charged"),
        ("delivery_paid_cents", "delivery_paid"),
        ("fees_cents", "fees"),
        ("tax_cents", "tax"),
    ],
)
def test_no_amount_of_a_sale_is_below_zero(amount: str, field: str) -> None:
    assert refused_field(replace(SALE, **{amount: -1})) == field  # type: ignore[arg-type]


def test_everything_a_sale_brought_may_be_given_back() -> None:
    require_sound_return(COMES_BACK, MONEY, TODAY)


@pytest.mark.parametrize(
    ("amount", "most", "field"),
    [
        ("refund_cents", 265_00, "refund"),
        ("tax_refunded_cents", 19_80, "tax_refunded"),
        ("fees_back_cents", 31_20, "fees_back"),
        ("delivery_back_cents", 18_00, "delivery_back"),
    ],
)
def test_a_return_gives_back_no_more_than_the_sale_brought(amount: str, most: int, field: str) -> None:
    assert refused_return_field(replace(COMES_BACK, **{amount: most + 1})) == field  # type: ignore[arg-type]
    assert refused_return_field(replace(COMES_BACK, **{amount: -1})) == field  # type: ignore[arg-type]


@pytest.mark.parametrize("on", [SALE.sold_on - timedelta(days=1), TODAY + timedelta(days=1)])
def test_a_return_lies_between_the_sale_and_today(on: date) -> None:
    assert refused_return_field(replace(COMES_BACK, returned_on=on)) == "returned_on"


def test_a_return_may_lie_on_the_day_of_the_sale() -> None:
    require_sound_return(replace(COMES_BACK, returned_on=SALE.sold_on), MONEY, TODAY)


def test_a_return_says_why() -> None:
    assert refused_return_field(replace(COMES_BACK, reason="  ")) == "reason"


@pytest.mark.parametrize("stage", [Stage.LISTED, Stage.SOLD])
def test_a_piece_does_not_come_back_onto_the_floor_or_as_sold(stage: Stage) -> None:
    assert refused_return_field(replace(COMES_BACK, to_stage=stage)) == "to_stage"


def test_only_a_sale_that_stands_and_did_not_come_back_can_be_struck_out() -> None:
    require_standing_sale(is_struck=False, is_returned=False, is_refunded=False)
    with pytest.raises(RuleError, match="struck out already"):
        require_standing_sale(is_struck=True, is_returned=False, is_refunded=False)
    with pytest.raises(RuleError, match="Strike out the return first"):
        require_standing_sale(is_struck=False, is_returned=True, is_refunded=False)
