"""Count the queries behind an act, and shops of any size to count them on."""

from collections.abc import Callable, Iterator
from contextlib import contextmanager
from datetime import date, timedelta
from typing import Any

from sqlalchemy import Engine, event
from sqlalchemy.orm import Session

from app.costs.rules import AdjustedPart
from app.pieces.actions import leave
from app.pieces.rules import Leaving
from app.sales.rules import DepositEnding
from app.trips.rules import CountsAs, TripPurpose
from tests.builders.beside import (
    a_deposit,
    a_material,
    a_refund,
    a_trip,
    bought_for_shelf,
    corrected,
    counted_short,
    ended,
    used,
)
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


def a_shop_beside(session: Session, pieces: int, on: date = date(2026, 11, 4)) -> None:
    """That many pieces with a row of everything that stands beside their own costs, and as many rows of the shop."""
    for number in range(pieces):
        piece, paint = found(session, on, 5_000, f"Here {number}"), a_material(session, f"Paint {number} of {pieces}")
        bought_for_shelf(session, paint, on, 3_000)
        used(session, paint, on, 700, piece=piece)
        used(session, paint, on, 50)
        counted_short(session, paint, on, 20)
        bought_for_shelf(session, paint, on, 300, off=piece)
        a_trip(session, on, 900, [piece], extra=100)
        a_trip(session, on, 400, [piece], counts_as=CountsAs.ACTUAL)
        a_trip(session, on, 250, purpose=TripPurpose.SUPPLIES)
        sale = sold(session, piece, on, 20_000)
        a_refund(session, sale, on, 1_000, fees=10)
        for how in DepositEnding:
            ended(session, a_deposit(session, piece, on, 500), how, on)
        early = spent(session, piece, on - timedelta(days=60), 100)
        for part in (AdjustedPart.COST, AdjustedPart.PRICE):
            corrected(session, part, on, 30, piece=piece, corrects=early)
        corrected(session, AdjustedPart.SHOP_COST, on, 40, corrects=early)
