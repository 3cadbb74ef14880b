"""What the desk decides by itself."""

from dataclasses import dataclass
from datetime import UTC, date, datetime, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from app.basics.dates import known_zone
from app.basics.errors import RuleError
from app.desk.rules import (
    COMMON_ZONES,
    LIKELY_WORK,
    SplitBy,
    WishedPart,
    latest_first,
    likely_activity,
    rail_stops,
    step_words,
    weighed_parts,
    zones_to_choose,
)
from app.pieces.rules import Leaving, Stage, StepKind, StepRow
from app.timelog.rules import Activity

START = datetime(2026, 11, 1, 12, tzinfo=UTC)
SOURCED, PREPPED, FINISHED, LISTED, SOLD = Stage


def steps(*moves: tuple[StepKind, Stage | None, Stage, int]) -> list[StepRow]:
    """Steps dated by days after the first of November."""
    return [
        StepRow(number, kind, before, after, date(2026, 11, 1) + timedelta(days=days), "", START + timedelta(days=days))
        for number, (kind, before, after, days) in enumerate(moves, start=1)
    ]


BEGUN = (StepKind.START, None, SOURCED, 0)


def states(
    stage: Stage, *moves: tuple[StepKind, Stage | None, Stage, int], left_as: Leaving | None = None
) -> list[str]:
    return [stop.state for stop in rail_stops(stage, left_as, steps(BEGUN, *moves))]


def test_a_fresh_find_is_at_its_first_stage_with_all_others_ahead() -> None:
    assert states(SOURCED) == ["here", "ahead", "ahead", "ahead", "ahead"]


def test_a_stage_passed_over_is_skipped() -> None:
    assert states(FINISHED, (StepKind.FORWARD, SOURCED, FINISHED, 3)) == ["cut", "skipped", "here", "ahead", "ahead"]


def test_a_stage_carries_the_day_it_was_last_entered() -> None:
    moves = (
        (StepKind.FORWARD, SOURCED, PREPPED, 2),
        (StepKind.FORWARD, PREPPED, FINISHED, 4),
        (StepKind.BACK, FINISHED, PREPPED, 6),
    )
    stops = rail_stops(PREPPED, None, steps(BEGUN, *moves))
    assert [stop.entered_on and stop.entered_on.day for stop in stops] == [1, 7, None, None, None]


def test_a_stage_it_came_back_out_of_is_marked_and_no_other() -> None:
    moves = ((StepKind.FORWARD, SOURCED, FINISHED, 4), (StepKind.BACK, FINISHED, SOURCED, 6))
    stops = rail_stops(SOURCED, None, steps(BEGUN, *moves))
    assert [stop.stage for stop in stops if stop.was_stepped_back] == [FINISHED]


def test_a_return_marks_the_sale_it_undid() -> None:
    moves = ((StepKind.SALE, SOURCED, SOLD, 4), (StepKind.RETURN, SOLD, FINISHED, 9))
    stops = rail_stops(FINISHED, None, steps(BEGUN, *moves))
    assert [stop.stage for stop in stops if stop.was_stepped_back] == [SOLD]


def test_a_sale_struck_out_as_a_mistake_leaves_no_mark() -> None:
    moves = ((StepKind.SALE, SOURCED, SOLD, 4), (StepKind.SALE_STRUCK, SOLD, SOURCED, 5))
    stops = rail_stops(SOURCED, None, steps(BEGUN, *moves))
    assert not any(stop.was_stepped_back for stop in stops)
    assert [stop.state for stop in stops] == ["here", "ahead", "ahead", "ahead", "ahead"]


def test_a_return_struck_out_makes_it_sold_since_its_sale() -> None:
    moves = (
        (StepKind.SALE, SOURCED, SOLD, 4),
        (StepKind.RETURN, SOLD, FINISHED, 9),
        (StepKind.RETURN_STRUCK, FINISHED, SOLD, 10),
    )
    last = rail_stops(SOLD, None, steps(BEGUN, *moves))[-1]
    assert (last.state, last.entered_on, last.was_stepped_back) == ("here", date(2026, 11, 5), False)


def test_a_piece_that_left_has_done_what_it_reached() -> None:
    moves = ((StepKind.FORWARD, SOURCED, PREPPED, 2), (StepKind.OUT, PREPPED, PREPPED, 3))
    assert states(PREPPED, *moves, left_as=Leaving.KEPT) == ["cut", "cut", "ahead", "ahead", "ahead"]


def test_coming_back_keeps_the_day_the_stage_was_entered() -> None:
    moves = (
        (StepKind.FORWARD, SOURCED, PREPPED, 2),
        (StepKind.OUT, PREPPED, PREPPED, 3),
        (StepKind.IN_AGAIN, PREPPED, PREPPED, 8),
    )
    assert rail_stops(PREPPED, None, steps(BEGUN, *moves))[1].entered_on == date(2026, 11, 3)


def test_every_zone_offered_is_known_the_common_ones_first_and_none_twice() -> None:
    zones = zones_to_choose()
    assert zones[: len(COMMON_ZONES)] == list(COMMON_ZONES)
    assert len(zones) == len(set(zones)) > 300
    assert all(known_zone(zone) for zone in zones)


def test_parts_weigh_by_how_many_are_in_them() -> None:
    parts = weighed_parts([WishedPart("two", 2), WishedPart("four", 4)], SplitBy.EACH)
    assert [part.weight for part in parts] == [2, 4]


def test_parts_weigh_by_what_they_are_worth() -> None:
    parts = weighed_parts([WishedPart("", 1, 9000), WishedPart("", 3, 1000)], SplitBy.WORTH)
    assert [part.weight for part in parts] == [9000, 1000]


def test_a_part_without_its_worth_is_refused_where_the_cost_goes_by_worth() -> None:
    with pytest.raises(RuleError, match="Part 2") as refusal:
        weighed_parts([WishedPart("", 1, 9000), WishedPart("", 3)], SplitBy.WORTH)
    assert refusal.value.field == "split_by"


def test_the_clock_offers_the_last_work_while_it_is_under_way_and_the_usual_work_after() -> None:
    assert likely_activity(PREPPED, Activity.SANDING) is Activity.SANDING
    assert likely_activity(FINISHED, Activity.SANDING) is Activity.LISTING
    assert likely_activity(SOURCED, None) is Activity.CLEANING
    assert set(LIKELY_WORK) == set(Stage)


def test_every_sort_of_step_has_its_words() -> None:
    assert all(step_words(kind, PREPPED) for kind in StepKind)
    assert step_words(StepKind.FORWARD, PREPPED) == "Prepped"
    assert step_words(StepKind.BACK, PREPPED) == "Back to prepped"


@dataclass(frozen=True)
class Note:
    """Something written down."""

    at: datetime


@given(st.lists(st.integers(0, 1000), max_size=20), st.integers(0, 25))
def test_the_latest_come_first_and_no_more_than_wanted(minutes: list[int], most: int) -> None:
    shown = latest_first([Note(START + timedelta(minutes=m)) for m in minutes], most)
    assert [note.at for note in shown] == sorted((START + timedelta(minutes=m) for m in minutes), reverse=True)[:most]
