"""Enter the demo's recipes, labels, surfaces and finishes as done, and what its bench goes by."""

from collections.abc import Sequence
from dataclasses import replace
from datetime import UTC, datetime
from typing import Any

from sqlalchemy import select

from app.basics.errors import RuleError
from app.basics.spells import parse_spells
from app.bench.actions import expect, set_bench_facts
from app.demo.actions.entering import DemoShop, capture_id, known
from app.demo.rules import finishing as told
from app.recipes.actions import (
    begin_finish,
    begin_step,
    change_finish_step,
    change_step,
    finish_step,
    leave_out,
    look_over,
    overrule_in_recipe,
    say_label,
    stop_finish,
    write_recipe,
)
from app.recipes.models import FinishStep
from app.recipes.queries import facts_of_step, recipe_by_id
from app.recipes.rules import SEEN_WORDS, DoneFacts, Label, NewFinish, NewRecipe, StepFacts, StepState, Surface, Task
from app.shop.actions import set_usual_hours
from app.shop.rules import WEEKDAYS

TENTHS = 10


def set_hours(shop: DemoShop, rows: Sequence[told.UsualHoursRecord], now: datetime) -> None:  # noqa: ARG001 - no moment
    """Say what hours of the week the owner has for the bench; refuses what is no day of the week (RuleError)."""
    spells = {known(dict.fromkeys(WEEKDAYS, row.weekday), row.weekday, "weekday"): row.spells for row in rows}
    set_usual_hours(shop.session, [parse_spells(spells.get(weekday, "")) for weekday in WEEKDAYS])


def set_workshop(shop: DemoShop, row: told.WorkshopRecord, now: datetime) -> None:  # noqa: ARG001 - nor have places
    """Say what the workshop has."""
    set_bench_facts(shop.session, drying_places=row.drying_places, spray_clear=row.spray_clear, version=None)


def say_what_it_brings(shop: DemoShop, row: told.ExpectationRecord, now: datetime) -> None:
    """Say what a piece is expected to bring."""
    expect(shop.session, shop.piece_id(row.piece), row.brings, version=None, now=now)


def read_label(shop: DemoShop, row: told.LabelRecord, now: datetime) -> None:
    """Say what the label of a material says."""
    label = Label(row.product, row.recoat, row.recoat_by, row.handle, row.cure, row.dwell, row.spread)
    material = known(shop.materials, row.material, "material")
    say_label(shop.session, material.id, label, version=None, now=now)


def write_down_recipe(
    shop: DemoShop, row: told.RecipeRecord, steps: Sequence[told.RecipeStepRecord], now: datetime
) -> None:
    """Write a recipe with its first steps, and why a check does not hold for it where the owner knows better."""
    new = NewRecipe(row.name, row.note, tuple(_facts(shop, step) for step in steps))
    recipe = write_recipe(shop.session, new, capture_id=capture_id("recipes", row.line), now=now)
    shop.recipes[row.recipe] = recipe.id
    if row.overruled_rule:
        sheet = recipe_by_id(shop.session, recipe.id)
        places = [each.place for each in sheet.findings if each.rule == row.overruled_rule and each.place is not None]
        step_id = sheet.steps[places[0]].id if places else None
        overrule_in_recipe(shop.session, recipe.id, row.overruled_rule, row.overruled_note, now, step_id=step_id)


def change_recipe(shop: DemoShop, row: told.RecipeStepRecord, now: datetime) -> None:
    """Let a step of a recipe say something else."""
    steps = recipe_by_id(shop.session, known(shop.recipes, row.recipe, "recipe")).steps
    change_step(shop.session, steps[row.step - 1].id, _facts(shop, row), version=None, now=now)


def look_piece_over(shop: DemoShop, row: told.SurfaceRecord, now: datetime) -> None:
    """Keep what a piece has on it; refuses what is never seen on one (RuleError)."""
    seen: dict[str, Any] = {
        known(dict.fromkeys(SEEN_WORDS, name), name, "word for what is seen"): True for name in row.seen
    }
    surface = Surface(old_finish=row.old_finish, lead_test=row.lead_test, note=row.note, **seen)
    look_over(shop.session, shop.piece_id(row.piece), surface, version=None, now=now)


def begin_a_finish(shop: DemoShop, row: told.BegunFinishRecord, now: datetime) -> None:
    """Begin a finish on a piece, and choose its paint where it says one."""
    new = NewFinish(
        piece_id=shop.piece_id(row.piece),
        recipe_id=known(shop.recipes, row.recipe, "recipe") if row.recipe else None,
        like_finish_id=known(shop.finishes, row.like, "finish").id if row.like else None,
        part=row.part,
        name=row.name,
        redo_of_id=known(shop.finishes, row.redo_of, "finish").id if row.redo_of else None,
        made_for=row.made_for,
    )
    finish = begin_finish(shop.session, new, capture_id=capture_id("finishes_begun", row.line), now=now)
    shop.finishes[row.finish] = finish
    steps = list(
        shop.session.scalars(select(FinishStep).where(FinishStep.finish_id == finish.id).order_by(FinishStep.position))
    )
    shop.finish_steps[row.finish] = steps
    if row.paint:
        for step in steps:
            if step.task is Task.PAINT:
                facts = replace(facts_of_step(step), **_chosen(shop, row.paint))
                change_finish_step(shop.session, step.id, facts, version=None)


def stop_a_finish(shop: DemoShop, row: told.BegunFinishRecord, now: datetime) -> None:
    """Stop a finish before its last step."""
    stop_finish(shop.session, shop.finishes[row.finish].id, reason=row.stopped_reason, version=None, now=now)


def work_on_step(shop: DemoShop, row: told.FinishStepRecord, now: datetime) -> None:
    """Do a step of a finish, leave it out or begin it, with what was otherwise than planned."""
    steps = known(shop.finish_steps, row.finish, "finish")
    if not 1 <= row.step <= len(steps):
        raise RuleError(f"The finish {row.finish} has {len(steps)} steps.")
    step = steps[row.step - 1]
    _change(shop, step, row)
    _WORK[row.state](shop, step.id, row, now)


def _begin(shop: DemoShop, step_id: int, row: told.FinishStepRecord, now: datetime) -> None:
    begin_step(shop.session, step_id, because=row.because, version=None, now=now)


def _leave_out(shop: DemoShop, step_id: int, row: told.FinishStepRecord, now: datetime) -> None:
    leave_out(shop.session, step_id, reason=row.note, version=None, now=now)


def _do(shop: DemoShop, step_id: int, row: told.FinishStepRecord, now: datetime) -> None:
    done = DoneFacts(
        minutes=row.minutes or 0,
        done_at=None if row.at is None or row.day is None else shop.clock(row.day, row.at).astimezone(UTC),
        used_milli=row.used,
        temp_tenths=None if row.degrees is None else row.degrees * TENTHS,
        humidity=row.humidity,
        note=row.note,
    )
    number = capture_id("finish_steps", row.line)
    finish_step(shop.session, step_id, done, because=row.because, capture_id=number, now=now)


def _wait(shop: DemoShop, step_id: int, row: told.FinishStepRecord, now: datetime) -> None:  # noqa: ARG001
    raise RuleError("A step that waits needs no row.")


_WORK = {
    StepState.DONE: _do,
    StepState.LEFT_OUT: _leave_out,
    StepState.STARTED: _begin,
    StepState.WAITING: _wait,
}


def _change(shop: DemoShop, step: FinishStep, row: told.FinishStepRecord) -> None:
    otherwise: dict[str, Any] = _chosen(shop, row.material) if row.material else {}
    for said in ("colour", "aim", "ratio"):
        otherwise |= {said: getattr(row, said)} if getattr(row, said) else {}
    if otherwise:
        facts = replace(facts_of_step(step), **otherwise)
        change_finish_step(shop.session, step.id, facts, version=None)


def _chosen(shop: DemoShop, key: str) -> dict[str, Any]:
    material = known(shop.materials, key, "material")
    return {"material_id": material.id, "colour": material.colour}


def _facts(shop: DemoShop, row: told.RecipeStepRecord) -> StepFacts:
    return StepFacts(
        task=row.task,
        part=row.part,
        aim=row.aim,
        product=row.product,
        material_id=_material(shop, row.material),
        colour=row.colour or None,
        ratio=row.ratio,
        thin_hundredths=row.thin,
        grit=row.grit,
        coats=row.coats,
        way=row.way,
        dwell=row.dwell,
        recoat=row.recoat,
        active=row.active,
        note=row.note,
        caution=row.caution,
    )


def _material(shop: DemoShop, key: str) -> int | None:
    return known(shop.materials, key, "material").id if key else None
