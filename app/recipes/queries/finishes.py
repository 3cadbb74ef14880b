"""Read finishes as done: one with its steps, those of a piece, and the work in hand of all."""

from collections import defaultdict
from collections.abc import Collection, Iterable, Sequence
from dataclasses import replace
from datetime import datetime
from functools import cache
from typing import Any

from sqlalchemy import func, select
from sqlalchemy.orm import Session, aliased

from app.basics.errors import NotFound
from app.pieces.queries import PieceRow, piece_rows
from app.recipes.models import (
    Finish,
    FinishOverrule,
    FinishStep,
    MaterialLabel,
    Recipe,
    RecipeEdition,
    RecipeStep,
    StepTime,
)
from app.recipes.queries.finish_rows import FinishSheet, FinishStepRow, MaterialOfStep, Overruling
from app.recipes.queries.labels import label_in
from app.recipes.queries.steps import facts_of_step
from app.recipes.rules import (
    NO_LABEL,
    FinishState,
    StepState,
    changed_words,
    drying_of,
)
from app.shelf.models import Material, ShelfCharge
from app.timelog.models import TimeEntry


def finish_by_id(session: Session, finish_id: int) -> FinishSheet:
    """A finish by its number; raises NotFound."""
    for found in _sheets(session, Finish.id == finish_id, with_overruled=True):
        return found
    raise NotFound("finish")


def finish_of_step(session: Session, step_id: int) -> FinishSheet:
    """The finish that a step belongs to; raises NotFound."""
    finish_id = session.scalar(select(FinishStep.finish_id).where(FinishStep.id == step_id))
    if finish_id is None:
        raise NotFound("step")
    return finish_by_id(session, finish_id)


def step_in(finish: FinishSheet, step_id: int) -> FinishStepRow:
    """A step of a finish by its number; raises NotFound."""
    for step in finish.steps:
        if step.id == step_id:
            return step
    raise NotFound("step")


def written_steps(session: Session, finish: FinishSheet) -> dict[int, list[str]]:
    """What each step of a finish says otherwise than its recipe did, by the step's id; nothing where it does not."""
    ids = [step.recipe_step_id for step in finish.steps if step.recipe_step_id is not None]
    rows = {row.id: facts_of_step(row) for row in session.scalars(select(RecipeStep).where(RecipeStep.id.in_(ids)))}
    written = ((step, rows.get(step.recipe_step_id or 0)) for step in finish.steps)
    return {step.id: changed_words(replace(row, coats=1), step.facts) for step, row in written if row is not None}


def finishes_of(session: Session, piece: PieceRow) -> list[FinishSheet]:
    """Every finish of a piece, the newest first, without what was overruled; the same few queries for any number."""
    return _sheets(session, Finish.piece_id == piece.id, piece=piece)


def finishes_by_piece(session: Session, piece_ids: Collection[int]) -> dict[int, list[FinishSheet]]:
    """The same of several pieces, by piece; those without a finish are left out."""
    found: dict[int, list[FinishSheet]] = defaultdict(list)
    for sheet in _sheets(session, Finish.piece_id.in_(piece_ids)) if piece_ids else ():
        found[sheet.piece.id].append(sheet)
    return dict(found)


def finishes_in_hand(session: Session, now: datetime) -> list[FinishSheet]:
    """Every finish that is under way or of which a coat still dries, on a piece that is here, oldest piece first."""
    found = _sheets(session, (Finish.state == FinishState.UNDER_WAY) | Finish.id.in_(_drying(now)))
    return sorted((each for each in found if each.piece.is_on_hand), key=lambda each: (each.piece.id, each.id))


def finishes_drying(session: Session, now: datetime) -> list[FinishSheet]:
    """Every finish of which a coat is still drying, under way or done, on a piece that is here."""
    found = _sheets(session, Finish.id.in_(_drying(now)))
    return [each for each in found if each.piece.is_on_hand]


def _drying(now: datetime) -> Any:
    return select(FinishStep.finish_id).where(FinishStep.ready_at > now, FinishStep.state == StepState.DONE)


def _sheets(
    session: Session, wanted: Any, *, piece: PieceRow | None = None, with_overruled: bool = False
) -> list[FinishSheet]:
    """The finishes wanted, each with what was done in the others of its piece; the same few queries for any number."""
    of_its_piece = Finish.piece_id.in_(select(Finish.piece_id).where(wanted))
    found = session.execute(_finishes().add_columns(wanted).where(of_its_piece).order_by(Finish.id.desc())).all()
    if not found:
        return []
    known = [piece] if piece else piece_rows(session, ids={finish.piece_id for finish, *_ in found})
    pieces = {row.id: row for row in known}
    steps = _steps_of(session, [finish.id for finish, *_ in found])
    overruled = _overruled(session, [finish.id for finish, *_ in found]) if with_overruled else {}
    done: dict[int, list[FinishStepRow]] = defaultdict(list)
    for finish, *_ in found:
        done[finish.piece_id] += [step for step in steps.get(finish.id, ()) if step.state is StepState.DONE]
    sheets = [_sheet(row, pieces[row[0].piece_id], steps.get(row[0].id, ()), done) for row in found if row[-1]]
    return [replace(sheet, overruled=tuple(overruled.get(sheet.id, ()))) for sheet in sheets]


@cache
def _finishes() -> Any:
    """Each finish with its edition, its recipe, the one it covers and the one over it; written once, read often."""
    over, redone = aliased(Finish), aliased(Finish)
    covered_by = select(func.max(over.id)).where(over.redo_of_id == Finish.id, over.state != FinishState.STOPPED)
    return (
        select(Finish, RecipeEdition.number, Recipe.id, Recipe.name, redone.name, covered_by.scalar_subquery())
        .outerjoin(RecipeEdition, RecipeEdition.id == Finish.edition_id)
        .outerjoin(Recipe, Recipe.id == RecipeEdition.recipe_id)
        .outerjoin(redone, redone.id == Finish.redo_of_id)
    )


def _sheet(
    row: Any, piece: PieceRow, steps: Iterable[FinishStepRow], done: dict[int, list[FinishStepRow]]
) -> FinishSheet:
    finish, number, recipe_id, recipe_name, redone_name, covered_by_id, _ = row
    return FinishSheet(
        id=finish.id,
        version=finish.version,
        piece=piece,
        name=finish.name,
        recipe_id=recipe_id,
        recipe_name=recipe_name or "",
        edition=number,
        redo_of_id=finish.redo_of_id,
        redo_of_name=redone_name or "",
        covered_by_id=covered_by_id,
        made_for=finish.made_for,
        state=finish.state,
        begun_on=finish.begun_on,
        ended_on=finish.ended_on,
        stopped_reason=finish.stopped_reason,
        made_at=finish.made_at,
        steps=tuple(steps),
        overruled=(),
        beside=tuple(step for step in done[finish.piece_id] if step.finish_id != finish.id),
    )


def _overruled(session: Session, ids: Sequence[int]) -> dict[int, list[Overruling]]:
    found: dict[int, list[Overruling]] = defaultdict(list)
    query = select(FinishOverrule).where(FinishOverrule.finish_id.in_(ids)).order_by(FinishOverrule.id)
    for row in session.scalars(query):
        found[row.finish_id].append(Overruling(row.rule, row.step_id, row.note))
    return found


def _steps_of(session: Session, ids: Sequence[int]) -> dict[int, list[FinishStepRow]]:
    worked = (
        select(func.sum(TimeEntry.minutes))
        .join(StepTime, StepTime.time_entry_id == TimeEntry.id)
        .where(StepTime.step_id == FinishStep.id, TimeEntry.struck_at.is_(None))
    )
    charged = select(func.sum(ShelfCharge.cents)).where(ShelfCharge.use_id == FinishStep.use_id)
    query = (
        select(FinishStep, Material, MaterialLabel, worked.scalar_subquery(), charged.scalar_subquery())
        .outerjoin(Material, Material.id == FinishStep.material_id)
        .outerjoin(MaterialLabel, MaterialLabel.material_id == FinishStep.material_id)
        .where(FinishStep.finish_id.in_(ids))
        .order_by(FinishStep.finish_id, FinishStep.position)
    )
    steps: dict[int, list[FinishStepRow]] = defaultdict(list)
    for step, material, label, minutes, cents in session.execute(query):
        cost = None if cents is None else int(cents)
        steps[step.finish_id].append(_step_row(step, material, label, int(minutes or 0), cost))
    return steps


def _step_row(
    step: FinishStep,
    material: Material | None,
    label: MaterialLabel | None,
    minutes: int,
    cost_cents: int | None,
) -> FinishStepRow:
    facts = facts_of_step(step)
    known = label_in(label) if label else NO_LABEL
    return FinishStepRow(
        id=step.id,
        version=step.version,
        finish_id=step.finish_id,
        recipe_step_id=step.recipe_step_id,
        position=step.position,
        coat=step.coat,
        coats_in_all=step.coats_in_all,
        facts=facts,
        material=MaterialOfStep(material.id, material.name, material.unit, material.colour) if material else None,
        label=known,
        drying=drying_of(facts, known),
        state=step.state,
        started_at=step.started_at,
        done_at=step.done_at,
        ready_at=step.ready_at,
        closes_at=step.closes_at,
        cured_at=step.cured_at,
        minutes=minutes,
        used_milli=step.used_milli,
        use_id=step.use_id,
        cost_cents=cost_cents,
        temp_tenths=step.temp_tenths,
        humidity=step.humidity,
        done_note=step.done_note,
    )
