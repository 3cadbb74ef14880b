"""Corrections of closed months: how a difference is told and shared, what is refused, and how one is struck out."""

from dataclasses import replace
from datetime import date, datetime

import pytest
from hypothesis import given
from hypothesis import strategies as st
from sqlalchemy import event
from sqlalchemy.orm import Session

from app.basics.dates import Month
from app.basics.errors import NotFound, RuleError
from app.basics.striking import AlreadyStruck
from app.costs.actions import add_adjustment, add_cost, strike_adjustment, strike_cost
from app.costs.queries import adjustments, adjustments_of, adjustments_of_row, cost_by_id, count_adjustments
from app.costs.rules import (
    AdjustedPart,
    CorrectableAmount,
    CostKind,
    NewAdjustment,
    NewCost,
    box_of,
    differences,
    require_sound_adjustment,
)
from app.shop.rules import MonthIsClosed
from tests.builders.closing import closed_up_to
from tests.builders.costs import a_cost
from tests.builders.pieces import a_piece

CLOSED = date(2026, 10, 10)
OPEN = date(2026, 11, 20)
OF_A_PIECE = ((7, 1),)


def amount(part: AdjustedPart = AdjustedPart.COST, cents: int = 1_000, **said: object) -> CorrectableAmount:
    return replace(CorrectableAmount(part, "Amount", cents, pieces=OF_A_PIECE), **said)  # type: ignore[arg-type]


def test_a_difference_is_what_it_should_have_been_less_what_it_says_by_now() -> None:
    assert differences(amount(), 1_200) == [(7, AdjustedPart.COST, 200)]
    assert differences(amount(corrected=200), 1_100) == [(7, AdjustedPart.COST, -100)]
    assert differences(amount(corrected=200), 1_200) == []


def test_an_amount_of_the_shop_counts_on_no_piece() -> None:
    assert differences(amount(AdjustedPart.SHOP_COST, pieces=()), 0) == [(None, AdjustedPart.SHOP_COST, -1_000)]


def test_more_taken_off_a_piece_lowers_its_cost() -> None:
    parts = amount(cents=150, is_taken_off=True, is_moved=True)
    assert differences(parts, 200) == [(7, AdjustedPart.COST, -50), (None, AdjustedPart.SHOP_COST, 50)]


def test_what_moved_no_money_is_taken_from_the_shops_own_costs() -> None:
    used = amount(is_moved=True)
    assert differences(used, 1_300) == [(7, AdjustedPart.COST, 300), (None, AdjustedPart.SHOP_COST, -300)]


def test_an_amount_below_zero_is_refused_at_its_box() -> None:
    with pytest.raises(RuleError, match="never below zero") as refusal:
        differences(amount(), -1)
    assert refusal.value.field == box_of(AdjustedPart.COST) == "should_be_cost"


@given(st.integers(0, 10**7), st.integers(0, 10**7), st.lists(st.integers(0, 1_000), min_size=1, max_size=6), st.data())
def test_the_shares_add_up_to_the_difference_and_what_moved_adds_up_to_nothing(
    said: int, should_be: int, weights: list[int], data: st.DataObject
) -> None:
    is_taken_off, is_moved = data.draw(st.booleans()), data.draw(st.booleans())
    pieces = tuple(enumerate(weights, start=1))
    of_many = amount(cents=said, pieces=pieces, is_taken_off=is_taken_off, is_moved=is_moved)
    found = differences(of_many, should_be)
    on_pieces = sum(cents for piece_id, _, cents in found if piece_id is not None)
    assert on_pieces == (said - should_be if is_taken_off else should_be - said)
    assert sum(cents for *_, cents in found) == (0 if is_moved else on_pieces)
    assert all(cents for *_, cents in found)


def new(**said: object) -> NewAdjustment:
    terms: dict[str, object] = {
        "piece_id": None,
        "part": AdjustedPart.SHOP_COST,
        "cents": 100,
        "on_date": OPEN,
        "corrects_table": "cost_line",
        "corrects_id": 1,
        "corrects_on": CLOSED,
        "reason": "misread",
        **said,
    }
    return NewAdjustment(**terms)  # type: ignore[arg-type]


@pytest.mark.parametrize(
    ("said", "words", "field"),
    [
        ({"cents": 0}, "Nothing changes", None),
        ({"corrects_on": date(2026, 11, 1)}, "Strike that row out and enter it again", None),
        ({"piece_id": 3}, "belongs to no piece", None),
        ({"part": AdjustedPart.COST}, "every other amount to one", None),
        ({"on_date": date(2026, 11, 26)}, "has not come yet", "on_date"),
        ({"on_date": date(2023, 12, 31)}, "your books begin", "on_date"),
    ],
)
def test_what_is_no_correction_is_refused(said: dict[str, object], words: str, field: str | None) -> None:
    with pytest.raises(RuleError, match=words) as refusal:
        require_sound_adjustment(
            new(**said), today=date(2026, 11, 25), closed_through=date(2026, 10, 31), books_begin=date(2024, 1, 1)
        )
    assert refusal.value.field == field


def test_nothing_is_corrected_while_no_month_is_closed() -> None:
    with pytest.raises(RuleError, match="a month that is open"):
        require_sound_adjustment(new(), today=OPEN, closed_through=None, books_begin=None)


def test_a_trip_for_no_piece_belongs_to_the_shop() -> None:
    for part in (AdjustedPart.MILEAGE, AdjustedPart.TRIP):
        require_sound_adjustment(new(part=part), today=OPEN, closed_through=CLOSED, books_begin=None)


def test_no_cost_is_entered_in_a_closed_month_or_struck_out_there(session: Session, now: datetime) -> None:
    line = a_cost(session, on_date=CLOSED)
    closed_up_to(session, Month(2026, 10))
    with pytest.raises(MonthIsClosed) as refusal:
        add_cost(session, NewCost(None, CostKind.RENT, 1, CLOSED), capture_id="late", now=now)
    assert refusal.value.field == "on_date"
    with pytest.raises(MonthIsClosed):
        strike_cost(session, line.id, reason="wrong", now=now)
    assert not cost_by_id(session, line.id).is_struck
    assert len(adjustments(session)) == 0


def test_a_correction_is_kept_beside_its_row_and_its_piece(session: Session, now: datetime) -> None:
    piece = a_piece(session)
    line = a_cost(session, piece.id, on_date=CLOSED)
    closed_up_to(session, Month(2026, 10))
    terms = new(piece_id=piece.id, part=AdjustedPart.COST, cents=-250, corrects_id=line.id)
    made = add_adjustment(session, terms, capture_id="one", now=now)
    assert add_adjustment(session, terms, capture_id="one", now=now).id == made.id
    assert count_adjustments(session) == 1
    row = adjustments_of(session, piece.id)[0]
    assert row == adjustments_of_row(session, "cost_line", line.id)[0]
    assert (row.piece_tag, row.part_words, row.row_words, row.cents) == (piece.tag, "Cost of the piece", "Cost", -250)
    assert (cost_by_id(session, line.id).amount_cents, cost_by_id(session, line.id).corrected_cents) == (1250, -250)


def test_a_correction_dated_in_a_closed_month_or_without_a_reason_is_refused(session: Session, now: datetime) -> None:
    line = a_cost(session, on_date=CLOSED)
    closed_up_to(session, Month(2026, 10))
    for said, field in (({"on_date": date(2026, 10, 31)}, "on_date"), ({"reason": " "}, "reason")):
        with pytest.raises(RuleError) as refusal:
            add_adjustment(session, new(corrects_id=line.id, **said), capture_id="one", now=now)
        assert refusal.value.field == field
    assert adjustments(session) == []


def test_a_struck_correction_stays_in_sight_and_counts_no_more(session: Session, now: datetime) -> None:
    line = a_cost(session, on_date=CLOSED)
    closed_up_to(session, Month(2026, 10))
    made = add_adjustment(session, new(corrects_id=line.id), capture_id="one", now=now)
    with pytest.raises(RuleError, match="Say why"):
        strike_adjustment(session, made.id, reason="", now=now)
    strike_adjustment(session, made.id, reason="wrong row", now=now)
    assert [(row.cents, row.struck_reason) for row in adjustments(session)] == [(100, "wrong row")]
    assert cost_by_id(session, line.id).corrected_cents == 0
    with pytest.raises(AlreadyStruck):
        strike_adjustment(session, made.id, reason="again", now=now)
    with pytest.raises(NotFound):
        strike_adjustment(session, 99, reason="wrong", now=now)


def test_a_correction_in_a_month_closed_since_stays(session: Session, now: datetime) -> None:
    line = a_cost(session, on_date=date(2026, 9, 10))
    closed_up_to(session, Month(2026, 9))
    terms = new(corrects_id=line.id, corrects_on=date(2026, 9, 10), on_date=CLOSED)
    made = add_adjustment(session, terms, capture_id="one", now=now)
    closed_up_to(session, Month(2026, 10))
    with pytest.raises(MonthIsClosed):
        strike_adjustment(session, made.id, reason="wrong", now=now)
    assert not adjustments(session)[0].is_struck


def test_more_corrections_take_no_more_queries(session: Session, now: datetime) -> None:
    line = a_cost(session, on_date=CLOSED)
    closed_up_to(session, Month(2026, 10))
    asked: list[str] = []
    event.listen(session.connection(), "before_cursor_execute", lambda *said: asked.append(said[2]))
    counts = []
    for turn in range(2):
        for number in range(5):
            add_adjustment(session, new(corrects_id=line.id), capture_id=f"{turn}-{number}", now=now)
        session.expire_all()
        asked.clear()
        assert len(adjustments(session)) == 5 * (turn + 1)
        counts.append(len(asked))
    assert counts == [1, 1]
