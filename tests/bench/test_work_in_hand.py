"""What is begun, what may begin, and what dries: on the page in that order, each piece with one thing to press."""

from datetime import date, datetime, timedelta
from typing import Any

from sqlalchemy.orm import Session

from app.bench.queries import BenchSheet, bench_sheet
from app.database.unit_of_work import Ledger
from app.pieces.rules import Form
from app.recipes.actions import wait_longer
from app.recipes.rules import MinutesFrom, Part, Product, StepFacts, Task
from app.timelog.actions import start_timer, stop_timer, switch_timer
from app.timelog.rules import Activity
from tests.bench.hands import HOUR, MINUTE, SAND, a_drying_job, a_job, begin, section
from tests.builders.finishes import a_coat, a_finish, do_step, steps_of
from tests.builders.floor import a_listed_piece
from tests.builders.pieces import NOW, a_piece
from tests.builders.shelf import a_stocked_material
from tests.examining_client import ExaminingClient, Page

TODAY = date(2026, 11, 25)
STRIP = StepFacts(Task.STRIP, product=Product.STRIPPER, dwell=30)


def sheet_of(session: Session, now: datetime = NOW) -> BenchSheet:
    return bench_sheet(session, now, TODAY)


def test_a_step_that_waits_for_nothing_is_ready_and_one_begun_is_now(session: Session) -> None:
    piece, steps = a_job(session)
    [card] = sheet_of(session).ready
    assert [line.step.id for line in card.ready] == [steps[0].id]
    assert card.next_step == "Sand, P180: All of it"
    begin(session, steps[0])
    sheet = sheet_of(session)
    assert (sheet.ready, sheet.groups, [card.piece.id for card in sheet.begun]) == ((), (), [piece.id])
    assert sheet.begun[0].begun[0].worked.runs_since == NOW


def test_minutes_are_a_guess_until_such_steps_were_timed_three_times(session: Session) -> None:
    a_job(session)
    [line] = sheet_of(session).ready[0].ready
    assert (line.estimate.minutes, line.is_guess) == (60, True)
    for minutes in (20, 30, 70):
        _, steps = a_job(session, SAND)
        do_step(session, steps[0].id, minutes)
    [line] = sheet_of(session).ready[0].ready
    assert (line.estimate.minutes, line.estimate.source) == (30, MinutesFrom.LOG)


def test_the_amount_of_its_material_is_estimated_from_the_size_of_the_piece(session: Session) -> None:
    paint = a_stocked_material(session)
    sizes: dict[str, Any] = {"width_mm": 900, "depth_mm": 450, "height_mm": 1000, "form": Form.CHEST}
    a_job(session, a_coat(material_id=paint.id), **sizes)
    [line] = sheet_of(session).ready[0].ready
    assert line.amount is not None
    assert 100_000 < line.amount.milli < 600_000


def test_what_a_coat_waits_for_dries_until_its_time_and_is_ready_at_that_very_moment(session: Session) -> None:
    piece, steps = a_drying_job(session)
    [part] = sheet_of(session).drying
    assert (part.step.id, part.then and part.then.id) == (steps[0].id, steps[1].id)
    assert (part.ready_at, part.minutes_left) == (NOW + 3 * HOUR, 180)
    assert part.words == "Next coat: All of it"
    [card] = sheet_of(session).cards
    assert (card.ready_at, card.next_step) == (NOW + 3 * HOUR, "Paint, coat 2 of 2: All of it")
    assert sheet_of(session).groups == ()
    later = sheet_of(session, NOW + 3 * HOUR)
    assert (later.drying, [card.piece.id for card in later.ready]) == ((), [piece.id])
    assert sheet_of(session, NOW + 3 * HOUR - MINUTE).ready == ()


def test_parts_dry_and_are_worked_on_each_for_itself(session: Session) -> None:
    _, steps = a_job(session, a_coat(Part.BODY, coats=2), a_coat(Part.TOP, coats=2), now=NOW - HOUR)
    do_step(session, steps[0].id, now=NOW)
    sheet = sheet_of(session)
    assert [part.step.part for part in sheet.drying] == [Part.BODY]
    assert [line.step.part for line in sheet.ready[0].ready] == [Part.TOP]


def test_a_last_coat_dries_though_its_finish_is_done_and_its_piece_lies_at_its_stage(session: Session) -> None:
    piece, _ = a_drying_job(session, a_coat())
    sheet = sheet_of(session)
    [part] = sheet.drying
    assert (part.then, part.words) == (None, "Dry: All of it")
    assert [card.piece.id for group in sheet.groups for card in group.cards] == [piece.id]
    assert sheet.cards[0].has_finish


def test_what_was_gone_over_before_it_was_dry_dries_no_more(session: Session) -> None:
    _, steps = a_drying_job(session)
    begin(session, steps[1])
    assert sheet_of(session).drying == ()


def test_the_soonest_dry_stands_first_and_waiting_longer_moves_it(session: Session) -> None:
    _, first = a_drying_job(session, ago=2 * HOUR)
    _, second = a_drying_job(session)
    assert [part.step.id for part in sheet_of(session).drying] == [first[0].id, second[0].id]
    wait_longer(session, first[0].id, ready_at=NOW + 9 * HOUR, version=None, now=NOW)
    assert [part.step.id for part in sheet_of(session).drying] == [second[0].id, first[0].id]


def test_a_window_that_closes_soonest_is_the_first_thing_ready(session: Session) -> None:
    plain, _ = a_job(session)
    _, late = a_job(session, a_coat(coats=2, recoat=30, recoat_by=600), now=NOW - 2 * HOUR)
    _, soon = a_job(session, a_coat(coats=2, recoat=30, recoat_by=90), now=NOW - 2 * HOUR)
    for steps in (late, soon):
        do_step(session, steps[0].id, now=NOW - HOUR)
    ready = sheet_of(session).ready
    assert [card.ready[0].step.finish_id for card in ready[:2]] == [soon[0].finish_id, late[0].finish_id]
    assert ready[2].piece.id == plain.id
    assert ready[0].ready[0].closes_at == NOW + 30 * MINUTE
    assert ready[2].ready[0].closes_at is None


def test_a_piece_on_the_floor_lies_on_the_bench_while_a_finish_is_under_way(session: Session) -> None:
    listed = a_listed_piece(session)
    assert sheet_of(session).cards == ()
    steps = steps_of(session, a_finish(session, listed.id, [SAND]).id)
    assert [card.piece.id for card in sheet_of(session).ready] == [listed.id]
    do_step(session, steps[0].id, now=NOW)
    assert sheet_of(session).cards == ()


def test_a_finish_without_steps_is_told_at_the_stage_of_its_piece(session: Session) -> None:
    piece = a_piece(session)
    finish = a_finish(session, piece.id)
    [group] = sheet_of(session).groups
    assert group.cards[0].unwritten is not None
    assert group.cards[0].unwritten.id == finish.id


def test_the_clock_of_a_begun_step_may_stand_and_its_minutes_stay_its_own(session: Session) -> None:
    _, steps = a_job(session)
    begin(session, steps[0], ago=40 * MINUTE)
    stop_timer(session, zone="America/Denver", now=NOW - 10 * MINUTE)
    worked = sheet_of(session).begun[0].begun[0].worked
    assert (worked.logged, worked.runs_since) == (30, None)
    start_timer(session, piece_id=None, activity=Activity.SANDING, now=NOW)
    assert sheet_of(session).begun[0].begun[0].worked.runs_since is None


def test_the_page_tells_now_ready_and_drying_and_each_card_leads_on_with_one_press(
    client: ExaminingClient, ledger: Ledger
) -> None:
    with ledger.writing() as session:
        _, begun = a_job(session, SAND, title="Begun chest")
        begin(session, begun[0], ago=20 * MINUTE)
        _, ready = a_job(session, SAND, title="Ready chest")
        _, drying = a_drying_job(session, title="Wet chest")
        bare = a_piece(session, title="Bare chest")
        ids = begun[0].id, ready[0].id, drying[0].id
    page = client.get("/bench").text
    now, to_begin, dries = (section(page, key) for key in ("now", "ready", "drying"))
    assert f'href="/finishes/steps/{ids[0]}/done?next=/bench"' in now
    assert "Go on, the clock stands" not in now
    assert f'href="/finishes/steps/{ids[1]}/begin?next=/bench"' in to_begin
    assert to_begin.count("button primary") == 1
    assert "about 1 h (guess)" in to_begin
    assert "11:30" in dries
    assert "in 3 h" in dries
    assert f'href="/finishes/steps/{ids[2]}/wait?next=/bench"' in dries
    assert f'href="/pieces/{bare.tag}/finishes/new"' in section(page, "sourced")
    assert 'href="/bench/ready.ics"' in dries
    links = Page(page).links
    for link in (f"/finishes/steps/{ids[0]}/done?next=/bench", f"/finishes/steps/{ids[1]}/begin?next=/bench"):
        assert link in links


def test_a_dwell_says_until_when_and_that_it_is_over(client: ExaminingClient, ledger: Ledger) -> None:
    with ledger.writing() as session:
        _, working = a_job(session, STRIP)
        begin(session, working[0], ago=10 * MINUTE)
    assert "Leave it until <strong>08:50</strong>" in client.get("/bench").text
    with ledger.writing() as session:
        _, over = a_job(session, STRIP)
        begin(session, over[0], ago=5 * MINUTE)
        working[0].started_at = NOW - timedelta(minutes=31)
        session.merge(working[0])
    page = client.get("/bench").text
    assert "It has been left long enough</strong> since 08:29" in page
    assert "Go on, the clock stands" in page


def test_the_list_says_the_next_step_and_when_it_is_ready(client: ExaminingClient, ledger: Ledger) -> None:
    with ledger.writing() as session:
        a_drying_job(session, title="Wet chest")
        a_job(session, SAND, title="Dry chest")
    header, wet, dry = client.get("/bench.csv?sort=oldest").text.splitlines()
    assert header.endswith(",Next,Next step,Ready at")
    assert wet.endswith(',,"Paint, coat 2 of 2: All of it",2026-11-25 11:30')
    assert dry.endswith(',,"Sand, P180: All of it",')


def test_switching_the_clock_to_other_work_leaves_the_step_begun(session: Session) -> None:
    piece, steps = a_job(session)
    begin(session, steps[0], ago=30 * MINUTE)
    switch_timer(session, piece_id=piece.id, activity=Activity.REPAIR, zone="America/Denver", now=NOW)
    [line] = sheet_of(session).begun[0].begun
    assert (line.worked.logged, line.worked.runs_since) == (30, None)


def test_the_drying_list_says_what_comes_at_its_time(client: ExaminingClient, ledger: Ledger) -> None:
    with ledger.writing() as session:
        a_drying_job(session, a_coat(coats=2), title="Coated again")
        a_drying_job(session, a_coat(), SAND, title="Sanded next")
        a_drying_job(session, a_coat(), title="Left to dry")
    rows = section(client.get("/bench").text, "drying").split('<li class="bench-dry">')[1:]
    said = {row.partition('<span class="clamp">')[2].partition("<")[0]: row for row in rows}
    assert "next coat from" in said["Coated again"]
    assert "next step from" in said["Sanded next"]
    assert "dry from" in said["Left to dry"]
    assert "nothing comes after it" in said["Left to dry"]
