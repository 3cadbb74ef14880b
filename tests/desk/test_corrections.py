"""Rows of closed months corrected: which amounts, on whose account, how corrections add up, and what is refused."""

from collections.abc import Callable
from datetime import date, datetime

import pytest
from sqlalchemy import select
from sqlalchemy.orm import Session

from app.basics.dates import Month
from app.basics.errors import NotFound, RuleError
from app.costs.models import Adjustment
from app.costs.queries import adjustments
from app.desk.actions import strike_correction, strike_find
from app.desk.queries import row_to_correct
from app.pieces.actions import leave, split_off
from app.pieces.models import LeavingRow, Piece, Purchase
from app.pieces.queries import haul_sheet
from app.pieces.rules import Leaving, SplitPart
from app.shop.rules import MonthIsClosed
from app.trips.rules import TripPurpose
from tests.builders.closing import a_correction, closed_up_to
from tests.builders.costs import a_cost
from tests.builders.pieces import NOW, a_haul, a_piece, an_owned_piece
from tests.builders.rows import (
    a_deposit,
    a_deposit_end,
    a_refund,
    a_shelf_count,
    a_shelf_purchase,
    a_shelf_use,
    a_trip,
    a_write_down,
    struck,
)
from tests.builders.sales import a_return, a_sale

DAY = date(2026, 10, 10)
OCTOBER = Month(2026, 10)
PAIR = (SplitPart("", 1, 1), SplitPart("", 1, 1))


def made(rows: list[Adjustment]) -> list[tuple[int | None, str, int]]:
    """Piece, part and cents of corrections."""
    return [(row.piece_id, row.part.value, row.cents) for row in rows]


def closed(session: Session) -> None:
    closed_up_to(session, OCTOBER)


def test_a_purchase_is_corrected_as_a_whole_and_corrections_add_up(session: Session, now: datetime) -> None:
    piece = a_piece(session, price_cents=4_000, premium_cents=400, tax_cents=300, bought_on=DAY)
    purchase = session.scalars(select(Purchase)).one()
    closed(session)
    assert made(a_correction(session, "purchase", purchase.id, cost=5_000)) == [(piece.id, "cost", 300)]
    later = a_correction(session, "purchase", purchase.id, cost=4_500, now=now.replace(minute=31))
    assert made(later) == [(piece.id, "cost", -500)]
    sheet = row_to_correct(session, "purchase", purchase.id)
    assert [(amount.cents, amount.corrected, amount.now) for amount in sheet.amounts] == [(4_700, -200, 4_500)]
    assert [row.cents for row in sheet.earlier] == [-500, 300]
    assert (purchase.price_cents, purchase.struck_at) == (4_000, None)
    assert {(row.corrects_table, row.corrects_id, row.corrects_on) for row in later} == {("purchase", purchase.id, DAY)}


def test_what_was_owned_at_the_start_moves_no_money_when_corrected(session: Session) -> None:
    piece = an_owned_piece(session, cost_cents=2_500)
    closed_up_to(session, Month(2024, 1))
    purchase = session.scalars(select(Purchase)).one()
    assert made(a_correction(session, "purchase", purchase.id, opening=0)) == [(piece.id, "opening", -2_500)]


def test_one_share_of_a_haul_is_corrected_by_itself(session: Session) -> None:
    haul = a_haul(session, bought_on=DAY)
    closed(session)
    share = haul_sheet(session, haul.id).shares[1]
    found = a_correction(session, "purchase", share.purchase.id, cost=3_000)
    assert made(found) == [(share.piece.id, "cost", 3_000 - share.purchase.total_cents)]
    assert haul_sheet(session, haul.id).total_cents == haul.price_cents


def test_a_cost_counts_on_its_piece_or_on_the_shop(session: Session) -> None:
    piece = a_piece(session, bought_on=DAY)
    on_piece, of_shop = a_cost(session, piece.id, on_date=DAY), a_cost(session, on_date=DAY)
    closed(session)
    assert made(a_correction(session, "cost_line", on_piece.id, cost=1_000)) == [(piece.id, "cost", -250)]
    assert made(a_correction(session, "cost_line", of_shop.id, shop_cost=1_500)) == [(None, "shop_cost", 250)]


def test_each_amount_of_a_sale_is_corrected_by_itself(session: Session) -> None:
    piece = a_piece(session, bought_on=DAY)
    sale = a_sale(session, piece, sold_on=DAY, price_cents=20_000, fees_cents=600, tax_cents=1_600)
    closed(session)
    found = a_correction(session, "sale", sale.id, price=21_000, fees=500, tax=1_600, delivery_paid=900)
    assert made(found) == [(piece.id, "price", 1_000), (piece.id, "delivery_paid", 900), (piece.id, "fees", -100)]


def test_each_amount_a_return_gave_back_is_corrected_by_itself(session: Session) -> None:
    piece = a_piece(session, bought_on=DAY)
    sale = a_sale(session, piece, sold_on=DAY, price_cents=20_000, fees_cents=600, tax_cents=1_600)
    back = a_return(session, sale, returned_on=DAY, refund_cents=20_000, tax_refunded_cents=1_600, fees_back_cents=300)
    closed(session)
    found = a_correction(session, "sale_return", back.id, refund=19_000, tax=1_500, fees=350, delivery_paid=200)
    assert made(found) == [
        (piece.id, "refund", -1_000),
        (piece.id, "tax", -100),
        (piece.id, "fees", 50),
        (piece.id, "delivery_paid", 200),
    ]
    sheet = row_to_correct(session, "sale_return", back.id)
    assert [amount.now for amount in sheet.amounts] == [19_000, 1_500, 350, 200]


def test_a_refund_in_part_is_corrected_like_a_return(session: Session) -> None:
    piece = a_piece(session, bought_on=DAY)
    refund = a_refund(session, a_sale(session, piece, sold_on=DAY), DAY)
    closed(session)
    found = a_correction(session, "sale_refund", refund.id, refund=1_200, tax=100, fees=0)
    assert made(found) == [(piece.id, "refund", 200), (piece.id, "tax", 20), (piece.id, "fees", -30)]


def test_what_was_bought_for_the_shelf_is_a_cost_of_the_shop(session: Session) -> None:
    a_piece(session, bought_on=DAY)
    bought = a_shelf_purchase(session, DAY, cents=2_000, tax=160)
    closed(session)
    assert made(a_correction(session, "shelf_purchase", bought.id, shop_cost=2_300)) == [(None, "shop_cost", 140)]


def test_a_use_and_parts_taken_off_move_cost_between_the_piece_and_the_shop(session: Session) -> None:
    piece = a_piece(session, bought_on=DAY)
    use, parts = a_shelf_use(session, DAY, piece, cents=300), a_shelf_purchase(session, DAY, cents=500, piece=piece)
    closed(session)
    assert made(a_correction(session, "shelf_use", use.id, cost=450)) == [
        (piece.id, "cost", 150),
        (None, "shop_cost", -150),
    ]
    assert made(a_correction(session, "shelf_purchase", parts.id, cost=800)) == [
        (piece.id, "cost", -300),
        (None, "shop_cost", 300),
    ]
    assert row_to_correct(session, "shelf_use", use.id).amounts[0].now == 450
    assert row_to_correct(session, "shelf_purchase", parts.id).amounts[0].now == 800


def test_a_trip_at_the_rate_is_shared_over_its_pieces_to_the_cent(session: Session) -> None:
    pieces = tuple(a_piece(session, bought_on=DAY) for _ in range(3))
    trip = a_trip(session, DAY, pieces, charged=1_200, extra=200)
    closed(session)
    found = made(a_correction(session, "trip", trip.id, mileage=1_100, trip=190))
    assert [one for one in found if one[1] == "mileage"] == [
        (pieces[0].id, "mileage", 34),
        (pieces[1].id, "mileage", 33),
        (pieces[2].id, "mileage", 33),
    ]
    assert sum(cents for _, part, cents in found if part == "trip") == -10
    assert [amount.now for amount in row_to_correct(session, "trip", trip.id).amounts] == [1_100, 190]


@pytest.mark.parametrize(
    ("purpose", "pieces", "part"),
    [(TripPurpose.FETCH, 1, "cost"), (TripPurpose.DELIVER, 1, "trip"), (TripPurpose.SUPPLIES, 0, "shop_cost")],
)
def test_a_trip_at_actual_cost_is_corrected_where_it_counted(
    session: Session,
    purpose: TripPurpose,
    pieces: int,
    part: str,
) -> None:
    piece = a_piece(session, bought_on=DAY)
    trip = a_trip(session, DAY, (piece,)[:pieces], purpose=purpose, is_actual=True)
    closed(session)
    found = a_correction(session, "trip", trip.id, **{part: 1_500})  # type: ignore[arg-type]
    assert made(found) == [(piece.id if pieces else None, part, 500)]


def test_a_trip_for_no_piece_belongs_to_the_shop(session: Session) -> None:
    a_piece(session, bought_on=DAY)
    trip = a_trip(session, DAY, charged=1_200, extra=200)
    closed(session)
    found = a_correction(session, "trip", trip.id, mileage=900, shop_cost=300)
    assert made(found) == [(None, "mileage", -100), (None, "shop_cost", 100)]


STANDING: dict[str, Callable[[Session, Piece], object]] = {
    "transfer": lambda session, piece: split_off(
        session, piece.id, PAIR, cents=4_000, minutes=0, on_date=DAY, version=None, now=NOW
    ),
    "deposit": lambda session, piece: a_deposit(session, piece, DAY),
    "deposit_end": lambda session, piece: a_deposit_end(session, a_deposit(session, piece, DAY), DAY),
    "shelf_count": lambda session, _piece: a_shelf_count(session, DAY),
    "write_down": lambda session, piece: a_write_down(session, piece, DAY),
    "shelf_use": lambda session, _piece: a_shelf_use(session, DAY, None),
    "leaving": lambda session, piece: leave(
        session, piece.id, Leaving.KEPT, on_date=DAY, reason="", version=None, now=NOW
    ),
}


@pytest.mark.parametrize("table", list(STANDING))
def test_a_row_without_an_amount_says_what_is_done_instead(session: Session, table: str) -> None:
    piece = a_piece(session, count=2, bought_on=DAY)
    STANDING[table](session, piece)
    closed(session)
    assert row_to_correct(session, table, 1).amounts == ()
    with pytest.raises(RuleError) as refusal:
        a_correction(session, table, 1, cost=1)
    assert refusal.value.message == row_to_correct(session, table, 1).cannot != ""


def test_a_row_of_an_open_month_is_struck_out_instead(session: Session) -> None:
    a_piece(session, bought_on=DAY)
    closed(session)
    line = a_cost(session, on_date=date(2026, 11, 3))
    with pytest.raises(RuleError, match="in a month that is open"):
        a_correction(session, "cost_line", line.id, shop_cost=1)
    assert adjustments(session) == []


def test_a_struck_row_is_not_corrected(session: Session, now: datetime) -> None:
    line = a_cost(session, on_date=DAY)
    line.struck_at, line.struck_reason = now, "twice"
    a_piece(session, bought_on=DAY)
    closed(session)
    with pytest.raises(RuleError, match="struck out and counts for nothing: twice"):
        a_correction(session, "cost_line", line.id, shop_cost=1)


@pytest.mark.parametrize(
    ("said", "words", "field"),
    [
        ({"shop_cost": 1_250}, "Nothing changes", None),
        ({}, "Nothing changes", None),
        ({"price": 5}, "Nothing changes", None),
        ({"shop_cost": -1}, "never below zero", "should_be_shop_cost"),
        ({"shop_cost": 1, "reason": "  "}, "Say what was wrong", "reason"),
        ({"shop_cost": 1, "on_date": date(2026, 11, 26)}, "has not come yet", "on_date"),
        ({"shop_cost": 1, "on_date": DAY}, "is closed", "on_date"),
        ({"shop_cost": 1, "capture_id": "x" * 40}, "lost its number", None),
    ],
)
def test_what_corrects_nothing_or_is_dated_wrong_is_refused_and_nothing_is_written(
    session: Session, said: dict[str, object], words: str, field: str | None
) -> None:
    line = a_cost(session, on_date=DAY)
    closed(session)
    with pytest.raises(RuleError, match=words) as refusal, session.begin_nested():
        a_correction(session, "cost_line", line.id, **said)  # type: ignore[arg-type]
    assert refusal.value.field == field
    assert adjustments(session) == []


@pytest.mark.parametrize(("table", "row_id"), [("cost_line", 99), ("piece", 1), ("shop", 1), ("x", 1), ("trip", 1)])
def test_a_row_that_is_not_there_is_not_found(session: Session, table: str, row_id: int) -> None:
    a_piece(session)
    with pytest.raises(NotFound):
        row_to_correct(session, table, row_id)


def test_a_correction_struck_out_takes_what_was_entered_with_it(session: Session, now: datetime) -> None:
    piece = a_piece(session, bought_on=DAY)
    use = a_shelf_use(session, DAY, piece, cents=300)
    closed(session)
    first = a_correction(session, "shelf_use", use.id, cost=450)
    second = a_correction(session, "shelf_use", use.id, cost=500, now=now.replace(minute=31))
    assert [row.id for row in strike_correction(session, first[1].id, reason="wrong row", now=now)] == [
        row.id for row in first
    ]
    assert row_to_correct(session, "shelf_use", use.id).amounts[0].now == 350
    assert all(row.struck_at is None for row in second)


def test_a_correction_that_a_later_one_stands_on_is_struck_out_after_it(session: Session, now: datetime) -> None:
    line = a_cost(session, on_date=DAY)
    closed(session)
    first = a_correction(session, "cost_line", line.id, shop_cost=3_000)
    second = a_correction(session, "cost_line", line.id, shop_cost=100, now=now.replace(minute=31))
    with pytest.raises(RuleError, match="Strike that out first"), session.begin_nested():
        strike_correction(session, first[0].id, reason="wrong", now=now)
    strike_correction(session, second[0].id, reason="wrong", now=now)
    strike_correction(session, first[0].id, reason="wrong", now=now)
    assert row_to_correct(session, "cost_line", line.id).amounts[0].now == 1_250


STANDS_IN_THE_WAY: dict[str, Callable[[Session, Piece], object]] = {
    "Materials from the shelf": lambda session, piece: a_shelf_use(session, DAY, piece),
    "Parts of it went to the shelf": lambda session, piece: a_shelf_purchase(session, DAY, piece=piece),
    "Trips were made for it": lambda session, piece: a_trip(session, DAY, (piece,)),
    "A deposit was taken": lambda session, piece: a_deposit(session, piece, DAY),
    "It was written down": lambda session, piece: a_write_down(session, piece, DAY),
}


@pytest.mark.parametrize("words", list(STANDS_IN_THE_WAY))
def test_a_find_on_which_rows_of_other_rooms_count_is_not_struck_out(
    session: Session, now: datetime, words: str
) -> None:
    piece = a_piece(session, bought_on=DAY)
    row = STANDS_IN_THE_WAY[words](session, piece)
    with pytest.raises(RuleError, match=words):
        strike_find(session, piece.id, reason="twice", version=None, now=now)
    struck(row)  # type: ignore[arg-type]
    session.flush()
    strike_find(session, piece.id, reason="twice", version=None, now=now)


def test_a_find_bought_in_a_closed_month_is_not_struck_out(session: Session, now: datetime) -> None:
    piece = a_piece(session, bought_on=DAY)
    closed(session)
    with pytest.raises(MonthIsClosed):
        strike_find(session, piece.id, reason="twice", version=None, now=now)
    assert session.scalar(select(LeavingRow.id)) is None
