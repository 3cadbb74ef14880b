"""Recipes, steps and labels for tests, written by the real actions; and a finish laid down as it stands there."""

from datetime import date, datetime
from typing import Any
from uuid import uuid4

from sqlalchemy.orm import Session

from app.pieces.models import Piece
from app.recipes.actions import say_label, write_recipe
from app.recipes.models import Finish, MaterialLabel, Recipe
from app.recipes.queries import recipe_by_id
from app.recipes.rules import FinishState, Label, NewRecipe, Part, StepFacts, Task
from tests.builders.pieces import NOW

BEGUN = date(2026, 11, 20)


def a_step(task: Task = Task.PAINT, **facts: Any) -> StepFacts:
    """One coat of paint on all of it, but for what is said."""
    return StepFacts(task, **facts)


def two_parts() -> tuple[StepFacts, ...]:
    """A body painted with two coats, a top washed 1:4 and waxed."""
    return (
        a_step(Task.CLEAN),
        a_step(part=Part.BODY, coats=2),
        a_step(Task.WASH, part=Part.TOP, ratio="1:4"),
        a_step(Task.WAX, part=Part.TOP),
    )


def a_recipe(
    session: Session,
    name: str = "Sage body, washed top",
    *,
    steps: tuple[StepFacts, ...] | None = None,
    now: datetime = NOW,
) -> Recipe:
    """A recipe with those steps, or with two parts."""
    new = NewRecipe(name, steps=two_parts() if steps is None else steps)
    return write_recipe(session, new, capture_id=str(uuid4()), now=now)


def a_label(session: Session, material_id: int, *, now: datetime = NOW, **said: Any) -> MaterialLabel:
    """A label that says the next coat may go on after four hours, but for what is said."""
    return say_label(session, material_id, Label(**{"recoat": 240, **said}), version=None, now=now)


def a_finish_by(
    session: Session, recipe_id: int, piece: Piece, *, begun_on: date = BEGUN, now: datetime = NOW
) -> Finish:
    """A finish begun on the piece by the newest edition of a recipe, without its steps."""
    sheet = recipe_by_id(session, recipe_id)
    row = Finish(
        capture_id=str(uuid4()),
        piece_id=piece.id,
        edition_id=sheet.edition.id,
        name=sheet.name,
        made_for="",
        state=FinishState.UNDER_WAY,
        begun_on=begun_on,
        stopped_reason="",
        made_at=now,
    )
    session.add(row)
    session.flush()
    return row
