"""Write a recipe, put it right, and change its steps; an edition that a finish was made by is never written again."""

from datetime import datetime

from sqlalchemy import select
from sqlalchemy.orm import Session

from app.basics.errors import NotFound, RuleError, StaleEdit
from app.basics.striking import reason_to_keep
from app.basics.words import fold
from app.pieces.actions.ground import the_shop
from app.pieces.rules import require_capture_id
from app.recipes.actions.editions import keep_changed, newest_edition, place_steps, steps_to_write
from app.recipes.models import Recipe, RecipeEdition, RecipeOverrule, RecipeStep
from app.recipes.queries import facts_of_step, recipe_of_step, stored_steps
from app.recipes.rules import (
    ORDER_RULES,
    WHY_OVERRULED,
    Direction,
    NewRecipe,
    RecipeFacts,
    StepFacts,
    moved,
    put_in,
    require_room,
    sound_name,
    sound_note,
    sound_step,
)
from app.shelf.models import Material


def write_recipe(session: Session, new: NewRecipe, *, capture_id: str, now: datetime) -> Recipe:
    """Write a new recipe with its first edition; a capture id seen before gives the one that is there.

    Refuses a missing name, one another recipe has, more than 60 steps, and what no step can be (RuleError).
    """
    require_capture_id(capture_id)
    there = session.scalars(select(Recipe).where(Recipe.capture_id == capture_id)).first()
    if there is not None:
        return there
    the_shop(session)
    name = sound_name(new.name)
    _require_free_name(session, name, None)
    require_room(len(new.steps))
    steps = [_sound(session, step) for step in new.steps]
    recipe = Recipe(capture_id=capture_id, name=name, note=sound_note(new.note), is_put_away=False, made_at=now)
    session.add(recipe)
    session.flush()
    edition = RecipeEdition(recipe_id=recipe.id, number=1, made_at=now)
    session.add(edition)
    session.flush()
    place_steps(session, edition, [RecipeStep(**vars(step)) for step in steps])
    return recipe


def correct_recipe(session: Session, recipe_id: int, facts: RecipeFacts, *, version: int | None) -> Recipe:
    """Put right the name and the note of a recipe, or put it away.

    Refuses what `write_recipe` refuses; raises StaleEdit when it is not at `version` any more, NotFound.
    """
    recipe = _recipe_to_change(session, recipe_id, version)
    name = sound_name(facts.name)
    _require_free_name(session, name, recipe_id)
    recipe.name, recipe.note, recipe.is_put_away = name, sound_note(facts.note), facts.is_put_away
    session.flush()
    return recipe


def add_step(
    session: Session, recipe_id: int, step: StepFacts, *, at: int | None = None, version: int | None, now: datetime
) -> RecipeStep:
    """Add a step to a recipe: as number `at` counted from 1, or at the end.

    Where the newest edition was used by a finish, its steps are copied into another one first; so it is with every
    change below. Refuses more than 60 steps and what no step can be (RuleError); raises StaleEdit, NotFound.
    """
    recipe = _recipe_to_change(session, recipe_id, version)
    added = RecipeStep(**vars(_sound(session, step)))
    require_room(len(stored_steps(session, newest_edition(session, recipe_id).id)) + 1)
    edition, steps = steps_to_write(session, recipe, now=now)
    place_steps(session, edition, put_in(list(steps.values()), added, at))
    keep_changed(session, recipe)
    return added


def change_step(session: Session, step_id: int, step: StepFacts, *, version: int | None, now: datetime) -> RecipeStep:
    """Let a step say something else.

    Refuses what no step can be, and a step of an earlier edition (RuleError); raises StaleEdit, NotFound.
    """
    recipe = _recipe_of_step(session, step_id, version)
    sound = _sound(session, step)
    _, steps = steps_to_write(session, recipe, now=now)
    for name, said in vars(sound).items():
        setattr(steps[step_id], name, said)
    keep_changed(session, recipe)
    return steps[step_id]


def move_step(session: Session, step_id: int, *, by: Direction, version: int | None, now: datetime) -> RecipeStep:
    """Move a step one place up (-1) or down (1); refuses beyond the ends (RuleError), else as `change_step`."""
    recipe = _recipe_of_step(session, step_id, version)
    seen = [row.id for row in stored_steps(session, newest_edition(session, recipe.id).id)]
    order = moved(seen, step_id, by)
    edition, steps = steps_to_write(session, recipe, now=now)
    place_steps(session, edition, [steps[each] for each in order])
    keep_changed(session, recipe)
    return steps[step_id]


def remove_step(session: Session, step_id: int, *, version: int | None, now: datetime) -> Recipe:
    """Take a step out of its recipe; refuses as `change_step`."""
    recipe = _recipe_of_step(session, step_id, version)
    edition, steps = steps_to_write(session, recipe, now=now)
    session.delete(steps.pop(step_id))
    place_steps(session, edition, list(steps.values()))
    keep_changed(session, recipe)
    return recipe


def overrule_in_recipe(
    session: Session, recipe_id: int, rule: str, note: str, now: datetime, *, step_id: int | None = None
) -> RecipeOverrule:
    """Keep that the owner knows better than a check on this recipe, and why.

    `rule` is the key of the check. It holds for steps of the same task and part as the step given, and where none is,
    for what is about no step. Refuses no reason, at "reason", and a key no check has (RuleError); raises NotFound.
    """
    if session.get(Recipe, recipe_id) is None:
        raise NotFound("recipe")
    step = None if step_id is None else _step_of(session, recipe_id, step_id)
    kept = reason_to_keep(note, WHY_OVERRULED)
    if rule not in ORDER_RULES:
        raise RuleError("There is no such check.", "rule")
    overrule = RecipeOverrule(
        recipe_id=recipe_id,
        task=step.task if step else None,
        part=step.part if step else None,
        rule=rule,
        note=kept,
        made_at=now,
    )
    session.add(overrule)
    session.flush()
    return overrule


def _step_of(session: Session, recipe_id: int, step_id: int) -> StepFacts:
    """What a step of any edition of the recipe says; raises NotFound."""
    step = session.get(RecipeStep, step_id)
    if step is None or recipe_of_step(session, step_id)[0] != recipe_id:
        raise NotFound("step")
    return facts_of_step(step)


def _recipe_to_change(session: Session, recipe_id: int, version: int | None) -> Recipe:
    recipe = session.get(Recipe, recipe_id)
    if recipe is None:
        raise NotFound("recipe")
    if version is not None and recipe.version != version:
        raise StaleEdit("recipe", _as_words(session, recipe), recipe.version)
    return recipe


def _recipe_of_step(session: Session, step_id: int, version: int | None) -> Recipe:
    """The recipe of a step that may be changed; refuses one of an earlier edition (RuleError)."""
    recipe_id, number = recipe_of_step(session, step_id)
    recipe = _recipe_to_change(session, recipe_id, version)
    if number != newest_edition(session, recipe_id).number:
        raise RuleError(
            "This step stands in an earlier edition, which stays as it is. Change the step on the recipe's own page."
        )
    return recipe


def _sound(session: Session, step: StepFacts) -> StepFacts:
    if step.material_id is not None and session.get(Material, step.material_id) is None:
        raise RuleError("Choose the material out of the list.", "material")
    return sound_step(step)


def _require_free_name(session: Session, name: str, own_id: int | None) -> None:
    taken = session.execute(select(Recipe.id, Recipe.name))
    if any(fold(other) == fold(name) and other_id != own_id for other_id, other in taken):
        raise RuleError("There is a recipe of that name already. Give this one another.", "name")


def _as_words(session: Session, recipe: Recipe) -> dict[str, str]:
    steps = [facts_of_step(row) for row in stored_steps(session, newest_edition(session, recipe.id).id)]
    told = (f"{number}. {step.words} ({step.part_words})" for number, step in enumerate(steps, start=1))
    return {
        "Name": recipe.name,
        "Note": recipe.note,
        "Put away": "yes" if recipe.is_put_away else "no",
        "Steps": "; ".join(told) or "none",
    }
