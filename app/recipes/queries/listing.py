"""Read the list of recipes: what each holds, its colours, and where it was used."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import date

from sqlalchemy import func, select
from sqlalchemy.orm import Session

from app.basics.words import fold
from app.pieces.models import Piece
from app.recipes.models import Finish, Recipe, RecipeEdition, RecipeStep
from app.recipes.queries.recipes import recipe_facts
from app.recipes.queries.steps import facts_of_step, materials_of
from app.recipes.rules import Part, RecipeFacts, StepFacts


@dataclass(frozen=True)
class RecipeRow:
    """One recipe in the list: what its newest edition holds, on how many pieces it was begun and when last."""

    id: int
    facts: RecipeFacts
    edition: int
    steps: int
    parts: tuple[Part, ...]
    colours: tuple[str, ...]
    pieces: int
    last_used: date | None

    @property
    def name(self) -> str:
        """What the owner calls it."""
        return self.facts.name


def recipe_rows(session: Session, *, include_put_away: bool = True) -> list[RecipeRow]:
    """Every recipe by its name; five queries for any number of them."""
    query = select(Recipe) if include_put_away else select(Recipe).where(Recipe.is_put_away.is_(False))
    found = sorted(session.scalars(query), key=lambda recipe: (fold(recipe.name), recipe.id))
    newest, uses = _newest(session), _uses(session)
    stored = _stored(session, [edition_id for edition_id, _ in newest.values()])
    materials = materials_of(session, (row for rows in stored.values() for row in rows))
    colours = {material_id: material.colour for material_id, material in materials.items()}
    rows = []
    for recipe in found:
        edition_id, number = newest[recipe.id]
        steps = [facts_of_step(row) for row in stored.get(edition_id, ())]
        pieces, last_used = uses.get(recipe.id, (0, None))
        rows.append(
            RecipeRow(
                id=recipe.id,
                facts=recipe_facts(recipe),
                edition=number,
                steps=len(steps),
                parts=tuple(dict.fromkeys(step.part for step in steps)),
                colours=_colours(steps, colours),
                pieces=pieces,
                last_used=last_used,
            )
        )
    return rows


def _newest(session: Session) -> dict[int, tuple[int, int]]:
    """By recipe the number in the ledger of its newest edition, and the edition's own."""
    query = select(RecipeEdition.recipe_id, RecipeEdition.id, RecipeEdition.number).order_by(RecipeEdition.number)
    return {recipe_id: (edition_id, number) for recipe_id, edition_id, number in session.execute(query)}


def _stored(session: Session, edition_ids: list[int]) -> dict[int, list[RecipeStep]]:
    query = select(RecipeStep).where(RecipeStep.edition_id.in_(edition_ids)).order_by(RecipeStep.position)
    found: dict[int, list[RecipeStep]] = {}
    for row in session.scalars(query):
        found.setdefault(row.edition_id, []).append(row)
    return found


def _colours(steps: Iterable[StepFacts], of_materials: Mapping[int, str | None]) -> tuple[str, ...]:
    """The colours of the coats in the order they go on, each once."""
    coats = (step for step in steps if step.is_coating)
    shown = (step.colour or of_materials.get(step.material_id or 0) for step in coats)
    return tuple(dict.fromkeys(colour for colour in shown if colour))


def _uses(session: Session) -> dict[int, tuple[int, date]]:
    """By recipe: on how many pieces it was begun, and when last; struck finds apart."""
    query = (
        select(RecipeEdition.recipe_id, func.count(func.distinct(Finish.piece_id)), func.max(Finish.begun_on))
        .join(Finish, Finish.edition_id == RecipeEdition.id)
        .join(Piece, Piece.id == Finish.piece_id)
        .where(Piece.struck_at.is_(None))
        .group_by(RecipeEdition.recipe_id)
    )
    return {recipe_id: (pieces, last) for recipe_id, pieces, last in session.execute(query)}
