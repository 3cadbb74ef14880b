"""Begin a finish on a piece, change what is still to be done of it, stop it, and name what it made."""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import datetime

from sqlalchemy import func, select
from sqlalchemy.orm import Session

from app.basics.dates import local_day
from app.basics.errors import NotFound, RuleError, StaleEdit
from app.basics.striking import reason_to_keep
from app.basics.words import LINE_LIMIT, NAME_LIMIT
from app.pieces.actions import wear_finish
from app.pieces.actions.ground import counting_piece, shop_day, the_shop
from app.pieces.queries import piece_row
from app.pieces.rules import line_of, require_capture_id, require_on_hand
from app.recipes.actions.ground import steps_in_order, the_finish, the_step, write_facts
from app.recipes.actions.recipes import write_recipe
from app.recipes.models import Finish, FinishStep, Recipe, RecipeEdition, RecipeStep
from app.recipes.queries.finish_rows import FinishSheet
from app.recipes.queries.finishes import finishes_of
from app.recipes.queries.steps import facts_of_step
from app.recipes.rules import (
    FINISH_STATE_WORDS,
    MOST_STEPS,
    FinishState,
    NewFinish,
    NewRecipe,
    Part,
    StepFacts,
    StepState,
    coats_joined,
    colours_worn,
    covers,
    on_part,
    require_under_way,
    require_waiting,
    sound_step,
)

ALL_LEFT_OUT = "Every step was left out."
WHY_STOPPED = "Say why it is stopped; a few words will do."


@dataclass(frozen=True)
class _Planned:
    """One step as it is going to stand in a finish, and the step of a recipe it comes from."""

    facts: StepFacts
    recipe_step_id: int | None = None
    coat: int = 1
    coats_in_all: int = 1


@dataclass(frozen=True)
class _Plan:
    name: str
    edition_id: int | None
    steps: Sequence[_Planned]


def begin_finish(session: Session, new: NewFinish, *, capture_id: str, now: datetime) -> Finish:
    """Begin a finish on a piece that is here: by the newest edition of a recipe, like another finish, or freely.

    A step of several coats becomes one step for each coat. A capture id seen before gives the finish that is there.
    Refuses a piece that is sold or gone, a recipe without steps, a free finish without a name, and to cover a finish
    of another piece or one that is under way (RuleError); raises NotFound for an unknown piece, recipe or finish.
    """
    require_capture_id(capture_id)
    there = session.scalars(select(Finish).where(Finish.capture_id == capture_id)).first()
    if there is not None:
        return there
    piece = counting_piece(session, new.piece_id)
    require_on_hand(piece.stage, piece.left_as)
    _require_coverable(session, new)
    plan = _plan_of(session, new)
    _require_room(len(plan.steps))
    finish = Finish(
        capture_id=capture_id,
        piece_id=piece.id,
        edition_id=plan.edition_id,
        name=plan.name,
        redo_of_id=new.redo_of_id,
        made_for=line_of(new.made_for, NAME_LIMIT, "made_for"),
        state=FinishState.UNDER_WAY,
        begun_on=shop_day(session, now),
        ended_on=None,
        stopped_reason="",
        made_at=now,
    )
    session.add(finish)
    session.flush()
    session.add_all(_stored(finish.id, place, planned) for place, planned in enumerate(plan.steps))
    session.flush()
    return finish


def add_finish_step(session: Session, finish_id: int, step: StepFacts, *, now: datetime) -> list[FinishStep]:
    """Put a step at the end of a finish that is under way, once for each of its coats.

    A finish that was done is under way again. Refuses one that was stopped, more steps than a finish can have, and
    what `sound_step` refuses; raises NotFound.
    """
    finish = the_finish(session, finish_id)
    if finish.state is FinishState.STOPPED:
        raise RuleError("This finish was stopped. Begin a new one on the piece.")
    piece = counting_piece(session, finish.piece_id)
    require_on_hand(piece.stage, piece.left_as)
    there = len(steps_in_order(session, finish_id))
    sound = sound_step(step)
    _require_room(there + sound.coats)
    added = [_stored(finish_id, there + place, planned) for place, planned in enumerate(_coats(sound, None))]
    session.add_all(added)
    session.flush()
    settle_finish(session, finish_id, now=now)
    return added


def change_finish_step(session: Session, step_id: int, facts: StepFacts, *, version: int | None) -> FinishStep:
    """Change what a step that was not begun yet says; its recipe stays as it is.

    Refuses one that was begun (NotNow) and what `sound_step` refuses; raises StaleEdit, NotFound.
    """
    step = the_step(session, step_id, version)
    require_waiting(step.state)
    require_under_way(the_finish(session, step.finish_id).state)
    write_facts(step, replace(sound_step(facts), coats=1))
    session.flush()
    return step


def stop_finish(session: Session, finish_id: int, *, reason: str, version: int | None, now: datetime) -> Finish:
    """Stop a finish before its last step, with the reason; what was done of it stays.

    Refuses one that is over and no reason (RuleError); raises StaleEdit, NotFound.
    """
    finish = the_finish(session, finish_id)
    if version is not None and version != finish.version:
        raise StaleEdit("finish", {"It is": FINISH_STATE_WORDS[finish.state]}, finish.version)
    if finish.state is not FinishState.UNDER_WAY:
        raise RuleError(f"This finish is {FINISH_STATE_WORDS[finish.state]} already.")
    if any(step.state is StepState.STARTED for step in steps_in_order(session, finish_id)):
        raise RuleError("A step of it is begun. Say that it is done, or put it back, first.")
    finish.stopped_reason = reason_to_keep(reason, WHY_STOPPED)
    finish.state, finish.ended_on = FinishState.STOPPED, shop_day(session, now)
    session.flush()
    say_what_it_wears(session, finish.piece_id, now=now)
    return finish


def keep_as_recipe(session: Session, finish_id: int, *, name: str, capture_id: str, now: datetime) -> Recipe:
    """Write a recipe of what was really done in a finish, or as far as it is planned; like coats in a row are one step.

    Refuses a name that is taken, and a finish without steps (RuleError); raises NotFound.
    """
    rows = _really_done(session, the_finish(session, finish_id))
    if not rows:
        raise RuleError("This finish has no steps to keep.")
    steps = coats_joined(facts_of_step(row) for row in rows)
    return write_recipe(session, NewRecipe(name, steps=tuple(steps)), capture_id=capture_id, now=now)


def settle_finish(session: Session, finish_id: int, *, now: datetime) -> Finish:
    """Let a finish be done once no step of it is left to do, and under way again where one is; name it on its piece.

    It ended on the day its last step was done. One of which every step was left out is stopped.
    """
    finish = the_finish(session, finish_id)
    if finish.state is FinishState.STOPPED and finish.stopped_reason != ALL_LEFT_OUT:
        return finish
    steps = steps_in_order(session, finish_id)
    done = [step.done_at for step in steps if step.state is StepState.DONE and step.done_at is not None]
    is_over = bool(steps) and all(step.state in {StepState.DONE, StepState.LEFT_OUT} for step in steps)
    was_done = finish.state is FinishState.DONE
    finish.state, finish.ended_on, finish.stopped_reason = FinishState.UNDER_WAY, None, ""
    if is_over and done:
        finish.state, finish.ended_on = FinishState.DONE, local_day(max(done), the_shop(session).time_zone)
    elif is_over:
        finish.state, finish.ended_on = FinishState.STOPPED, shop_day(session, now)
        finish.stopped_reason = ALL_LEFT_OUT
    session.flush()
    if was_done or finish.state is FinishState.DONE:
        say_what_it_wears(session, finish.piece_id, now=now)
    return finish


def say_what_it_wears(session: Session, piece_id: int, *, now: datetime) -> None:
    """Keep with the piece what its finishes that are done and still show are called, and the colours they show.

    A finish without a coat shows nothing. Where none shows any more what finishes said is taken back; what the owner
    said stays, and so does the colour where no coat has one.
    """
    piece = piece_row(session, piece_id)
    all_of_it = finishes_of(session, piece)
    done = [each for each in reversed(all_of_it) if each.state is FinishState.DONE and each.coated]
    if not done:
        said = {each.name for each in all_of_it}
        if piece.finish_words and set(piece.finish_words.split("; ")) <= said:
            wear_finish(session, piece_id, colour=None, words="", parts={}, now=now)
        return
    showing = [each for place, each in enumerate(done) if not _is_hidden(each, done[place + 1 :])]
    words = "; ".join(dict.fromkeys(each.name for each in showing))[:LINE_LIMIT].rstrip("; ")
    coats = ((step.part, step.colour) for each in done for step in each.steps if step.state is StepState.DONE)
    colours = colours_worn((part, colour) for part, colour in coats if colour is not None)
    colour = colours.most or (None if colours.parts else piece.finish_colour)
    wear_finish(session, piece_id, colour=colour, words=words, parts=colours.parts, now=now)


def _is_hidden(finish: FinishSheet, later: Sequence[FinishSheet]) -> bool:
    """Whether finishes that were put over it since leave nothing of it to be seen."""
    over: frozenset[Part] = frozenset()
    covering = {finish.id}
    for each in later:
        if each.redo_of_id in covering:
            covering.add(each.id)
            over |= each.coated
    return covers(over, finish.coated)


def _plan_of(session: Session, new: NewFinish) -> _Plan:
    if new.recipe_id is not None:
        return _by_recipe(session, new)
    if new.like_finish_id is not None:
        return _like_finish(session, new)
    name = line_of(new.name, NAME_LIMIT, "name")
    if not name:
        raise RuleError("Give the finish a name, or choose a recipe.", "name")
    return _Plan(name, None, [])


def _by_recipe(session: Session, new: NewFinish) -> _Plan:
    recipe = session.get(Recipe, new.recipe_id)
    if recipe is None:
        raise NotFound("recipe")
    if recipe.is_put_away:
        raise RuleError("This recipe is put away. Bring it out again first.", "recipe")
    newest = select(func.max(RecipeEdition.number)).where(RecipeEdition.recipe_id == recipe.id).scalar_subquery()
    edition_id = session.scalar(
        select(RecipeEdition.id).where(RecipeEdition.recipe_id == recipe.id, RecipeEdition.number == newest)
    )
    rows = session.scalars(
        select(RecipeStep).where(RecipeStep.edition_id == edition_id).order_by(RecipeStep.position)
    ).all()
    if not rows:
        raise RuleError("This recipe has no steps yet. Write them first.", "recipe")
    facts = _placed([facts_of_step(row) for row in rows], new.part)
    steps = [planned for row, each in zip(rows, facts, strict=True) for planned in _coats(each, row.id)]
    return _Plan(line_of(new.name, NAME_LIMIT, "name") or recipe.name, edition_id, steps)


def _like_finish(session: Session, new: NewFinish) -> _Plan:
    like = the_finish(session, new.like_finish_id or 0)
    rows = _really_done(session, like)
    if not rows:
        raise RuleError("That finish has no steps to do again.", "recipe")
    facts = _placed([facts_of_step(row) for row in rows], new.part)
    steps = [planned for each in coats_joined(facts) for planned in _coats(each, None)]
    ids = [row.recipe_step_id for row in rows]
    steps = [replace(planned, recipe_step_id=number) for planned, number in zip(steps, ids, strict=True)]
    return _Plan(line_of(new.name, NAME_LIMIT, "name") or like.name, like.edition_id, steps)


def _really_done(session: Session, finish: Finish) -> list[FinishStep]:
    """The steps of a finish as they were done; of one under way also those still to do."""
    wanted = {StepState.DONE}
    if finish.state is FinishState.UNDER_WAY:
        wanted |= {StepState.STARTED, StepState.WAITING}
    return [row for row in steps_in_order(session, finish.id) if row.state in wanted]


def _require_room(steps: int) -> None:
    if steps > MOST_STEPS:
        raise RuleError(f"A finish has at most {MOST_STEPS} steps, a coat counting as one.", "recipe")


def _placed(facts: Sequence[StepFacts], part: Part | None) -> list[StepFacts]:
    return list(facts) if part is None else on_part(facts, part)


def _coats(facts: StepFacts, recipe_step_id: int | None) -> list[_Planned]:
    one = replace(facts, coats=1)
    return [_Planned(one, recipe_step_id, coat, facts.coats) for coat in range(1, facts.coats + 1)]


def _stored(finish_id: int, position: int, planned: _Planned) -> FinishStep:
    step = FinishStep(
        finish_id=finish_id,
        recipe_step_id=planned.recipe_step_id,
        position=position,
        coat=planned.coat,
        coats_in_all=planned.coats_in_all,
        state=StepState.WAITING,
        done_note="",
    )
    write_facts(step, planned.facts)
    return step


def _require_coverable(session: Session, new: NewFinish) -> None:
    if new.redo_of_id is None:
        return
    covered = session.get(Finish, new.redo_of_id)
    if covered is None or covered.piece_id != new.piece_id:
        raise RuleError("Choose the finish to be redone out of the list.", "redo_of")
    over = select(Finish.id).where(Finish.redo_of_id == covered.id, Finish.state != FinishState.STOPPED)
    if session.scalar(over.limit(1)) is not None:
        raise RuleError("A later finish goes over that one already. Choose the later one.", "redo_of")
    if covered.state is FinishState.UNDER_WAY:
        raise RuleError("That finish is still under way. Stop it first, or do its last steps.", "redo_of")
