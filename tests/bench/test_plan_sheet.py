"""The plan from the ledger: what is begun stays, what dries is waited for, what brings most comes first."""

from datetime import date, datetime

import pytest
from sqlalchemy import event
from sqlalchemy.orm import Session

from app.basics.spells import Spell
from app.bench.actions import expect, set_bench_facts
from app.bench.queries import PlanSheet, plan_sheet
from app.bench.queries.jobs import pieces_to_do, places_taken
from app.bench.rules import Brings, BringsFrom, CannotPlan, NothingToPlan, PlanStep, asked_horizon
from app.pieces.models import Piece
from app.pieces.rules import Age
from app.recipes.actions import leave_out, look_over
from app.recipes.queries import finishes_in_hand
from app.recipes.rules import LeadTest, OldFinish, Part, Product, StepFacts, Surface, Task, Way
from app.timelog.actions import stop_timer
from tests.bench.hands import HOUR, MINUTE, SAND, a_drying_job, a_job, begin
from tests.builders.finishes import a_coat, a_finish, do_step
from tests.builders.pieces import NOW, a_piece
from tests.builders.shelf import a_stocked_material

ZONE = "America/Denver"
TODAY = date(2026, 11, 25)
EVENING = Spell(19 * 60, 22 * 60)
WORTH = Brings(10_000, BringsFrom.OWNER)
TEST = StepFacts(Task.TEST)


def planned(session: Session, spell: Spell = EVENING, now: datetime = NOW) -> PlanSheet:
    return plan_sheet(session, asked_horizon(TODAY, spell, [], now=now, zone=ZONE), now)


def plan_steps(session: Session, zero: datetime = NOW) -> list[PlanStep]:
    finishes = finishes_in_hand(session, zero)
    worth = {each.piece.id: WORTH for each in finishes}
    [piece] = pieces_to_do(session, finishes, worth, zero)
    return list(piece.job.steps)


def test_each_step_that_is_left_is_planned_after_what_it_goes_over(session: Session) -> None:
    _, stored = a_job(session)
    sand, first, second = plan_steps(session)
    assert [(each.active, each.passive, each.takes_place) for each in (sand, first, second)] == [
        (60, 0, False),
        (40, 240, True),
        (40, 240, True),
    ]
    assert (sand.after, first.after, second.after) == ((), (sand.key,), (first.key,))
    rows = planned(session).rows
    assert [row.step.id for row in rows] == [step.id for step in stored]
    assert rows[2].start >= rows[1].dry_at


def test_a_step_left_to_work_and_one_of_a_known_colour_are_told_so(session: Session) -> None:
    paint = a_stocked_material(session)
    a_job(
        session,
        StepFacts(Task.STRIP, product=Product.STRIPPER, dwell=30),
        a_coat(way=Way.SPRAY, material_id=paint.id, colour="#8a9a7b"),
        a_coat(way=Way.SPRAY),
    )
    strip, first, second = plan_steps(session)
    assert (strip.passive, strip.takes_place) == (30 + 24 * 60, False)
    assert (first.sprays, first.colour) == (True, f"{paint.id} #8a9a7b")
    assert (second.sprays, second.colour) == (True, "")


def test_what_dries_now_keeps_its_time_and_its_place(session: Session) -> None:
    a_drying_job(session)
    [step] = plan_steps(session)
    assert step.ready_at == 180
    assert places_taken(finishes_in_hand(session, NOW), NOW) == (180,)
    assert step.after == ()


def test_a_step_the_clock_runs_for_stays_where_it_was_begun(session: Session) -> None:
    _, stored = a_job(session)
    begin(session, stored[0], ago=25 * MINUTE)
    sand = plan_steps(session)[0]
    assert (sand.started_at, sand.active) == (-25, 60)
    long_after = plan_steps(session, NOW + 2 * HOUR)[0]
    assert (long_after.started_at, long_after.active) == (-145, 150)
    sheet = planned(session)
    assert [row.step.id for row in sheet.going_on] == [stored[0].id]
    assert sheet.going_on[0].end == NOW + 35 * MINUTE


def test_a_begun_step_whose_clock_stands_is_taken_up_again_once_it_was_left_to_work(session: Session) -> None:
    _, stored = a_job(session, StepFacts(Task.STRIP, product=Product.STRIPPER, dwell=60))
    begin(session, stored[0], ago=20 * MINUTE)
    stop_timer(session, zone=ZONE, now=NOW - 5 * MINUTE)
    [strip] = plan_steps(session)
    assert (strip.started_at, strip.active, strip.ready_at, strip.passive) == (None, 45, 40, 24 * 60)
    sheet = planned(session)
    assert sheet.going_on == ()
    assert [row.step.id for row in sheet.sessions[0].rows] == [stored[0].id]


def test_the_piece_that_brings_most_comes_first_and_a_session_holds_what_fits(session: Session) -> None:
    little, _ = a_job(session, SAND)
    much, _ = a_job(session, SAND)
    expect(session, little.id, 5_000, version=None, now=NOW)
    expect(session, much.id, 50_000, version=None, now=NOW)
    sheet = planned(session, Spell(19 * 60, 20 * 60 + 30))
    assert [[row.piece.id for row in each.rows] for each in sheet.sessions] == [[much.id], [little.id]]
    assert [each.piece.id for each in sheet.pieces] == [much.id, little.id]
    assert sheet.sessions[0].rows[0].start == NOW.replace(hour=2, minute=0).replace(day=26)
    assert all(row.reason for row in sheet.rows)


def test_one_place_lets_one_coat_dry_at_a_time(session: Session) -> None:
    for _ in range(2):
        a_job(session, a_coat())
    assert len(planned(session).sessions[0].rows) == 2
    set_bench_facts(session, drying_places=1, spray_clear=30, version=None)
    assert [len(each.rows) for each in planned(session).sessions] == [1, 1]


def test_a_step_longer_than_any_free_time_is_left_over_with_all_after_it(session: Session) -> None:
    a_job(session, StepFacts(Task.SAND, active=200), a_coat())
    sheet = planned(session)
    assert sheet.rows == ()
    assert [left.step and left.step.facts.task for left in sheet.left_over] == [Task.SAND, Task.PAINT]
    assert "longest free spell is 3 h" in sheet.left_over[0].why
    assert "comes after" in sheet.left_over[1].why
    assert sheet.pieces[0].done_at is None


def test_a_coat_planned_after_its_window_is_to_be_scuffed_first(session: Session) -> None:
    a_job(session, a_coat(coats=2, recoat=60, recoat_by=24 * 60))
    in_time = planned(session, Spell(19 * 60, 22 * 60)).rows
    assert [row.scuff_first for row in in_time] == [False, False]
    _, closing = a_job(session, a_coat(coats=2, recoat=60, recoat_by=90), now=NOW - HOUR)
    do_step(session, closing[0].id, 1, now=NOW - HOUR)
    late = [row for row in planned(session).rows if row.step.id == closing[1].id]
    assert [row.scuff_first for row in late] == [True]


def test_the_parts_of_a_piece_are_planned_each_for_itself(session: Session) -> None:
    a_job(session, a_coat(Part.BODY), a_coat(Part.TOP), SAND)
    body, top, sand = plan_steps(session)
    assert (body.after, top.after) == ((), ())
    assert set(sand.after) == {body.key, top.key}
    assert body.words == "Paint, body"


def test_finishes_of_one_piece_are_one_job(session: Session) -> None:
    piece, _ = a_job(session, a_coat(Part.BODY))
    a_finish(session, piece.id, [a_coat(Part.TOP)], name="Top")
    assert len(plan_steps(session)) == 2
    assert len(planned(session).pieces) == 1


def test_forty_pieces_are_planned_and_the_others_are_counted(session: Session) -> None:
    for number in range(42):
        piece, stored = a_job(session, SAND)
        expect(session, piece.id, number, version=None, now=NOW)
        if not number:
            begin(session, stored[0])
    sheet = planned(session)
    assert (len(sheet.pieces), sheet.waiting) == (40, 2)
    assert {each.brings.cents for each in sheet.pieces} == {0, *range(3, 42)}


def test_nothing_left_to_do_is_nothing_to_plan(session: Session) -> None:
    a_finish(session, a_piece(session).id)
    a_drying_job(session, a_coat())
    with pytest.raises(NothingToPlan):
        planned(session)
    a_job(session)
    with pytest.raises(CannotPlan, match="no free time"):
        plan_sheet(session, asked_horizon(TODAY, EVENING, [], now=NOW, zone=ZONE), NOW.replace(year=2027))


def test_the_same_ledger_gives_the_same_plan_in_as_many_queries_for_any_number(session: Session) -> None:
    asked: list[str] = []
    event.listen(session.get_bind(), "before_cursor_execute", lambda _c, _k, statement, *_: asked.append(statement))
    paint = a_stocked_material(session)
    for _ in range(2):
        a_job(session, SAND, a_coat(material_id=paint.id, coats=2))
    session.flush()
    asked.clear()
    first = planned(session)
    count = len(asked)
    assert planned(session).rows == first.rows
    for _ in range(8):
        a_job(session, SAND, a_coat(material_id=paint.id, coats=2))
    session.flush()
    asked.clear()
    planned(session)
    assert len(asked) == count


def lead_test(session: Session, piece: Piece, *, old_finish: OldFinish = OldFinish.PAINT, said: LeadTest) -> None:
    look_over(session, piece.id, Surface(old_finish=old_finish, lead_test=said), version=None, now=NOW)


def waiting_for_the_test(sheet: PlanSheet) -> list[Task | None]:
    return [
        left.step.facts.task if left.step else None
        for left in sheet.left_over
        if left.why == "It waits for the result of the lead test."
    ]


def test_nothing_after_a_test_for_lead_is_planned_before_its_result(session: Session) -> None:
    piece, stored = a_job(session, TEST, SAND, a_coat(), age=Age.UNKNOWN)
    assert [row.step.facts.task for row in planned(session).rows] == [Task.TEST]
    assert waiting_for_the_test(planned(session)) == [Task.SAND, Task.PAINT]
    assert planned(session).pieces[0].done_at is None
    do_step(session, stored[0].id, 5)
    assert (planned(session).rows, waiting_for_the_test(planned(session))) == ((), [Task.SAND, Task.PAINT])
    lead_test(session, piece, said=LeadTest.NEGATIVE)
    assert [row.step.facts.task for row in planned(session).rows] == [Task.SAND, Task.PAINT]


def test_other_finishes_of_the_piece_wait_for_the_test_too(session: Session) -> None:
    piece, _ = a_job(session, TEST, SAND, age=Age.BEFORE_1978)
    a_finish(session, piece.id, [TEST, SAND], name="Top")
    a_finish(session, piece.id, [SAND], name="Feet")
    assert [row.step.facts.task for row in planned(session).rows] == [Task.TEST, Task.TEST]
    assert waiting_for_the_test(planned(session)) == [Task.SAND] * 3


def test_where_lead_cannot_be_or_no_test_is_written_nothing_waits_for_it(session: Session) -> None:
    a_job(session, TEST, SAND, age=Age.AFTER_1978)
    bare, _ = a_job(session, TEST, SAND, age=Age.UNKNOWN)
    lead_test(session, bare, old_finish=OldFinish.BARE, said=LeadTest.NONE)
    a_job(session, SAND, age=Age.UNKNOWN)
    _, without = a_job(session, TEST, SAND, age=Age.UNKNOWN)
    leave_out(session, without[0].id, reason="bare underneath", version=None, now=NOW)
    sheet = planned(session)
    assert (len(sheet.rows), sheet.left_over) == (6, ())


def test_everything_begins_on_five_minute_marks_after_now(session: Session) -> None:
    a_job(session, StepFacts(Task.REPAIR, active=13), a_coat(recoat=52))
    a_drying_job(session, a_coat(coats=2, recoat=113))
    _, begun = a_job(session)
    begin(session, begun[0], ago=23 * MINUTE)
    _, left = a_job(session)
    begin(session, left[0], ago=19 * MINUTE)
    now = NOW + 2 * MINUTE
    sheet = planned(session, Spell(8 * 60, 22 * 60 + 2), now=now)
    assert sheet.zero == NOW + 5 * MINUTE
    marks = [moment.minute % 5 for row in sheet.rows for moment in (row.start, row.end, row.dry_at)]
    assert set(marks) == {0}
    assert min(row.start for session in sheet.sessions for row in session.rows) >= sheet.zero
    assert 15 in {row.minutes for row in sheet.rows}


def test_a_step_begun_and_left_is_the_first_line_though_another_was_begun_since(session: Session) -> None:
    little, first = a_job(session, StepFacts(Task.REPAIR, active=60))
    _, second = a_job(session, SAND)
    for each in range(4):
        much, _ = a_job(session, SAND)
        expect(session, much.id, 90_000 + each, version=None, now=NOW)
    expect(session, little.id, 100, version=None, now=NOW)
    begin(session, first[0], ago=30 * MINUTE)
    begin(session, second[0], ago=10 * MINUTE)
    sheet = planned(session)
    assert [row.step.id for row in sheet.going_on] == [second[0].id]
    assert sheet.sessions[0].rows[0].step.id == first[0].id
    stop_timer(session, zone=ZONE, now=NOW - 5 * MINUTE)
    assert [row.step.id for row in planned(session).sessions[0].rows[:2]] == [first[0].id, second[0].id]


def test_reasons_name_other_pieces_by_their_tag_alone(session: Session) -> None:
    pieces = [a_job(session, title=f"A very long name of a chest, number {each}")[0] for each in range(4)]
    said = " ".join(row.reason for row in planned(session).rows)
    assert "long name" not in said
    assert any(piece.tag in said for piece in pieces)
