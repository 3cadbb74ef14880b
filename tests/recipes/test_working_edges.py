"""What is easily got wrong while steps are worked: other finishes, other clocks and days, and reasons that outlive."""

from dataclasses import replace
from datetime import date, timedelta
from uuid import uuid4

import pytest
from sqlalchemy import select, text
from sqlalchemy.orm import Session

from app.basics.errors import RuleError
from app.database.unit_of_work import Ledger
from app.pieces.actions import correct_facts
from app.pieces.models import Piece
from app.pieces.queries import piece_row
from app.pieces.rules import Age
from app.recipes.actions import (
    add_finish_step,
    begin_finish,
    begin_step,
    finish_step,
    keep_as_recipe,
    leave_out,
    look_over,
    put_back,
    stop_finish,
    wait_longer,
    write_recipe,
)
from app.recipes.models import FinishOverrule, RecipeStep
from app.recipes.queries import checks_before, entries_since, finish_by_id, surface_of
from app.recipes.rules import (
    MOST_COATS,
    Air,
    CheckStops,
    DoneFacts,
    FinishState,
    LeadTest,
    Level,
    NewFinish,
    NewRecipe,
    Part,
    Product,
    StepFacts,
    Surface,
    Task,
)
from app.shelf.actions import strike_use
from app.timelog.actions import start_timer
from app.timelog.models import TimeEntry
from app.timelog.queries import minutes_of, running_timer
from app.timelog.rules import Activity
from tests.builders.finishes import BECAUSE, a_coat, a_finish, do_step, steps_of
from tests.builders.pieces import NOW, a_piece
from tests.builders.shelf import a_material, a_purchase, a_use
from tests.examining_client import ExaminingClient, Page

HOUR, MINUTE = timedelta(hours=1), timedelta(minutes=1)
SAND = StepFacts(Task.SAND, grit=180)


def a_newer_piece(session: Session) -> Piece:
    """A chest made after lead was banned from paint."""
    return a_piece(session, age=Age.AFTER_1978)


def stops(session: Session, step_id: int, finish_id: int, *, now: object = NOW) -> set[str]:
    finish = finish_by_id(session, finish_id)
    step = next(each for each in finish.steps if each.id == step_id)
    return {each.rule for each in checks_before(session, finish, step, now).stops}  # type: ignore[arg-type]


def test_a_redo_waits_for_the_coat_it_goes_over_and_meets_the_wax_on_it(session: Session) -> None:
    piece = a_newer_piece(session)
    old = a_finish(session, piece.id, [StepFacts(Task.WAX, product=Product.PASTE_WAX)], name="Waxed")
    do_step(session, steps_of(session, old.id)[0].id)
    new = a_finish(session, piece.id, [a_coat()], name="Blue", redo_of_id=old.id)
    step = steps_of(session, new.id)[0]
    finish = finish_by_id(session, new.id)
    assert finish.dry_from(finish.steps[0]) == NOW + 24 * HOUR
    assert {"not_dry", "over_wax"} <= stops(session, step.id, new.id)


def test_a_reason_holds_for_its_own_step_and_goes_when_that_is_put_back(session: Session) -> None:
    piece = a_piece(session)
    finish = a_finish(
        session, piece.id, [StepFacts(Task.SAND, Part.TOP, grit=80), StepFacts(Task.SAND, Part.BODY, grit=80)]
    )
    top, body = steps_of(session, finish.id)
    assert "lead_untested" in stops(session, top.id, finish.id)
    begin_step(session, top.id, because="the top was replaced last year", now=NOW)
    assert "lead_untested" in stops(session, body.id, finish.id)
    with pytest.raises(CheckStops):
        begin_step(session, body.id, now=NOW)
    put_back(session, top.id, reason="slip", version=None, now=NOW)
    assert session.scalars(select(FinishOverrule)).all() == []
    assert "lead_untested" in stops(session, top.id, finish.id)


def test_two_steps_begun_share_no_minute(session: Session) -> None:
    piece = a_newer_piece(session)
    finish = a_finish(session, piece.id, [a_coat(Part.BODY), a_coat(Part.DRAWERS)])
    body, drawers = steps_of(session, finish.id)
    begin_step(session, body.id, because=BECAUSE, now=NOW)
    begin_step(session, drawers.id, because=BECAUSE, now=NOW + 20 * MINUTE)
    assert [entry.minutes for entry in entries_since(session, body, piece.id)] == [20]
    assert entries_since(session, drawers, piece.id) == []
    done = {"because": BECAUSE, "now": NOW + 45 * MINUTE}
    finish_step(session, drawers.id, DoneFacts(25), capture_id=str(uuid4()), **done)  # type: ignore[arg-type]
    finish_step(session, body.id, DoneFacts(20), capture_id=str(uuid4()), **done)  # type: ignore[arg-type]
    assert minutes_of(session, [piece.id]) == {piece.id: 45}
    assert running_timer(session) is None


def test_minutes_before_a_step_was_begun_are_none_of_its_own(session: Session) -> None:
    piece = a_newer_piece(session)
    step = steps_of(session, a_finish(session, piece.id, [SAND]).id)[0]
    start_timer(session, piece_id=piece.id, activity=Activity.SANDING, now=NOW - 5 * MINUTE)
    begin_step(session, step.id, now=NOW)
    finish_step(session, step.id, DoneFacts(31), capture_id=str(uuid4()), now=NOW + 31 * MINUTE)
    assert sorted(session.scalars(select(TimeEntry.minutes))) == [5, 31]
    assert finish_by_id(session, step.finish_id).minutes == 31


def test_begun_by_mistake_what_the_clock_wrote_down_is_struck_out_too(session: Session) -> None:
    piece, other = a_newer_piece(session), a_newer_piece(session)
    step = steps_of(session, a_finish(session, piece.id, [SAND]).id)[0]
    aside = steps_of(session, a_finish(session, other.id, [SAND]).id)[0]
    begin_step(session, step.id, now=NOW)
    begin_step(session, aside.id, now=NOW + 30 * MINUTE)
    put_back(session, step.id, reason="wrong piece", version=None, now=NOW + 40 * MINUTE)
    assert minutes_of(session, [piece.id]) == {}


def test_a_use_struck_out_on_the_shelf_leaves_the_step_to_be_put_back_and_teaches_nothing(session: Session) -> None:
    paint = a_material(session)
    a_purchase(session, paint)
    piece = a_newer_piece(session)
    step = steps_of(session, a_finish(session, piece.id, [a_coat(material_id=paint.id)]).id)[0]
    do_step(session, step.id, used_milli=100_000)
    strike_use(session, step.use_id or 0, reason="another can", now=NOW)
    assert finish_by_id(session, step.finish_id).cost_cents == 0
    put_back(session, step.id, reason="again", version=None, now=NOW)
    assert step.use_id is None


def test_done_before_what_it_goes_over_is_refused_and_checks_look_at_that_moment(session: Session) -> None:
    piece = a_newer_piece(session)
    finish = a_finish(session, piece.id, [a_coat(coats=2, recoat=24 * 60)])
    first, second = steps_of(session, finish.id)
    do_step(session, first.id, now=NOW)
    later = NOW + timedelta(days=2)
    with pytest.raises(RuleError, match="done after that") as refused:
        finish_step(session, second.id, DoneFacts(20, NOW - 5 * HOUR), capture_id="a", because=BECAUSE, now=later)
    assert refused.value.field == "ended"
    with pytest.raises(CheckStops):
        finish_step(session, second.id, DoneFacts(20, NOW + HOUR), capture_id="b", now=later)
    finish_step(session, second.id, DoneFacts(20, NOW + 25 * HOUR), capture_id="c", now=later)
    assert finish_by_id(session, finish.id).ended_on == date(2026, 11, 26)


def test_long_dry_is_dry_whatever_the_plan_reckoned_with(session: Session) -> None:
    piece = a_newer_piece(session)
    finish = a_finish(session, piece.id, [a_coat(), StepFacts(Task.CLEAR_COAT, product=Product.LACQUER)])
    paint, lacquer = steps_of(session, finish.id)
    do_step(session, paint.id, now=NOW)
    assert "lacquer_lifts" in stops(session, lacquer.id, finish.id, now=NOW + 9 * HOUR)
    assert "lacquer_lifts" not in stops(session, lacquer.id, finish.id, now=NOW + timedelta(days=60))


def test_cold_air_stops_and_damp_air_warns_before_the_coat(session: Session) -> None:
    piece = a_newer_piece(session)
    finish_id = a_finish(session, piece.id, [a_coat()]).id
    finish = finish_by_id(session, finish_id)
    cold = checks_before(session, finish, finish.steps[0], NOW, Air(20, 60))
    damp = checks_before(session, finish, finish.steps[0], NOW, Air(210, 90))
    assert any(each.level is Level.STOP and each.rule.startswith("air") for each in cold.all)
    assert any(each.level is Level.WARN and each.rule.startswith("air") for each in damp.all)
    with pytest.raises(CheckStops):
        begin_step(session, finish.steps[0].id, air=Air(20, 60), now=NOW)


def test_hardware_alone_takes_no_colour_away_and_put_back_takes_back_what_finishes_said(session: Session) -> None:
    piece = a_newer_piece(session)
    blue = a_finish(session, piece.id, [a_coat(colour="#1f2a44")], name="Blue")
    coat = steps_of(session, blue.id)[0]
    do_step(session, coat.id)
    pulls = a_finish(session, piece.id, [StepFacts(Task.HARDWARE)], name="New pulls")
    do_step(session, steps_of(session, pulls.id)[0].id, now=NOW + HOUR)
    assert (piece_row(session, piece.id).finish_words, piece_row(session, piece.id).finish_colour) == (
        "Blue",
        "#1f2a44",
    )
    put_back(session, coat.id, reason="it was another piece", version=None, now=NOW + HOUR)
    assert (piece_row(session, piece.id).finish_words, piece_row(session, piece.id).finish_colour) == ("", None)


def test_the_owners_own_words_stay_where_no_finish_shows(session: Session) -> None:
    piece = a_newer_piece(session)
    facts = piece_row(session, piece.id).facts
    correct_facts(session, piece.id, replace(facts, finish_words="as found"), version=None, now=NOW)
    pulls = a_finish(session, piece.id, [StepFacts(Task.HARDWARE)], name="New pulls")
    do_step(session, steps_of(session, pulls.id)[0].id)
    assert piece_row(session, piece.id).finish_words == "as found"


def test_all_left_out_it_is_stopped_and_comes_back_with_its_step(session: Session) -> None:
    piece = a_newer_piece(session)
    finish = a_finish(session, piece.id, [SAND])
    step = steps_of(session, finish.id)[0]
    leave_out(session, step.id, reason="smooth", version=None, now=NOW)
    assert finish_by_id(session, finish.id).state is FinishState.STOPPED
    put_back(session, step.id, reason="not so smooth", version=None, now=NOW)
    assert finish_by_id(session, finish.id).state is FinishState.UNDER_WAY


def test_a_stopped_finish_is_kept_without_what_was_never_done(session: Session) -> None:
    piece = a_newer_piece(session)
    finish = a_finish(session, piece.id, [SAND, StepFacts(Task.WAX, product=Product.PASTE_WAX)])
    do_step(session, steps_of(session, finish.id)[0].id)
    stop_finish(session, finish.id, reason="sold as it is", version=None, now=NOW)
    keep_as_recipe(session, finish.id, name="Half", capture_id="half", now=NOW)
    assert list(session.scalars(select(RecipeStep.task))) == [Task.SAND]
    with pytest.raises(RuleError, match="stopped"):
        leave_out(session, steps_of(session, finish.id)[1].id, reason="late", version=None, now=NOW)


def test_a_recipe_of_too_many_coats_or_put_away_begins_nothing(session: Session) -> None:
    piece = a_newer_piece(session)
    steps = tuple(a_coat(coats=MOST_COATS) for _ in range(6))
    recipe = write_recipe(session, NewRecipe("Endless", steps=steps), capture_id="r", now=NOW)
    with pytest.raises(RuleError, match="at most 60 steps"):
        begin_finish(session, NewFinish(piece.id, recipe_id=recipe.id), capture_id="f", now=NOW)
    session.execute(text("UPDATE recipe SET is_put_away = 1"))
    session.expire_all()
    with pytest.raises(RuleError, match="put away"):
        begin_finish(session, NewFinish(piece.id, recipe_id=recipe.id), capture_id="g", now=NOW)


def test_put_off_its_window_and_hardening_move_with_it(session: Session) -> None:
    piece = a_newer_piece(session)
    step = steps_of(session, a_finish(session, piece.id, [a_coat(recoat=60, recoat_by=600, cure=6000)]).id)[0]
    do_step(session, step.id)
    wait_longer(session, step.id, ready_at=NOW + 5 * HOUR, version=None, now=NOW)
    assert (step.closes_at, step.cured_at) == (NOW + 14 * HOUR, NOW + 104 * HOUR)


def test_a_step_added_to_a_finish_that_was_done_opens_it_again(session: Session) -> None:
    piece = a_newer_piece(session)
    finish = a_finish(session, piece.id, [SAND])
    do_step(session, steps_of(session, finish.id)[0].id)
    add_finish_step(session, finish.id, a_coat(), now=NOW)
    found = finish_by_id(session, finish.id)
    assert (found.state, found.ended_on) == (FinishState.UNDER_WAY, None)


def test_a_lead_result_is_asked_with_the_test_and_kept_with_the_piece(client: ExaminingClient, ledger: Ledger) -> None:
    with ledger.writing() as session:
        piece = a_piece(session)
        tested = steps_of(session, a_finish(session, piece.id, [StepFacts(Task.TEST), SAND]).id)
        piece_id, test_id, sand_id = piece.id, tested[0].id, tested[1].id
        look_over(session, piece_id, Surface(note="drips at the back"), version=None, now=NOW)
    done = {"minutes": "10", "ended": "2026-11-25T08:30", "lead": "negative"}
    client.post_form(f"/finishes/steps/{test_id}/done", done)
    with ledger.reading() as session:
        seen = surface_of(session, piece_id).surface
        finish = finish_by_id(session, tested[0].finish_id)
        assert (seen.lead_test, seen.note) == (LeadTest.NEGATIVE, "drips at the back")
        assert not checks_before(session, finish, next(s for s in finish.steps if s.id == sand_id), NOW).stops


def test_a_use_on_an_earlier_day_shows_what_else_it_changes_and_can_be_saved(
    client: ExaminingClient, ledger: Ledger
) -> None:
    with ledger.writing() as session:
        paint = a_material(session)
        a_purchase(session, paint, 1_000_000, 2_000, on_date=date(2026, 11, 1))
        piece = a_newer_piece(session)
        step_id = steps_of(session, a_finish(session, piece.id, [a_coat(material_id=paint.id)]).id)[0].id
        a_purchase(session, paint, 1_000_000, 9_000, on_date=date(2026, 11, 24))
        a_use(session, paint, None, 100_000, on_date=date(2026, 11, 25))
    here = f"/finishes/steps/{step_id}/done"
    told = {"minutes": "30", "quantity": "250 ml", "measure": "ml", "ended": "2026-11-23T09:00", "because": BECAUSE}
    shown = client.post_form(here, told)
    assert shown.status_code == 200
    assert "Check what this changes" in shown.text
    form = next(each for each in Page(shown.text).forms if each["method"] == "post" and each["action"] == here)
    assert client.post(here, form["fields"]).status_code == 303


def test_ten_times_the_usual_is_asked_about_again(client: ExaminingClient, ledger: Ledger) -> None:
    with ledger.writing() as session:
        paint = a_material(session)
        a_purchase(session, paint, 9_000_000, 9_000)
        piece = a_piece(session, age=Age.AFTER_1978, width_mm=914, depth_mm=457, height_mm=1219)
        step_id = steps_of(session, a_finish(session, piece.id, [a_coat(material_id=paint.id)]).id)[0].id
    here = f"/finishes/steps/{step_id}/done"
    told = {"minutes": "30", "quantity": "200", "measure": "fl_oz", "ended": "2026-11-25T08:30", "because": BECAUSE}
    refused = client.post_form(here, told)
    assert refused.status_code == 422
    assert "over 10 times the usual" in refused.text
    assert client.post_form(here, {**told, "quantity": "200 fl oz"}).status_code == 303
