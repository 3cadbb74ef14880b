"""Writing recipes: editions that were used stay as they are, versions, the places of steps, and what is refused."""

import hashlib
from collections.abc import Callable
from datetime import datetime

import pytest
from sqlalchemy import func, select
from sqlalchemy.orm import Session

from app.basics.errors import NotFound, RuleError, StaleEdit
from app.recipes.actions import (
    add_step,
    change_step,
    correct_recipe,
    move_step,
    overrule_in_recipe,
    remove_step,
    write_recipe,
)
from app.recipes.models import Recipe, RecipeEdition, RecipeOverrule, RecipeStep
from app.recipes.queries import recipe_by_id, stored_steps
from app.recipes.rules import MOST_STEPS, NewRecipe, Part, Product, RecipeFacts, StepFacts, Task
from tests.builders.pieces import a_piece
from tests.builders.recipes import a_finish_by, a_recipe, a_step
from tests.builders.shelf import a_material


def tasks(session: Session, recipe: Recipe) -> list[Task]:
    sheet = recipe_by_id(session, recipe.id)
    assert [step.position for step in sheet.steps] == list(range(1, len(sheet.steps) + 1))
    return [step.facts.task for step in sheet.steps]


def step_ids(session: Session, recipe: Recipe) -> list[int]:
    return [step.id for step in recipe_by_id(session, recipe.id).steps]


def hash_of_edition(session: Session, recipe: Recipe, number: int) -> str:
    """Every cell of every row of an edition, as the ledger has them."""
    edition = session.scalars(
        select(RecipeEdition).where(RecipeEdition.recipe_id == recipe.id, RecipeEdition.number == number)
    ).one()
    rows = [edition, *stored_steps(session, edition.id)]
    session.flush()
    cells = []
    for row in rows:
        session.refresh(row)
        cells.append([getattr(row, column.key) for column in row.__table__.columns])
    return hashlib.sha256(repr(cells).encode()).hexdigest()


def test_a_recipe_is_written_with_its_steps_in_their_order(session: Session) -> None:
    recipe = a_recipe(session)
    sheet = recipe_by_id(session, recipe.id)
    assert tasks(session, recipe) == [Task.CLEAN, Task.PAINT, Task.WASH, Task.WAX]
    assert (sheet.version, sheet.edition.number, sheet.steps[1].facts.part) == (1, 1, Part.BODY)
    assert recipe_by_id(session, a_recipe(session, "Empty", steps=()).id).steps == ()


def test_the_same_capture_sent_twice_is_one_recipe(session: Session, now: datetime) -> None:
    new = NewRecipe("Sage", steps=(a_step(),))
    first = write_recipe(session, new, capture_id="a-phone-1", now=now)
    assert write_recipe(session, new, capture_id="a-phone-1", now=now) is first
    assert session.scalar(select(func.count(RecipeStep.id))) == 1
    with pytest.raises(RuleError, match="lost its number"):
        write_recipe(session, new, capture_id="", now=now)


@pytest.mark.parametrize(
    ("new", "field"),
    [
        (NewRecipe(""), "name"),
        (NewRecipe("x" * 500), "name"),
        (NewRecipe("SÁGE body"), "name"),
        (NewRecipe("Other", note="x" * 4_001), "note"),
        (NewRecipe("Other", steps=(a_step(coats=-1),)), "coats"),
        (NewRecipe("Other", steps=(a_step(Task.WASH, ratio="0:0"),)), "ratio"),
        (NewRecipe("Other", steps=(a_step(material_id=99),)), "material"),
        (NewRecipe("Other", steps=(a_step(),) * (MOST_STEPS + 1)), None),
    ],
)
def test_what_no_recipe_can_be_is_refused(session: Session, now: datetime, new: NewRecipe, field: str | None) -> None:
    a_recipe(session, "Sage body")
    with pytest.raises(RuleError) as refused:
        write_recipe(session, new, capture_id="one", now=now)
    assert refused.value.field == field


def test_a_recipe_is_put_right_and_put_away(session: Session) -> None:
    recipe = a_recipe(session)
    a_recipe(session, "Other")
    correct_recipe(session, recipe.id, RecipeFacts("Sage", "warm", is_put_away=True), version=1)
    assert recipe_by_id(session, recipe.id).facts == RecipeFacts("Sage", "warm", is_put_away=True)
    assert recipe.version == 2
    with pytest.raises(RuleError, match="of that name already"):
        correct_recipe(session, recipe.id, RecipeFacts("other"), version=2)
    with pytest.raises(StaleEdit) as stale:
        correct_recipe(session, recipe.id, RecipeFacts("Late"), version=1)
    assert (stale.value.version, stale.value.now_values["Name"]) == (2, "Sage")
    assert stale.value.now_values["Steps"].startswith("1. Clean (All of it); 2. Paint, 2 coats (Body)")
    with pytest.raises(NotFound):
        correct_recipe(session, 99, RecipeFacts("Nobody's"), version=None)


def test_steps_are_added_changed_moved_and_taken_out_in_place_while_nobody_used_them(
    session: Session, now: datetime
) -> None:
    recipe = a_recipe(session)
    first = recipe_by_id(session, recipe.id).edition
    add_step(session, recipe.id, a_step(Task.PHOTOGRAPH), version=1, now=now)
    add_step(session, recipe.id, a_step(Task.SAND, grit=180), at=2, version=2, now=now)
    assert tasks(session, recipe) == [Task.CLEAN, Task.SAND, Task.PAINT, Task.WASH, Task.WAX, Task.PHOTOGRAPH]
    ids = step_ids(session, recipe)
    change_step(session, ids[2], a_step(part=Part.BODY, coats=3), version=3, now=now)
    move_step(session, ids[4], by=-1, version=4, now=now)
    remove_step(session, ids[5], version=5, now=now)
    assert tasks(session, recipe) == [Task.CLEAN, Task.SAND, Task.PAINT, Task.WAX, Task.WASH]
    sheet = recipe_by_id(session, recipe.id)
    assert (sheet.version, sheet.edition, sheet.earlier) == (6, first, ())
    assert sheet.steps[2].facts.coats == 3
    assert session.scalar(select(func.count(RecipeStep.id))) == 5


@pytest.mark.parametrize("how", ["add", "change", "move", "remove"])
def test_an_edition_that_was_used_is_never_written_again(session: Session, now: datetime, how: str) -> None:
    recipe = a_recipe(session)
    a_finish_by(session, recipe.id, a_piece(session))
    before, seen = hash_of_edition(session, recipe, 1), step_ids(session, recipe)
    acts: dict[str, Callable[[int], object]] = {
        "add": lambda _step_id: add_step(session, recipe.id, a_step(), at=1, version=None, now=now),
        "change": lambda step_id: change_step(session, step_id, a_step(coats=5), version=None, now=now),
        "move": lambda step_id: move_step(session, step_id, by=-1, version=None, now=now),
        "remove": lambda step_id: remove_step(session, step_id, version=None, now=now),
    }
    acts[how](seen[1])
    sheet = recipe_by_id(session, recipe.id)
    assert (sheet.edition.number, [one.number for one in sheet.earlier]) == (2, [1])
    assert not set(seen) & {step.id for step in sheet.steps}
    acts[how](sheet.steps[2].id)
    again = recipe_by_id(session, recipe.id)
    assert again.edition.number == 2
    assert hash_of_edition(session, recipe, 1) == before
    a_finish_by(session, recipe.id, a_piece(session))
    second = hash_of_edition(session, recipe, 2)
    acts[how](again.steps[1].id)
    assert recipe_by_id(session, recipe.id).edition.number == 3
    assert (hash_of_edition(session, recipe, 1), hash_of_edition(session, recipe, 2)) == (before, second)


def test_a_correction_of_the_name_makes_no_edition(session: Session) -> None:
    recipe = a_recipe(session)
    a_finish_by(session, recipe.id, a_piece(session))
    correct_recipe(session, recipe.id, RecipeFacts("Another name"), version=1)
    assert recipe_by_id(session, recipe.id).edition.number == 1


def test_a_late_change_of_a_step_is_shown_what_stands_there_now(session: Session, now: datetime) -> None:
    recipe = a_recipe(session)
    ids = step_ids(session, recipe)
    change_step(session, ids[1], a_step(coats=5), version=1, now=now)
    for act in (
        lambda: add_step(session, recipe.id, a_step(), version=1, now=now),
        lambda: change_step(session, ids[0], a_step(Task.CLEAN), version=1, now=now),
        lambda: move_step(session, ids[0], by=1, version=1, now=now),
        lambda: remove_step(session, ids[0], version=1, now=now),
    ):
        with pytest.raises(StaleEdit) as stale:
            act()
        assert "2. Paint, 5 coats" in stale.value.now_values["Steps"]
        assert stale.value.version == 2


def test_a_step_of_an_earlier_edition_is_refused(session: Session, now: datetime) -> None:
    recipe = a_recipe(session)
    ids = step_ids(session, recipe)
    a_finish_by(session, recipe.id, a_piece(session))
    add_step(session, recipe.id, a_step(), version=None, now=now)
    for act in (
        lambda: change_step(session, ids[0], a_step(Task.CLEAN), version=None, now=now),
        lambda: move_step(session, ids[0], by=1, version=None, now=now),
        lambda: remove_step(session, ids[0], version=None, now=now),
    ):
        with pytest.raises(RuleError, match="stands in an earlier edition"):
            act()
    with pytest.raises(NotFound):
        remove_step(session, 999, version=None, now=now)
    with pytest.raises(NotFound):
        add_step(session, 999, a_step(), version=None, now=now)


@pytest.mark.parametrize(
    ("step", "field"),
    [
        (a_step(coats=-2), "coats"),
        (a_step(Task.WASH, ratio="0:0"), "ratio"),
        (a_step(material_id=99), "material"),
        (a_step(colour="x" * 500), "colour"),
        (a_step(note="x" * 500), "note"),
    ],
)
def test_what_no_step_can_be_is_refused_and_nothing_is_copied(
    session: Session, now: datetime, step: StepFacts, field: str
) -> None:
    recipe = a_recipe(session)
    a_finish_by(session, recipe.id, a_piece(session))
    acts: tuple[Callable[[], object], ...] = (
        lambda: add_step(session, recipe.id, step, version=None, now=now),
        lambda: change_step(session, step_ids(session, recipe)[0], step, version=None, now=now),
    )
    for act in acts:
        with pytest.raises(RuleError) as refused:
            act()
        assert refused.value.field == field
    for step_id, by in ((step_ids(session, recipe)[0], -1), (step_ids(session, recipe)[-1], 1)):
        with pytest.raises(RuleError, match="step already"):
            move_step(session, step_id, by=by, version=None, now=now)  # type: ignore[arg-type]
    assert session.scalar(select(func.count(RecipeEdition.id))) == 1


def test_a_recipe_takes_sixty_steps_and_no_more(session: Session, now: datetime) -> None:
    recipe = a_recipe(session, steps=(a_step(),) * MOST_STEPS)
    with pytest.raises(RuleError, match="at most 60"):
        add_step(session, recipe.id, a_step(), version=None, now=now)


def test_a_step_keeps_its_material(session: Session, now: datetime) -> None:
    paint = a_material(session)
    recipe = a_recipe(session, steps=())
    add_step(session, recipe.id, a_step(material_id=paint.id), version=None, now=now)
    (step,) = recipe_by_id(session, recipe.id).steps
    assert (step.material_name, step.material_unit, step.facts.material_id) == ("Sage paint", paint.unit, paint.id)


def test_a_check_is_overruled_with_a_reason(session: Session, now: datetime) -> None:
    recipe = a_recipe(session)
    overrule_in_recipe(session, recipe.id, "damp", "  it dried\nfor a month ", now)
    (row,) = session.scalars(select(RecipeOverrule))
    assert (row.rule, row.note) == ("damp", "it dried for a month")
    assert [one.rule for one in recipe_by_id(session, recipe.id).overruled] == ["damp"]
    wrong = [("damp", " ", "reason"), ("damp", "y" * 301, "reason"), ("", "y", "rule"), ("x" * 41, "y", "rule")]
    for rule, note, field in wrong:
        with pytest.raises(RuleError) as refused:
            overrule_in_recipe(session, recipe.id, rule, note, now)
        assert refused.value.field == field
    with pytest.raises(NotFound):
        overrule_in_recipe(session, 99, "damp", "y", now)
    with pytest.raises(NotFound):
        overrule_in_recipe(session, recipe.id, "damp", "y", now, step_id=99)


def test_an_overrule_holds_for_steps_of_its_task_and_part_alone(session: Session, now: datetime) -> None:
    def waxed_over(part: Part) -> tuple[StepFacts, ...]:
        return a_step(Task.WAX, part=part, product=Product.PASTE_WAX), a_step(part=part)

    recipe = a_recipe(session, steps=waxed_over(Part.TOP))
    (top,) = [step for step in recipe_by_id(session, recipe.id).steps if step.facts.task is Task.PAINT]
    overrule_in_recipe(session, recipe.id, "over_wax", "it held", now, step_id=top.id)
    assert "over_wax" not in {each.rule for each in recipe_by_id(session, recipe.id).standing}
    for later in waxed_over(Part.LEGS):
        add_step(session, recipe.id, later, version=None, now=now)
    sheet = recipe_by_id(session, recipe.id)
    assert [each.place for each in sheet.standing if each.rule == "over_wax"] == [3]
    assert [(each.place, said.part, said.task) for each, said in sheet.set_aside] == [(1, Part.TOP, Task.PAINT)]
    other = a_recipe(session, "Another", steps=waxed_over(Part.TOP))
    with pytest.raises(NotFound):
        overrule_in_recipe(session, other.id, "over_wax", "it held", now, step_id=top.id)
