"""What the actions on finishes stand on: the stored rows, checked against what the page was made on."""

from collections.abc import Sequence
from typing import Final

from sqlalchemy import select
from sqlalchemy.orm import Session

from app.basics.errors import NotFound, StaleEdit
from app.recipes.models import Finish, FinishStep
from app.recipes.queries.steps import facts_of_step
from app.recipes.rules import STEP_STATE_WORDS, StepFacts

STEP: Final = "step"


def the_finish(session: Session, finish_id: int) -> Finish:
    """The stored finish; NotFound when there is none."""
    finish = session.get(Finish, finish_id)
    if finish is None:
        raise NotFound("finish")
    return finish


def the_step(session: Session, step_id: int, version: int | None) -> FinishStep:
    """The stored step; NotFound when there is none, StaleEdit when it is not at `version` any more."""
    step = session.get(FinishStep, step_id)
    if step is None:
        raise NotFound(STEP)
    if version is not None and version != step.version:
        now_values = {"Step": facts_of_step(step).words, "It is": STEP_STATE_WORDS[step.state]}
        raise StaleEdit(STEP, now_values, step.version)
    return step


def steps_in_order(session: Session, finish_id: int) -> list[FinishStep]:
    """The stored steps of a finish, as they are worked."""
    query = select(FinishStep).where(FinishStep.finish_id == finish_id).order_by(FinishStep.position)
    return list(session.scalars(query))


def write_facts(step: FinishStep, facts: StepFacts) -> None:
    """Write what a step says on its row."""
    for name, value in vars(facts).items():
        setattr(step, name, value)


def words_of(steps: Sequence[FinishStep]) -> list[str]:
    """What is done in each step, in words."""
    return [facts_of_step(step).words for step in steps]
