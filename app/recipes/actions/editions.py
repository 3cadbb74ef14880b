"""The edition that may be written: the newest one, or a copy of it once a finish was made by it."""

from collections.abc import Sequence
from datetime import datetime

from sqlalchemy import select
from sqlalchemy.orm import Session
from sqlalchemy.orm.attributes import flag_modified

from app.recipes.models import Finish, Recipe, RecipeEdition, RecipeStep
from app.recipes.queries import facts_of_step, stored_steps


def newest_edition(session: Session, recipe_id: int) -> RecipeEdition:
    """The edition a recipe stands at now."""
    query = select(RecipeEdition).where(RecipeEdition.recipe_id == recipe_id)
    return session.scalars(query.order_by(RecipeEdition.number.desc()).limit(1)).one()


def steps_to_write(session: Session, recipe: Recipe, *, now: datetime) -> tuple[RecipeEdition, dict[int, RecipeStep]]:
    """The edition that may be written and its steps in their order, each under the number it was seen by.

    An edition no finish was made by is written in place. Any other stays as it is: its steps are copied into the next.
    """
    newest = newest_edition(session, recipe.id)
    seen = stored_steps(session, newest.id)
    if session.scalar(select(Finish.id).where(Finish.edition_id == newest.id).limit(1)) is None:
        return newest, {row.id: row for row in seen}
    edition = RecipeEdition(recipe_id=recipe.id, number=newest.number + 1, made_at=now)
    session.add(edition)
    session.flush()
    copies = {row.id: RecipeStep(**vars(facts_of_step(row))) for row in seen}
    place_steps(session, edition, list(copies.values()))
    return edition, copies


def place_steps(session: Session, edition: RecipeEdition, steps: Sequence[RecipeStep]) -> None:
    """Let the steps stand in an edition in this order, numbered from 1."""
    for position, step in enumerate(steps, start=1):
        step.edition_id, step.position = edition.id, position
    session.add_all(steps)
    session.flush()


def keep_changed(session: Session, recipe: Recipe) -> None:
    """Raise the version of a recipe although only its steps changed, so that an older form is noticed."""
    flag_modified(recipe, "name")
    session.flush()
