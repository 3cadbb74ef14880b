"""What tests of the bench read off its pages, and a piece with a finish to work on."""

from datetime import datetime, timedelta
from typing import Any

from sqlalchemy.orm import Session

from app.pieces.models import Piece
from app.pieces.rules import Stage
from app.recipes.actions import begin_step
from app.recipes.models import FinishStep
from app.recipes.rules import StepFacts, Task
from tests.builders.finishes import BECAUSE, a_coat, a_finish, do_step, steps_of
from tests.builders.pieces import NOW, a_piece

HOUR = timedelta(hours=1)
MINUTE = timedelta(minutes=1)
SAND = StepFacts(Task.SAND, grit=180)


def a_job(session: Session, *steps: StepFacts, now: datetime = NOW, **said: Any) -> tuple[Piece, list[FinishStep]]:
    """A prepped piece with a finish under way: sanded, then two coats, unless other steps are said."""
    piece = a_piece(session, stage=Stage.PREPPED, **said)
    finish = a_finish(session, piece.id, steps or (SAND, a_coat(coats=2)), now=now)
    return piece, steps_of(session, finish.id)


def a_drying_job(
    session: Session, *steps: StepFacts, ago: timedelta = HOUR, **said: Any
) -> tuple[Piece, list[FinishStep]]:
    """A piece whose first coat was put on a while ago; by the rules it dries for four hours."""
    piece, waiting = a_job(session, *(steps or (a_coat(coats=2),)), now=NOW - 2 * ago, **said)
    do_step(session, waiting[0].id, 1, now=NOW - ago)
    return piece, waiting


def section(page: str, key: str) -> str:
    """The part of the page under one of its headings; nothing where it has none."""
    _, found, rest = page.partition(f'<section class="section" id="{key}"')
    return rest.split("</section>")[0] if found else ""


def begin(session: Session, step: FinishStep, *, ago: timedelta = timedelta(0)) -> None:
    """Begin a step, whatever the checks say; its clock runs."""
    begin_step(session, step.id, because=BECAUSE, now=NOW - ago)
