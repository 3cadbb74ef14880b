"""Count the queries behind an act, and a shop of any size to count them on."""

from collections.abc import Callable, Iterator
from contextlib import contextmanager
from datetime import date, timedelta
from typing import Any

from sqlalchemy import Engine, event
from sqlalchemy.orm import Session

from app.pieces.actions import leave
from app.pieces.rules import Leaving
from tests.builders.reports import NOW, a_round, came_back, found, listed, sold, spent, worked


@contextmanager
def counted(engine: Engine) -> Iterator[list[str]]:
    """Gathers every statement sent while the block runs."""
    sent: list[str] = []

    def note(_connection: Any, _cursor: Any, statement: str, *_rest: Any) -> None:
        if not statement.startswith(("BEGIN", "PRAGMA", "SAVEPOINT")):
            sent.append(statement)

    event.listen(engine, "before_cursor_execute", note)
    try:
        yield sent
    finally:
        event.remove(engine, "before_cursor_execute", note)


def queries_of(session: Session, act: Callable[[], object]) -> int:
    """How many queries an act sends."""
    session.flush()
    with counted(session.get_bind().engine) as sent:
        act()
    return len(sent)


def a_shop_of(session: Session, pieces: int, first_day: date = date(2026, 10, 1)) -> None:
    """That many pieces, in turn sold, on the floor, sold and come back, left, and on the bench; and shop costs."""
    for number in range(pieces):
        on = first_day + timedelta(days=number % 20)
        a_round(session, f"Sold {number}", on, on + timedelta(days=30))
        listed(session, found(session, on, 5_000, f"Listed {number}"), on)
        back = found(session, on, 6_000, f"Back {number}")
        came_back(session, sold(session, back, on + timedelta(days=31), 9_000, tax=700), on + timedelta(days=33), 9_000)
        gone = found(session, on, 700, f"Gone {number}")
        leave(session, gone.id, Leaving.SCRAPPED, on_date=on, reason="worm", version=None, now=NOW)
        worked(session, found(session, on, 1_000, f"Bench {number}"), on, 20)
        spent(session, None, on, 3_000)
