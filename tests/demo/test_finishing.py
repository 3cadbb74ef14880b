"""The demo's recipes are sound, its finishes come in every state, and its bench is busy whatever the hour."""

from collections import Counter
from dataclasses import replace
from datetime import UTC, datetime

import pytest
from sqlalchemy import select
from sqlalchemy.orm import Session

from app.bench.queries.steps import steps_in_hand
from app.database.unit_of_work import Ledger
from app.demo.actions.loading import tell
from app.demo.rules import FILES, CannotLoad, Story
from app.pieces.models import Piece
from app.pieces.queries import piece_row
from app.recipes.models import Finish, FinishOverrule, FinishStep, RecipeEdition
from app.recipes.queries import finish_findings, finishes_in_hand, finishes_of, labels_of, recipe_by_id, recipe_rows
from app.recipes.rules import FinishState, LeadTest, Level, StepState, Task, check_order
from app.shelf.models import Material
from app.timelog.models import RunningTimer
from tests.demo.conftest import NO_PHOTOS, LoadedDemo

ZONE = "America/Denver"
BEGUN = {"Settle with a lift seat"}
DRYING = {"Bow-front chest, four drawers", "Long console with turned feet", "Hall chest, lid with a moulded edge"}
NEXT_COAT = {"Half-round table for a narrow wall", "Two cane-back armchairs"}
NOT_BEGUN = {"Card-index cabinet, twelve drawers", "Kerb dresser, four drawers, one front split"}


def test_no_recipe_breaks_what_stops_and_each_warning_was_overruled_with_a_reason(demo: LoadedDemo) -> None:
    with demo.ledger.reading() as session:
        labels = labels_of(session, set(session.scalars(select(Material.id))))
        sheets = [recipe_by_id(session, row.id) for row in recipe_rows(session)]
    assert len(sheets) >= 12
    warned = []
    for sheet in sheets:
        found = check_order([step.facts for step in sheet.steps], labels=labels)
        assert [finding for finding in found if finding.level is Level.STOP] == [], sheet.name
        warned += [(sheet, finding.rule) for finding in found if finding.level is Level.WARN]
    assert 1 <= len(warned) <= 3
    for sheet, rule in warned:
        assert [overruled.note for overruled in sheet.overruled if overruled.rule == rule and overruled.note]


def test_no_step_repeats_the_caution_on_rags_in_words_of_its_own(story: Story) -> None:
    assert [step.recipe for step in story.recipe_steps if "rag" in step.caution.lower()] == []


def test_recipes_do_every_sort_of_coat(story: Story) -> None:
    tasks = {step.task for step in story.recipe_steps}
    assert tasks == set(Task) - {Task.FILL, Task.PHOTOGRAPH}
    assert any(step.ratio == "1:4" for step in story.recipe_steps if step.task is Task.WASH)
    assert {recipe.recipe for recipe in story.recipes} == {step.recipe for step in story.recipe_steps}


def test_one_recipe_was_changed_after_it_was_used_and_both_editions_were_worked_by(demo: LoadedDemo) -> None:
    with demo.ledger.reading() as session:
        editions = list(session.scalars(select(RecipeEdition).order_by(RecipeEdition.number)))
        (recipe_id,) = [edition.recipe_id for edition in editions if edition.number > 1]
        numbers = [edition.id for edition in editions if edition.recipe_id == recipe_id]
        used = Counter(session.scalars(select(Finish.edition_id).where(Finish.edition_id.in_(numbers))))
    assert [number for number in numbers if used[number] > 1] == numbers


def test_finishes_and_steps_of_every_state_occur(demo: LoadedDemo) -> None:
    with demo.ledger.reading() as session:
        finishes = Counter(session.scalars(select(Finish.state)))
        steps = Counter(session.scalars(select(FinishStep.state)))
        overruled = list(session.scalars(select(FinishOverrule.note)))
        measured = [step for step in session.scalars(select(FinishStep)) if step.temp_tenths and step.humidity]
    assert set(finishes) == set(FinishState)
    assert set(steps) == set(StepState)
    assert finishes[FinishState.DONE] > 35
    assert overruled
    assert len(measured) > 15


def test_a_buyer_had_a_chest_done_again_and_both_finishes_stand_on_it(demo: LoadedDemo, story: Story) -> None:
    with demo.ledger.reading() as session:
        redone = session.scalars(select(Finish).where(Finish.redo_of_id.is_not(None), Finish.made_for != "")).one()
        again, first = finishes_of(session, piece_row(session, redone.piece_id))
        finish_words, title = session.execute(
            select(Piece.finish_words, Piece.title).where(Piece.id == redone.piece_id)
        ).one()
    assert first.covered_by_id == again.id
    assert first.state is again.state is FinishState.DONE
    assert finish_words == again.name
    asked = next(step for step in story.steps if step.reason.startswith("A buyer asked for it in another colour"))
    assert title == next(piece.title for piece in story.pieces if piece.piece == asked.piece)
    assert again.made_for == [sale.buyer for sale in story.sales if sale.piece == asked.piece][-1]


def test_one_finish_was_stopped_and_put_right_after_the_step_back(demo: LoadedDemo, story: Story) -> None:
    with demo.ledger.reading() as session:
        stopped = session.scalars(select(Finish).where(Finish.state == FinishState.STOPPED)).one()
        again, first = finishes_of(session, piece_row(session, stopped.piece_id))
    assert again.redo_of_id == first.id
    assert first.state is FinishState.STOPPED
    assert again.begun_on == first.ended_on
    assert any((demo.today - again.begun_on).days == step.day and "wrinkled" in step.reason for step in story.steps)


def test_nothing_old_was_sanded_or_stripped_before_a_laboratory_found_no_lead(demo: LoadedDemo, story: Story) -> None:
    """The rule asks for it anyway; here that no note talked it away."""
    with demo.ledger.reading() as session:
        rules = set(session.scalars(select(FinishOverrule.rule)))
    assert not [rule for rule in rules if rule.startswith("lead")]
    tests = {surface.lead_test for surface in story.surfaces}
    assert tests == {LeadTest.NONE, LeadTest.NEGATIVE}


def test_the_steps_of_a_finish_took_the_minutes_and_materials_of_its_piece(demo: LoadedDemo) -> None:
    with demo.ledger.reading() as session:
        sheets = [
            sheet
            for piece_id in set(session.scalars(select(Finish.piece_id)))
            for sheet in finishes_of(session, piece_row(session, piece_id))
        ]
    done = [step for sheet in sheets for step in sheet.steps if step.state is StepState.DONE]
    assert all(step.minutes for step in done)
    used = [step for step in done if step.used_milli]
    assert len(used) > 90
    assert all(step.cost_cents is not None and step.use_id for step in used)


def test_what_the_finishes_keep_holds_against_the_rows_it_came_from(demo: LoadedDemo, demo_later: LoadedDemo) -> None:
    for loaded in (demo, demo_later):
        with loaded.ledger.reading() as session:
            findings = finish_findings(session)
        assert findings
        assert [finding for finding in findings if not finding.holds] == []


def test_the_bench_is_busy_by_day_and_by_night(demo: LoadedDemo, demo_later: LoadedDemo) -> None:
    for loaded in (demo, demo_later):
        with loaded.ledger.reading() as session:
            require_busy(session, loaded.now)


@pytest.mark.parametrize(
    "now",
    [
        datetime(2026, 11, 25, 7, 2, tzinfo=UTC),
        datetime(2026, 11, 26, 6, 58, tzinfo=UTC),
        datetime(2026, 11, 26, 1, 0, tzinfo=UTC),
        datetime(2027, 3, 14, 12, 0, tzinfo=UTC),
        datetime(2027, 3, 15, 13, 0, tzinfo=UTC),
        datetime(2026, 11, 1, 9, 30, tzinfo=UTC),
    ],
    ids=["just past midnight", "just before it", "at six", "clocks go on", "a day later", "clocks go back"],
)
def test_what_dries_dries_whatever_the_hour_of_loading(ledger: Ledger, story: Story, now: datetime) -> None:
    with ledger.writing() as session:
        tell(session, in_hand_only(story), NO_PHOTOS, now=now, zone=ZONE)
        require_busy(session, now)


def test_a_step_no_finish_has_is_named_by_file_and_line(ledger: Ledger, story: Story, now: datetime) -> None:
    small = in_hand_only(story)
    wrong = replace(small.finish_steps[0], step=40)
    with (
        ledger.writing() as session,
        pytest.raises(CannotLoad, match=rf"^finish_steps\.csv, line {wrong.line}: .+ steps"),
    ):
        tell(session, replace(small, finish_steps=(wrong, *small.finish_steps[1:])), NO_PHOTOS, now=now, zone=ZONE)


def require_busy(session: Session, now: datetime) -> None:
    """One step is begun and its clock runs, three coats dry for hours yet, and the rest may go on."""
    found = steps_in_hand(session, finishes_in_hand(session, now), now)
    assert {line.finish.piece.title for line in found.begun} == BEGUN
    assert session.scalars(select(RunningTimer.started_at)).one() == found.begun[0].step.started_at
    assert {part.finish.piece.title for part in found.drying} == DRYING
    assert all(part.minutes_left >= 2 * 60 for part in found.drying)
    ready = {line.finish.piece.title: line.step for line in found.ready}
    assert set(ready) == NEXT_COAT | NOT_BEGUN
    assert {title for title, step in ready.items() if step.facts.is_coating} == NEXT_COAT
    assert {title for title, step in ready.items() if step.position == 0} == NOT_BEGUN
    assert found.unwritten == ()


def in_hand_only(story: Story) -> Story:
    """The shop with what lies on its bench: no trade, no book, and no shelf to draw on."""
    kept = {"shop", "sources", "materials", "labels", "recipes", "recipe_steps", "usual_hours", "workshop"}
    empty = replace(story, **{name: () for name in FILES if name not in kept})
    keys = {piece.piece: piece for piece in story.pieces if piece.title in BEGUN | DRYING | NEXT_COAT | NOT_BEGUN}
    finishes = tuple(finish for finish in story.finishes_begun if finish.piece in keys)
    steps = tuple(
        replace(step, used=None) for step in story.finish_steps if step.finish in {finish.finish for finish in finishes}
    )
    return replace(
        empty,
        pieces=tuple(
            replace(piece, haul="", source=piece.source or story.sources[0].source) for piece in keys.values()
        ),
        surfaces=tuple(surface for surface in story.surfaces if surface.piece in keys),
        finishes_begun=finishes,
        finish_steps=steps,
    )
