"""Reading recipes: the list with colours and uses, one recipe with drying and minutes, earlier editions."""

from datetime import date, datetime

import pytest
from sqlalchemy import event
from sqlalchemy.orm import Session

from app.basics.errors import NotFound
from app.pieces.actions import strike_find
from app.recipes.actions import add_step, change_step, correct_recipe
from app.recipes.models import FinishStep, StepTime
from app.recipes.queries import (
    edition_by_number,
    facts_of_step,
    learned_minutes,
    recipe_by_id,
    recipe_of_step,
    recipe_rows,
    step_by_id,
    stored_steps,
)
from app.recipes.rules import (
    DAY,
    Estimate,
    MinutesFrom,
    Part,
    Product,
    RecipeFacts,
    StepFacts,
    StepState,
    Task,
    TimeFrom,
    Way,
)
from app.timelog.actions import strike_time
from tests.builders.pieces import a_piece
from tests.builders.recipes import BEGUN, a_finish_by, a_label, a_recipe, a_step
from tests.builders.shelf import a_material
from tests.builders.timelog import a_time


def a_done_step(session: Session, recipe_id: int, facts: StepFacts, *minutes: int) -> list[int]:
    """A step of a finish that was done in so many entries of time; their numbers."""
    piece = a_piece(session)
    finish = a_finish_by(session, recipe_id, piece)
    done = FinishStep(
        finish_id=finish.id, position=1, coat=1, coats_in_all=1, state=StepState.DONE, done_note="", **vars(facts)
    )
    session.add(done)
    session.flush()
    entries = [a_time(session, piece.id, minutes=each).id for each in minutes]
    session.add_all(StepTime(time_entry_id=entry, step_id=done.id) for entry in entries)
    session.flush()
    return entries


def test_the_list_says_what_a_recipe_holds_and_where_it_was_used(session: Session, now: datetime) -> None:
    sage = a_material(session, colour="#7a8f6a")
    steps = (
        a_step(Task.SAND, grit=120, material_id=a_material(session, "Sheets", colour="#000000").id),
        a_step(material_id=sage.id, part=Part.BODY),
        a_step(material_id=sage.id, part=Part.BODY),
        a_step(Task.WASH, part=Part.TOP, material_id=sage.id, colour="#f0f0f0"),
    )
    used = a_recipe(session, "sage", steps=steps)
    a_recipe(session, "Ash", steps=())
    away = a_recipe(session, "Bare")
    correct_recipe(session, away.id, RecipeFacts("Bare", is_put_away=True), version=None)
    piece, struck = a_piece(session), a_piece(session)
    a_finish_by(session, used.id, piece)
    a_finish_by(session, used.id, piece, begun_on=date(2026, 11, 22))
    a_finish_by(session, used.id, struck, begun_on=date(2026, 11, 24))
    strike_find(session, struck.id, reason="twice", version=None, now=now)
    ash, bare, sage_row = recipe_rows(session)
    assert [row.name for row in (ash, bare, sage_row)] == ["Ash", "Bare", "sage"]
    assert (sage_row.steps, sage_row.parts, sage_row.colours) == (
        4,
        (Part.WHOLE, Part.BODY, Part.TOP),
        ("#7a8f6a", "#f0f0f0"),
    )
    assert (sage_row.pieces, sage_row.last_used) == (1, date(2026, 11, 22))
    assert (ash.steps, ash.parts, ash.colours, ash.pieces, ash.last_used) == (0, (), (), 0, None)
    assert [row.name for row in recipe_rows(session, include_put_away=False)] == ["Ash", "sage"]


def test_a_recipe_shows_how_long_each_step_dries_and_whence_that_is_known(session: Session) -> None:
    paint, other = a_material(session), a_material(session, "Other")
    a_label(session, paint.id, product=Product.MINERAL_PAINT, dwell=10)
    steps = (
        a_step(material_id=paint.id),
        a_step(material_id=paint.id, recoat=60, dwell=5),
        a_step(material_id=other.id, product=Product.OIL_PAINT),
        a_step(Task.SAND, grit=180),
    )
    label, step, rule, none = recipe_by_id(session, a_recipe(session, steps=steps).id).steps
    assert [row.drying.source for row in (label, step, rule, none)] == [
        TimeFrom.LABEL,
        TimeFrom.STEP,
        TimeFrom.RULE,
        TimeFrom.NONE,
    ]
    assert [row.drying.recoat for row in (label, step, rule, none)] == [240, 60, 16 * 60, 0]
    assert (label.drying.cure, label.product_words, label.dwell, step.dwell) == (
        30 * DAY,
        "Chalky or mineral paint",
        10,
        5,
    )
    assert rule.drying_source == "a home-improvement guide's table of drying times"
    assert (rule.label.recoat, none.product_words) == (None, "")


def test_a_step_has_its_own_colour_or_that_of_its_material(session: Session) -> None:
    paint = a_material(session, colour="#7a8f6a")
    steps = (a_step(material_id=paint.id), a_step(material_id=paint.id, colour="#112233", way=Way.RAG), a_step())
    rows = recipe_by_id(session, a_recipe(session, steps=steps).id).steps
    assert [row.colour for row in rows] == ["#7a8f6a", "#112233", None]
    assert [row.way_words for row in rows] == ["", "Rag", ""]


def test_minutes_come_from_the_log_from_three_times_on(session: Session, now: datetime) -> None:
    recipe = a_recipe(session, steps=(a_step(coats=2, active=25), a_step(Task.WAX)))
    paint, wax = recipe_by_id(session, recipe.id).steps
    assert (paint.minutes, paint.all_minutes) == (Estimate(25, MinutesFrom.WRITTEN), 50)
    assert wax.minutes.source is MinutesFrom.GUESS
    for minutes in ((30, 15), (50,), (60,), (70,)):
        entries = a_done_step(session, recipe.id, a_step(), *minutes)
    strike_time(session, entries[0], reason="wrong piece", now=now)
    assert learned_minutes(session).by_work == {(Task.PAINT, None): [45, 50, 60]}
    paint, _ = recipe_by_id(session, recipe.id).steps
    assert paint.minutes == Estimate(50, MinutesFrom.LOG, 3)
    assert recipe_by_id(session, recipe.id).minutes == 100 + wax.minutes.minutes
    assert recipe_by_id(session, recipe.id).coats == 3


def test_a_recipe_shows_where_it_was_used_and_its_earlier_editions(session: Session, now: datetime) -> None:
    recipe = a_recipe(session)
    piece = a_piece(session, title="Oak chest")
    a_finish_by(session, recipe.id, piece)
    second = recipe_by_id(session, recipe.id)
    assert second.is_fixed
    add_step(session, recipe.id, a_step(Task.SAND, grit=180), at=1, version=None, now=now)
    changed = recipe_by_id(session, recipe.id)
    change_step(session, changed.steps[2].id, a_step(part=Part.BODY, coats=3), version=None, now=now)
    sheet = recipe_by_id(session, recipe.id)
    assert not sheet.is_fixed
    assert [(one.number, one.pieces) for one in (sheet.edition, *sheet.earlier)] == [(2, 0), (1, 1)]
    assert [(use.piece_tag, use.piece_name, use.begun_on, use.edition, use.state_words) for use in sheet.uses] == [
        (piece.tag, "Oak chest", BEGUN, 1, "under way")
    ]
    old = edition_by_number(session, recipe.id, 1)
    assert [change.words for change in old.changes] == ["new as step 1", "step 3 now, was 2: coats"]
    assert (old.is_newest, old.newest, len(old.steps), old.recipe_name) == (False, 2, 4, "Sage body, washed top")
    new = edition_by_number(session, recipe.id, 2)
    assert (new.is_newest, new.changes) == (True, ())
    assert recipe_of_step(session, old.steps[0].id) == (recipe.id, 1)
    assert step_by_id(session, old.steps[0].id) == old.steps[0]


def test_what_is_not_there_is_said_so(session: Session) -> None:
    recipe = a_recipe(session)
    for ask in (
        lambda: recipe_by_id(session, 99),
        lambda: edition_by_number(session, recipe.id, 2),
        lambda: edition_by_number(session, 99, 1),
        lambda: recipe_of_step(session, 99),
        lambda: step_by_id(session, 99),
    ):
        with pytest.raises(NotFound):
            ask()


def test_facts_come_back_as_they_went_in(session: Session) -> None:
    told = a_step(
        Task.STAIN, part=Part.TOP, product=Product.OIL_STAIN, coats=2, way=Way.RAG, dwell=10, recoat=DAY, cure=3 * DAY
    )
    recipe = a_recipe(session, steps=(told,))
    (row,) = stored_steps(session, recipe_by_id(session, recipe.id).edition.id)
    assert facts_of_step(row) == told


def test_more_rows_take_no_more_queries(session: Session, now: datetime) -> None:
    asked: list[str] = []
    event.listen(session.connection(), "before_cursor_execute", lambda *said: asked.append(said[2]))
    counts = []
    for number in range(2):
        for place in range(3):
            paint = a_material(session, f"Paint {number}{place}")
            a_label(session, paint.id)
            steps = (a_step(material_id=paint.id),) * (1 + 4 * number)
            recipe = a_recipe(session, f"Recipe {number}{place}", steps=steps)
            for _ in range(1 + number):
                a_finish_by(session, recipe.id, a_piece(session))
            add_step(session, recipe.id, a_step(Task.WAX), version=None, now=now)
        session.expire_all()
        asked.clear()
        recipe_rows(session)
        recipe_by_id(session, recipe.id)
        edition_by_number(session, recipe.id, 1)
        counts.append(len(asked))
    assert counts[0] == counts[1]
