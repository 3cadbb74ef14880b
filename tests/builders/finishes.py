"""Finishes on pieces for tests, begun and worked off by the real actions."""

from collections.abc import Sequence
from datetime import datetime
from typing import Any
from uuid import uuid4

from sqlalchemy import select
from sqlalchemy.orm import Session

from app.recipes.actions import add_finish_step, begin_finish, finish_step
from app.recipes.models import Finish, FinishStep
from app.recipes.rules import DoneFacts, NewFinish, Part, Product, StepFacts, Task
from tests.builders.pieces import NOW

BECAUSE = "tried on the back, it holds"


def a_coat(part: Part = Part.WHOLE, **said: Any) -> StepFacts:
    """A coat of waterborne paint, but for what is said."""
    return StepFacts(**{"task": Task.PAINT, "part": part, "product": Product.WATERBORNE_PAINT, **said})


def a_finish(
    session: Session,
    piece_id: int,
    steps: Sequence[StepFacts] = (),
    *,
    name: str = "Sage all over",
    now: datetime = NOW,
    **said: Any,
) -> Finish:
    """A finish under way on a piece, made freely of `steps`; `said` goes to the new finish."""
    finish = begin_finish(session, NewFinish(piece_id, name=name, **said), capture_id=str(uuid4()), now=now)
    for step in steps:
        add_finish_step(session, finish.id, step, now=now)
    return finish


def steps_of(session: Session, finish_id: int) -> list[FinishStep]:
    """The stored steps of a finish, as they are worked."""
    query = select(FinishStep).where(FinishStep.finish_id == finish_id).order_by(FinishStep.position)
    return list(session.scalars(query))


def do_step(session: Session, step_id: int, minutes: int = 30, *, now: datetime = NOW, **said: Any) -> FinishStep:
    """Say that a step is done just now, whatever the checks say; `said` are what it really took."""
    return finish_step(session, step_id, DoneFacts(minutes, **said), because=BECAUSE, capture_id=str(uuid4()), now=now)
