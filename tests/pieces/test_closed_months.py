"""What is dated in a closed month can be neither entered, changed, redated nor struck out, and nothing is written."""

from collections.abc import Callable
from datetime import date

import pytest
from sqlalchemy import select
from sqlalchemy.orm import Session

from app.basics.dates import Month
from app.database.base import Base
from app.pieces.actions import (
    bring_back,
    correct_dates,
    correct_haul,
    correct_paid,
    leave,
    log_find,
    log_haul,
    split_off,
    step_back,
    step_forward,
    strike_find,
)
from app.pieces.models import Haul, Piece
from app.pieces.queries import haul_sheet, piece_row, steps_of
from app.pieces.rules import (
    HaulCorrection,
    HaulPart,
    Leaving,
    NewFind,
    NewHaul,
    SplitMethod,
    SplitPart,
    Stage,
    StepKind,
)
from app.shop.rules import MonthIsClosed
from tests.builders.closing import closed_up_to
from tests.builders.pieces import NOW, a_haul, a_piece, an_owned_piece, some_facts

SEPTEMBER = date(2026, 9, 10)
OCTOBER = date(2026, 10, 10)
NOVEMBER = date(2026, 11, 10)


def everything(session: Session) -> dict[str, list[tuple[object, ...]]]:
    """Every row of every table, so that a refusal that wrote something is noticed."""
    session.expire_all()
    return {
        table.name: sorted((tuple(row) for row in session.execute(select(table))), key=repr)
        for table in Base.metadata.sorted_tables
    }


def refused(session: Session, act: Callable[[], object], field: str | None) -> None:
    before = everything(session)
    with pytest.raises(MonthIsClosed, match="is closed") as refusal, session.begin_nested():
        act()
    assert refusal.value.field == field
    assert everything(session) == before


def test_nothing_is_found_in_a_closed_month(session: Session) -> None:
    a_piece(session, bought_on=SEPTEMBER)
    closed_up_to(session, Month(2026, 10))
    find = NewFind(some_facts(), None, OCTOBER, 1_000)
    refused(session, lambda: log_find(session, find, capture_id="one", now=NOW), "bought_on")
    parts = (HaulPart(some_facts()), HaulPart(some_facts()))
    haul = NewHaul(None, OCTOBER, 1_000, 0, 0, SplitMethod.EQUAL, parts)
    refused(session, lambda: log_haul(session, haul, capture_id="two", now=NOW), "bought_on")
    assert log_find(session, NewFind(some_facts(), None, NOVEMBER, 1_000), capture_id="one", now=NOW).tag


def test_opening_stock_is_complete_once_the_first_month_is_closed(session: Session) -> None:
    an_owned_piece(session)
    closed_up_to(session, Month(2024, 1))
    refused(session, lambda: an_owned_piece(session), None)


def test_what_was_paid_in_a_closed_month_stays(session: Session) -> None:
    was, new = a_piece(session, bought_on=OCTOBER), a_piece(session, bought_on=NOVEMBER)
    closed_up_to(session, Month(2026, 10))
    paid = {"price_cents": 1, "premium_cents": 0, "tax_cents": 0, "reason": "misread", "version": None, "now": NOW}
    refused(session, lambda: correct_paid(session, was.id, on_date=OCTOBER, **paid), None)  # type: ignore[arg-type]
    refused(session, lambda: correct_paid(session, was.id, on_date=NOVEMBER, **paid), None)  # type: ignore[arg-type]
    refused(session, lambda: correct_paid(session, new.id, on_date=OCTOBER, **paid), "on_date")  # type: ignore[arg-type]
    correct_paid(session, new.id, on_date=date(2026, 11, 2), **paid)  # type: ignore[arg-type]


def test_a_find_moves_neither_into_a_closed_month_nor_out_of_one(session: Session) -> None:
    was, new = a_piece(session, bought_on=OCTOBER), a_piece(session, bought_on=NOVEMBER)
    closed_up_to(session, Month(2026, 10))

    def redate(piece: Piece, day: date) -> Callable[[], object]:
        return lambda: correct_dates(session, piece.id, sourced_on=day, step_dates={}, version=None, now=NOW)

    refused(session, redate(was, date(2026, 10, 2)), "sourced_on")
    refused(session, redate(was, NOVEMBER), "sourced_on")
    refused(session, redate(new, OCTOBER), "sourced_on")
    redate(new, date(2026, 11, 2))()


def test_a_haul_of_a_closed_month_is_not_shared_anew_and_none_moves_into_it(session: Session) -> None:
    was, new = a_haul(session, bought_on=OCTOBER), a_haul(session, bought_on=NOVEMBER)
    closed_up_to(session, Month(2026, 10))

    def right(haul: Haul, day: date) -> object:
        correction = HaulCorrection(None, day, 9_000, 0, 0, SplitMethod.EQUAL, "misread")
        return correct_haul(session, haul.id, correction, version=None, now=NOW)

    before = everything(session)
    with pytest.raises(Exception, match="bought in October 2026, which is closed"):
        right(was, OCTOBER)
    assert everything(session) == before
    assert haul_sheet(session, was.id).fixed_by
    refused(session, lambda: right(new, OCTOBER), "bought_on")
    right(new, date(2026, 11, 2))
    assert haul_sheet(session, new.id).bought_on == date(2026, 11, 2)


def test_no_set_is_split_in_a_closed_month(session: Session) -> None:
    pair = a_piece(session, count=2, bought_on=SEPTEMBER)
    closed_up_to(session, Month(2026, 10))
    parts = [SplitPart("", 1, 1), SplitPart("", 1, 1)]

    def split(day: date) -> list[Piece]:
        return split_off(session, pair.id, parts, cents=4_000, minutes=0, on_date=day, version=None, now=NOW)

    refused(session, lambda: split(OCTOBER), "on_date")
    assert len(split(NOVEMBER)) == 2


def test_nothing_leaves_or_comes_back_in_a_closed_month(session: Session) -> None:
    here, gone = a_piece(session, bought_on=SEPTEMBER), a_piece(session, bought_on=SEPTEMBER)
    leave(session, gone.id, Leaving.KEPT, on_date=OCTOBER, reason="", version=None, now=NOW)
    closed_up_to(session, Month(2026, 10))
    refused(
        session,
        lambda: leave(session, here.id, Leaving.SCRAPPED, on_date=OCTOBER, reason="", version=None, now=NOW),
        "on_date",
    )
    refused(
        session,
        lambda: bring_back(session, gone.id, on_date=OCTOBER, reason="no room", version=None, now=NOW),
        "on_date",
    )
    bring_back(session, gone.id, on_date=NOVEMBER, reason="no room", version=None, now=NOW)
    out, back = (step for step in steps_of(session, gone.id) if step.kind in {StepKind.OUT, StepKind.IN_AGAIN})

    def redate(step_id: int, day: date) -> Callable[[], object]:
        return lambda: correct_dates(
            session, gone.id, sourced_on=SEPTEMBER, step_dates={step_id: day}, version=None, now=NOW
        )

    refused(session, redate(out.id, date(2026, 10, 9)), f"step_{out.id}")
    refused(session, redate(out.id, date(2026, 11, 2)), f"step_{out.id}")
    refused(session, redate(back.id, date(2026, 10, 20)), f"step_{back.id}")
    redate(back.id, date(2026, 11, 12))()


def test_a_find_of_a_closed_month_is_not_struck_out(session: Session) -> None:
    piece = a_piece(session, bought_on=OCTOBER)
    closed_up_to(session, Month(2026, 10))
    refused(session, lambda: strike_find(session, piece.id, reason="twice", version=None, now=NOW), None)


def test_steps_by_hand_are_no_money_and_stay_free(session: Session) -> None:
    piece = a_piece(session, bought_on=SEPTEMBER)
    closed_up_to(session, Month(2026, 10))
    step_forward(session, piece.id, Stage.PREPPED, on_date=OCTOBER, version=None, now=NOW)
    step_back(session, piece.id, Stage.SOURCED, on_date=OCTOBER, reason="rot", version=None, now=NOW)
    assert piece_row(session, piece.id).stage is Stage.SOURCED
