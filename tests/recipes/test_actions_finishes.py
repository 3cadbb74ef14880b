"""Finishes are begun, worked off, put back, redone and stopped; time, material and drying follow."""

from datetime import datetime, timedelta
from typing import Any
from uuid import uuid4

import pytest
from sqlalchemy import select
from sqlalchemy.orm import Session

from app.basics.errors import RuleError, StaleEdit
from app.pieces.actions import leave, step_back
from app.pieces.models import Correction, Piece
from app.pieces.queries import piece_row
from app.pieces.rules import Age, CannotMove, Form, Leaving, Stage
from app.recipes.actions import (
    add_finish_step,
    begin_finish,
    begin_step,
    change_finish_step,
    finish_step,
    leave_out,
    put_back,
    stop_finish,
    wait_longer,
)
from app.recipes.models import FinishOverrule
from app.recipes.queries import finish_by_id, finishes_of, learned_minutes
from app.recipes.rules import (
    Aim,
    CheckStops,
    DoneFacts,
    FinishState,
    MinutesFrom,
    NewFinish,
    NotNow,
    Part,
    Product,
    StepFacts,
    StepState,
    Task,
)
from app.shelf.models import ShelfCharge, ShelfUse
from app.shelf.rules import NothingBought
from app.timelog.actions import start_timer, stop_timer, strike_time
from app.timelog.models import RunningTimer, TimeEntry
from app.timelog.queries import minutes_of
from app.timelog.rules import Activity
from tests.builders.finishes import a_coat, a_finish, do_step, steps_of
from tests.builders.pieces import NOW, a_piece
from tests.builders.shelf import a_material, a_purchase

HOUR = timedelta(hours=1)
SAND = StepFacts(Task.SAND, grit=180)


def a_newer_piece(session: Session, **said: Any) -> Piece:
    """A chest made after lead was banned from paint, so that no check speaks against sanding it."""
    return a_piece(session, age=Age.AFTER_1978, **said)


def done(session: Session, step_id: int, minutes: int, *, now: datetime = NOW, **said: object) -> None:
    finish_step(
        session,
        step_id,
        DoneFacts(minutes, **said),  # type: ignore[arg-type]
        because="it holds",
        capture_id=str(uuid4()),
        now=now,
    )


def test_a_step_of_two_coats_is_worked_twice(session: Session) -> None:
    piece = a_newer_piece(session)
    finish = a_finish(session, piece.id, [a_coat(coats=2)])
    assert [(step.coat, step.coats_in_all, step.coats) for step in steps_of(session, finish.id)] == [
        (1, 2, 1),
        (2, 2, 1),
    ]


def test_the_same_form_sent_twice_begins_one_finish(session: Session) -> None:
    piece = a_newer_piece(session)
    new = NewFinish(piece.id, name="Grey")
    first = begin_finish(session, new, capture_id="one", now=NOW)
    assert begin_finish(session, new, capture_id="one", now=NOW).id == first.id


def test_a_piece_that_is_gone_and_a_finish_without_a_name_are_refused(session: Session) -> None:
    piece = a_newer_piece(session)
    with pytest.raises(RuleError) as refused:
        begin_finish(session, NewFinish(piece.id), capture_id="one", now=NOW)
    assert refused.value.field == "name"
    leave(session, piece.id, Leaving.KEPT, on_date=NOW.date(), reason="ours", version=None, now=NOW)
    with pytest.raises(CannotMove):
        begin_finish(session, NewFinish(piece.id, name="Grey"), capture_id="two", now=NOW)


def test_begun_and_done_the_clock_writes_its_minutes_and_they_are_the_steps_own(session: Session) -> None:
    piece = a_newer_piece(session)
    step = steps_of(session, a_finish(session, piece.id, [SAND]).id)[0]
    begin_step(session, step.id, now=NOW)
    timer = session.scalars(select(RunningTimer)).one()
    assert (timer.piece_id, timer.activity) == (piece.id, Activity.SANDING)
    done(session, step.id, 42, now=NOW + timedelta(minutes=42))
    assert session.scalars(select(RunningTimer)).first() is None
    assert minutes_of(session, [piece.id]) == {piece.id: 42}
    assert finish_by_id(session, step.finish_id).minutes == 42


def test_what_the_clock_wrote_down_before_counts_and_only_the_rest_is_added(session: Session) -> None:
    piece = a_newer_piece(session)
    step = steps_of(session, a_finish(session, piece.id, [SAND]).id)[0]
    begin_step(session, step.id, now=NOW)
    stop_timer(session, zone="America/Denver", now=NOW + timedelta(minutes=20))
    with pytest.raises(RuleError, match="wrote down 20 min for it already") as refused:
        done(session, step.id, 15, now=NOW + HOUR)
    assert refused.value.field == "minutes"
    done(session, step.id, 50, now=NOW + HOUR)
    assert sorted(session.scalars(select(TimeEntry.minutes))) == [20, 30]
    assert finish_by_id(session, step.finish_id).steps[0].minutes == 50


def test_the_clock_of_another_piece_runs_on_when_a_step_is_said_to_be_done(session: Session) -> None:
    piece, other = a_newer_piece(session), a_newer_piece(session)
    step = steps_of(session, a_finish(session, piece.id, [SAND]).id)[0]
    start_timer(session, piece_id=other.id, activity=Activity.SANDING, now=NOW - HOUR)
    done(session, step.id, 10)
    assert session.scalars(select(RunningTimer)).one().piece_id == other.id
    assert minutes_of(session, [piece.id]) == {piece.id: 10}


def test_time_struck_out_is_no_time_of_the_step_and_none_to_learn_from(session: Session) -> None:
    piece = a_newer_piece(session)
    step = steps_of(session, a_finish(session, piece.id, [SAND]).id)[0]
    done(session, step.id, 30)
    strike_time(session, session.scalars(select(TimeEntry.id)).one(), reason="wrong", now=NOW)
    assert finish_by_id(session, step.finish_id).steps[0].minutes == 0
    assert learned_minutes(session).by_work == {}


def test_material_leaves_the_shelf_at_its_average_and_the_piece_carries_it(session: Session) -> None:
    paint = a_material(session)
    a_purchase(session, paint, 1_000_000, 2_000)
    piece = a_newer_piece(session)
    step = steps_of(session, a_finish(session, piece.id, [a_coat(material_id=paint.id)]).id)[0]
    done(session, step.id, 30, used_milli=250_000, temp_tenths=200, humidity=55)
    use = session.scalars(select(ShelfUse)).one()
    assert (use.piece_id, use.quantity_milli) == (piece.id, 250_000)
    assert session.scalars(select(ShelfCharge.cents)).one() == 500
    row = finish_by_id(session, step.finish_id).steps[0]
    assert (row.cost_cents, row.used_milli, row.temp_tenths, row.humidity) == (500, 250_000, 200, 55)


def test_nothing_bought_leaves_nothing_half_written(session: Session) -> None:
    paint = a_material(session)
    piece = a_newer_piece(session)
    step = steps_of(session, a_finish(session, piece.id, [a_coat(material_id=paint.id)]).id)[0]
    with pytest.raises(NothingBought), session.begin_nested():
        done(session, step.id, 30, used_milli=250_000)
    assert steps_of(session, step.finish_id)[0].state is StepState.WAITING
    assert minutes_of(session, [piece.id]) == {}


def test_the_next_coat_goes_on_when_the_one_under_it_is_dry(session: Session) -> None:
    piece = a_newer_piece(session)
    finish = a_finish(session, piece.id, [a_coat(coats=2, recoat=240)])
    first, second = steps_of(session, finish.id)
    done(session, first.id, 30)
    assert first.ready_at == NOW + 4 * HOUR
    with pytest.raises(CheckStops) as refused:
        begin_step(session, second.id, now=NOW + HOUR)
    assert refused.value.field == "because"
    begin_step(session, second.id, because="fan on it, dry to the touch", now=NOW + HOUR)
    assert second.state is StepState.STARTED
    notes = list(session.scalars(select(FinishOverrule.note)))
    assert notes
    assert set(notes) == {"fan on it, dry to the touch"}


def test_it_may_wait_longer_or_less(session: Session) -> None:
    piece = a_newer_piece(session)
    first, _second = steps_of(session, a_finish(session, piece.id, [a_coat(coats=2)]).id)
    with pytest.raises(RuleError, match="not done yet"):
        wait_longer(session, first.id, ready_at=NOW, version=None, now=NOW)
    done(session, first.id, 30)
    wait_longer(session, first.id, ready_at=NOW + 9 * HOUR, version=None, now=NOW)
    finish = finish_by_id(session, first.finish_id)
    assert finish.dry_from(finish.steps[1]) == NOW + 9 * HOUR


def test_steps_are_worked_in_turn_on_each_part(session: Session) -> None:
    piece = a_newer_piece(session)
    steps = [SAND, a_coat(Part.BODY), a_coat(Part.TOP)]
    sand, body, top = steps_of(session, a_finish(session, piece.id, steps).id)
    with pytest.raises(NotNow, match="Before it comes step 1: Sand"):
        begin_step(session, body.id, now=NOW)
    done(session, sand.id, 30)
    done(session, top.id, 30, now=NOW)
    done(session, body.id, 30, now=NOW)
    assert finish_by_id(session, sand.finish_id).state is FinishState.DONE


def test_done_to_the_last_step_the_piece_wears_its_finish(session: Session) -> None:
    piece = a_newer_piece(session)
    finish = a_finish(session, piece.id, [a_coat(colour="#7a8f6a")], name="Sage body")
    done(session, steps_of(session, finish.id)[0].id, 30)
    stored = session.get_one(Piece, piece.id)
    assert (stored.finish_words, stored.finish_colour) == ("Sage body", "#7a8f6a")


def test_a_redo_keeps_both_finishes_and_the_later_one_shows(session: Session) -> None:
    piece = a_newer_piece(session, stage=Stage.FINISHED)
    old = a_finish(session, piece.id, [a_coat(colour="#ffffff")], name="White")
    with pytest.raises(RuleError, match="still under way"):
        a_finish(session, piece.id, redo_of_id=old.id)
    done(session, steps_of(session, old.id)[0].id, 30)
    step_back(session, piece.id, Stage.PREPPED, on_date=NOW.date(), reason="wants navy", version=None, now=NOW)
    new = a_finish(session, piece.id, [a_coat(colour="#1f2a44")], name="Navy", redo_of_id=old.id, made_for="the buyer")
    done(session, steps_of(session, new.id)[0].id, 45, now=NOW + 9 * HOUR)
    rows = finishes_of(session, piece_row(session, piece.id))
    assert [(row.name, row.state, row.covered_by_id) for row in rows] == [
        ("Navy", FinishState.DONE, None),
        ("White", FinishState.DONE, new.id),
    ]
    assert rows[0].made_for == "the buyer"
    stored = session.get_one(Piece, piece.id)
    assert (stored.finish_words, stored.finish_colour) == ("Navy", "#1f2a44")
    assert minutes_of(session, [piece.id]) == {piece.id: 75}


def test_a_redo_of_one_part_leaves_the_rest_to_be_seen(session: Session) -> None:
    piece = a_newer_piece(session)
    old = a_finish(session, piece.id, [a_coat(Part.BODY, colour="#7a8f6a"), a_coat(Part.TOP, colour="#ffffff")])
    for step in steps_of(session, old.id):
        done(session, step.id, 30)
    top = [a_coat(Part.TOP, colour="#1f2a44")]
    new = a_finish(session, piece.id, top, name="Blue top", redo_of_id=old.id)
    done(session, steps_of(session, new.id)[0].id, 30, now=NOW + 9 * HOUR)
    row = piece_row(session, piece.id)
    assert (row.finish_words, row.finish_colour) == ("Sage all over; Blue top", "#7a8f6a")
    assert row.part_colours == {"body": "#7a8f6a", "top": "#1f2a44"}
    assert session.scalars(select(Correction)).all() == []


def test_a_finish_of_another_piece_cannot_be_covered(session: Session) -> None:
    piece, other = a_newer_piece(session), a_newer_piece(session)
    done_there = a_finish(session, other.id, [SAND])
    do_step(session, steps_of(session, done_there.id)[0].id)
    with pytest.raises(RuleError) as refused:
        a_finish(session, piece.id, redo_of_id=done_there.id)
    assert refused.value.field == "redo_of"


def test_made_again_it_is_as_it_was_really_done(session: Session) -> None:
    piece, other = a_newer_piece(session), a_newer_piece(session)
    finish = a_finish(session, piece.id, [SAND, a_coat(), a_coat()])
    sand, first, second = steps_of(session, finish.id)
    change_finish_step(session, first.id, a_coat(ratio="1:4"), version=first.version)
    leave_out(session, second.id, reason="one was enough", version=None, now=NOW)
    done(session, sand.id, 20)
    again = begin_finish(session, NewFinish(other.id, like_finish_id=finish.id), capture_id="again", now=NOW)
    copied = finish_by_id(session, again.id)
    assert copied.name == "Sage all over"
    assert [(step.facts.task, step.facts.ratio, step.state) for step in copied.steps] == [
        (Task.SAND, "", StepState.WAITING),
        (Task.PAINT, "1:4", StepState.WAITING),
    ]


def test_put_back_the_step_is_to_do_again_and_its_rows_stay_in_sight(session: Session) -> None:
    paint = a_material(session)
    a_purchase(session, paint)
    piece = a_newer_piece(session)
    first, second = steps_of(session, a_finish(session, piece.id, [a_coat(material_id=paint.id, coats=2)]).id)
    done(session, first.id, 30, used_milli=100_000)
    done(session, second.id, 20, now=NOW + 9 * HOUR)
    with pytest.raises(RuleError, match="A step after it was begun"):
        put_back(session, first.id, reason="slip", version=None, now=NOW)
    put_back(session, second.id, reason="slip", version=None, now=NOW)
    put_back(session, first.id, reason="slip", version=None, now=NOW)
    assert finish_by_id(session, first.finish_id).state is FinishState.UNDER_WAY
    assert session.scalars(select(ShelfUse.struck_reason)).one() == "slip"
    assert set(session.scalars(select(TimeEntry.struck_reason))) == {"slip"}
    assert minutes_of(session, [piece.id]) == {}
    assert first.ready_at is None


def test_begun_by_mistake_the_clock_stops_without_an_entry(session: Session) -> None:
    piece = a_newer_piece(session)
    step = steps_of(session, a_finish(session, piece.id, [SAND]).id)[0]
    begin_step(session, step.id, now=NOW)
    put_back(session, step.id, reason="wrong piece", version=None, now=NOW)
    assert session.scalars(select(RunningTimer)).first() is None
    assert session.scalars(select(TimeEntry)).first() is None


def test_stopped_it_keeps_what_was_done_and_takes_no_more_steps(session: Session) -> None:
    piece = a_newer_piece(session)
    finish = a_finish(session, piece.id, [SAND, a_coat()])
    sand, coat = steps_of(session, finish.id)
    begin_step(session, sand.id, now=NOW)
    with pytest.raises(RuleError, match="begun"):
        stop_finish(session, finish.id, reason="sold as it is", version=None, now=NOW)
    done(session, sand.id, 20)
    stop_finish(session, finish.id, reason="sold as it is", version=None, now=NOW)
    with pytest.raises(NotNow, match="stopped"):
        begin_step(session, coat.id, now=NOW)
    with pytest.raises(RuleError, match="stopped"):
        add_finish_step(session, finish.id, SAND, now=NOW)
    assert finish_by_id(session, finish.id).minutes == 20


def test_what_changed_meanwhile_is_not_written_over(session: Session) -> None:
    piece = a_newer_piece(session)
    step = steps_of(session, a_finish(session, piece.id, [SAND]).id)[0]
    made_on = step.version
    change_finish_step(session, step.id, StepFacts(Task.SAND, grit=220), version=made_on)
    with pytest.raises(StaleEdit):
        change_finish_step(session, step.id, SAND, version=made_on)
    with pytest.raises(StaleEdit):
        begin_step(session, step.id, version=made_on, now=NOW)


def test_from_three_times_on_the_owners_median_counts(session: Session) -> None:
    for minutes in (20, 90, 40):
        piece = a_newer_piece(session)
        do_step(session, steps_of(session, a_finish(session, piece.id, [SAND]).id)[0].id, minutes)
    learned = learned_minutes(session)
    known = learned.estimate(StepFacts(Task.SAND, active=15))
    assert (known.minutes, known.source, known.times) == (40, MinutesFrom.LOG, 3)
    assert learned.estimate(StepFacts(Task.WAX, active=15)).source is MinutesFrom.WRITTEN
    assert learned.estimate(StepFacts(Task.WAX)).words == "guess"


def test_a_set_teaches_what_one_of_it_takes_and_asks_for_all_of_them(session: Session) -> None:
    for minutes in (60, 66, 72):
        chairs = a_newer_piece(session, count=6, form=Form.CHAIR)
        do_step(session, steps_of(session, a_finish(session, chairs.id, [SAND]).id)[0].id, minutes)
    learned = learned_minutes(session)
    assert learned.estimate(SAND, Form.CHAIR).minutes == 11
    assert learned.estimate(SAND, Form.CHAIR, 4).minutes == 44


def test_taking_the_dust_off_teaches_nothing_about_degreasing(session: Session) -> None:
    dust, grease = (StepFacts(Task.CLEAN, aim=aim) for aim in (Aim.REMOVE_DUST, Aim.DEGREASE))
    for _ in range(3):
        piece = a_newer_piece(session)
        do_step(session, steps_of(session, a_finish(session, piece.id, [dust]).id)[0].id, 4)
    learned = learned_minutes(session)
    assert learned.estimate(dust).minutes == 4
    assert learned.estimate(grease).source is MinutesFrom.GUESS


def test_the_label_of_the_material_gives_its_times_where_the_step_says_none(session: Session) -> None:
    piece = a_newer_piece(session)
    first = steps_of(session, a_finish(session, piece.id, [a_coat(product=Product.OIL_PAINT)]).id)[0]
    done(session, first.id, 30)
    assert first.ready_at == NOW + 16 * HOUR
    assert first.closes_at == NOW + timedelta(days=7)
