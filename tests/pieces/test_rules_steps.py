"""A piece's steps: which stand, since when it is where it is, time in each stage, dates in order."""

from datetime import UTC, date, datetime, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from app.basics.errors import RuleError
from app.pieces.rules import (
    Stage,
    StageTime,
    StepKind,
    StepRow,
    field_of,
    last_standing,
    require_dates_in_order,
    require_found_before,
    stage_since,
    standing_steps,
    step_label,
    time_in_stages,
)

MADE = datetime(2026, 1, 1, tzinfo=UTC)
TODAY = date(2026, 3, 31)


def march(day: int) -> date:
    return date(2026, 3, day)


def steps(*rows: tuple[StepKind, Stage, Stage, int]) -> list[StepRow]:
    return [
        StepRow(number, kind, None if kind is StepKind.START else before, after, march(day), "", MADE)
        for number, (kind, before, after, day) in enumerate(rows, start=1)
    ]


S, P, F, L, X = Stage
START = (StepKind.START, S, S, 1)


def test_a_find_is_sourced_since_it_was_found() -> None:
    assert stage_since(steps(START)) == march(1)


def test_a_struck_sale_leaves_no_trace_in_what_stands() -> None:
    rows = steps(START, (StepKind.FORWARD, S, P, 5), (StepKind.SALE, P, X, 9), (StepKind.SALE_STRUCK, X, P, 20))
    assert [row.kind for row in standing_steps(rows)] == [StepKind.START, StepKind.FORWARD]
    assert stage_since(rows) == march(5)
    assert last_standing(rows).on_date == march(5)


def test_a_sale_struck_to_another_stage_stays_as_a_step() -> None:
    rows = steps(START, (StepKind.FORWARD, S, L, 5), (StepKind.SALE, L, X, 9), (StepKind.SALE_STRUCK, X, F, 20))
    assert [row.kind for row in standing_steps(rows)][-1] is StepKind.SALE_STRUCK
    assert stage_since(rows) == march(20)


def test_a_struck_return_leaves_the_sale_standing() -> None:
    rows = steps(START, (StepKind.SALE, S, X, 9), (StepKind.RETURN, X, F, 12), (StepKind.RETURN_STRUCK, F, X, 14))
    assert [row.kind for row in standing_steps(rows)] == [StepKind.START, StepKind.SALE]
    assert stage_since(rows) == march(9)


def test_leaving_does_not_change_the_stage_but_coming_back_begins_it_anew() -> None:
    out = steps(START, (StepKind.FORWARD, S, P, 5), (StepKind.OUT, P, P, 10))
    assert stage_since(out) == march(5)
    back = steps(START, (StepKind.FORWARD, S, P, 5), (StepKind.OUT, P, P, 10), (StepKind.IN_AGAIN, P, P, 20))
    assert stage_since(back) == march(20)


def test_time_in_stages_counts_each_spell_and_neither_time_sold_nor_time_away() -> None:
    rows = steps(
        START,
        (StepKind.FORWARD, S, P, 4),  # 3 days sourced
        (StepKind.BACK, P, S, 6),  # 2 days prepped
        (StepKind.OUT, S, S, 7),  # 1 day sourced
        (StepKind.IN_AGAIN, S, S, 10),  # 3 days away
        (StepKind.SALE, S, X, 12),  # 2 days sourced
        (StepKind.RETURN, X, F, 20),  # 8 days sold
    )
    assert time_in_stages(rows, TODAY) == [
        StageTime(S, 6, is_now=False),
        StageTime(P, 2, is_now=False),
        StageTime(F, 11, is_now=True),
    ]


def test_a_step_of_a_day_to_come_counts_no_days_yet() -> None:
    # A shop that moved its clock west finds its newest steps dated tomorrow for some hours.
    assert time_in_stages(steps(START, (StepKind.FORWARD, S, P, 9)), march(8)) == [
        StageTime(S, 8, is_now=False),
        StageTime(P, 0, is_now=True),
    ]


def test_a_piece_that_is_gone_is_at_no_stage_now() -> None:
    assert time_in_stages(steps(START, (StepKind.OUT, S, S, 9)), TODAY) == [StageTime(S, 8, is_now=False)]
    assert time_in_stages(steps(START, (StepKind.SALE, S, X, 9)), TODAY) == [StageTime(S, 8, is_now=False)]


@given(st.lists(st.tuples(st.sampled_from([S, P, F]), st.integers(0, 40)), min_size=1, max_size=12))
def test_time_in_stages_adds_up_to_the_days_since_the_find(walk: list[tuple[Stage, int]]) -> None:
    day = date(2025, 1, 1)
    rows: list[StepRow] = []
    for number, (stage, gap) in enumerate(walk, start=1):
        day += timedelta(days=gap if number > 1 else 0)
        rows.append(StepRow(number, StepKind.FORWARD if rows else StepKind.START, None, stage, day, "", MADE))
    today = day + timedelta(days=3)
    assert sum(spell.days for spell in time_in_stages(rows, today)) == (today - rows[0].on_date).days


WALK = steps(START, (StepKind.FORWARD, S, P, 5), (StepKind.FORWARD, P, F, 9), (StepKind.SALE, F, X, 20))


def test_dates_in_order_are_put_in() -> None:
    new = require_dates_in_order(WALK, {1: march(2), 2: march(2), 3: march(20)}, march(2), TODAY)
    assert [step.on_date for step in new] == [march(2), march(2), march(20), march(20)]


@pytest.mark.parametrize(
    ("new_dates", "sourced_on", "field", "words"),
    [
        ({2: march(10)}, march(1), "step_3", "before the step it follows"),
        ({3: march(21)}, march(1), "step_3", "before the step it follows"),
        ({2: date(2026, 4, 1)}, march(1), "step_2", "has not come yet"),
        ({}, march(2), "sourced_on", "its first step"),
        ({}, date(2026, 4, 2), "sourced_on", "has not come yet"),
        ({4: march(19)}, march(1), "step_4", "belongs to a listing, a sale or a return"),
    ],
)
def test_dates_that_cannot_be_are_refused_at_their_field(
    new_dates: dict[int, date], sourced_on: date, field: str, words: str
) -> None:
    with pytest.raises(RuleError, match=words) as refusal:
        require_dates_in_order(WALK, new_dates, sourced_on, TODAY)
    assert refusal.value.field == field


def test_a_step_of_a_listing_is_not_dated_by_hand() -> None:
    listed = steps(START, (StepKind.FORWARD, S, L, 5), (StepKind.BACK, L, F, 9))
    assert [step.is_dated_by_hand for step in listed] == [False, False, False]


def test_coming_back_is_dated_by_hand_even_after_leaving_from_the_floor() -> None:
    gone = steps(START, (StepKind.FORWARD, S, L, 5), (StepKind.OUT, L, L, 9), (StepKind.IN_AGAIN, L, F, 12))
    assert [step.is_dated_by_hand for step in gone] == [False, False, False, True]


def test_a_find_after_a_split_is_refused() -> None:
    require_found_before(march(3), None, "the day it was split")
    require_found_before(march(3), march(3), "the day it was split")
    with pytest.raises(RuleError, match="the day it was split, 2 March 2026"):
        require_found_before(march(3), march(2), "the day it was split")


def test_steps_are_labelled_in_plain_words() -> None:
    rows = steps(
        (StepKind.FORWARD, S, P, 1), (StepKind.BACK, P, S, 2), (StepKind.OUT, S, S, 3), (StepKind.IN_AGAIN, S, S, 4)
    )
    assert [step_label(row) for row in rows] == ["Prepped on", "Back to sourced on", "Left on", "Came back on"]
    assert field_of(rows[0]) == "step_1"
