"""What finishes keep is proved against the rows it came from, and a row changed behind their back is found."""

from typing import Any

import pytest
from sqlalchemy import text
from sqlalchemy.orm import Session

from app.pieces.rules import Age
from app.recipes.queries import finish_findings
from app.recipes.rules import StepFacts, Task
from tests.builders.finishes import a_coat, a_finish, do_step, steps_of
from tests.builders.pieces import a_piece
from tests.builders.shelf import a_material, a_purchase


@pytest.fixture
def tag(session: Session) -> str:
    """A piece with a finish of two steps, one of them done with time and material, and another piece beside it."""
    paint = a_material(session)
    a_purchase(session, paint)
    piece = a_piece(session, age=Age.AFTER_1978)
    a_piece(session)
    finish = a_finish(session, piece.id, [a_coat(material_id=paint.id), StepFacts(Task.PHOTOGRAPH)])
    do_step(session, steps_of(session, finish.id)[0].id, used_milli=250_000)
    session.flush()
    return piece.tag


def broken(session: Session) -> list[tuple[str, tuple[str, ...]]]:
    session.expire_all()
    return [(each.name, each.tags) for each in finish_findings(session) if not each.holds]


def test_what_the_actions_wrote_holds(session: Session, tag: str) -> None:
    assert tag
    assert broken(session) == []


@pytest.mark.parametrize(
    ("change", "name"),
    [
        ("UPDATE time_entry SET piece_id = 2", "the time of each step is worked on its own piece"),
        ("UPDATE time_entry SET piece_id = NULL", "the time of each step is worked on its own piece"),
        ("UPDATE shelf_use SET piece_id = 2", "the material of each step is what was used on its piece"),
        ("UPDATE shelf_use SET quantity_milli = 1", "the material of each step is what was used on its piece"),
        ("UPDATE finish SET state = 'done'", "a finish is done when no step of it is left to do"),
        ("UPDATE finish SET ended_on = '2026-11-25'", "a finish is done when no step of it is left to do"),
    ],
)
def test_a_row_changed_behind_its_back_is_found(session: Session, tag: str, change: str, name: Any) -> None:
    session.execute(text(change))
    assert broken(session) == [(name, (tag,))]
