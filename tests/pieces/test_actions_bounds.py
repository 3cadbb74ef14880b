"""No day may leave a piece's cost behind: not before the books began, and not past a split."""

from datetime import date

import pytest
from sqlalchemy.orm import Session

from app.basics.dates import Month
from app.basics.errors import RuleError
from app.desk.actions import split_set
from app.desk.rules import SplitBy, WishedPart, WishedSplit
from app.pieces.actions import (
    bring_back,
    correct_dates,
    correct_haul,
    correct_paid,
    leave,
    log_find,
    split_off,
    step_forward,
)
from app.pieces.models import Piece, Step
from app.pieces.queries import steps_of
from app.pieces.rules import HaulCorrection, Leaving, NewFind, SplitMethod, SplitPart, Stage, StepKind
from app.reports.queries import month_of, stock_of_piece
from tests.builders.pieces import NOW, a_haul, a_piece, an_owned_piece, some_facts
from tests.builders.sales import a_return, a_sale
from tests.conftest import SHOP

BEFORE_THE_BOOKS = date(2023, 12, 31)
SPLIT_ON = date(2026, 10, 10)


def a_pair_split(session: Session) -> list[Piece]:
    """A pair bought for 100.00 in August, parted on 10 October."""
    pair = a_piece(session, count=2, price_cents=100_00, bought_on=date(2026, 8, 1))
    return parted(session, pair)


def parted(session: Session, pair: Piece) -> list[Piece]:
    parts = (WishedPart("", 1), WishedPart("", 1))
    return split_set(session, pair.id, WishedSplit(parts, SplitBy.EACH, SPLIT_ON), now=NOW)


def test_a_find_from_before_the_books_began_is_sent_to_what_was_owned(session: Session) -> None:
    find = NewFind(some_facts(), None, BEFORE_THE_BOOKS, 1_000)
    with pytest.raises(RuleError, match="Your books began on 1 January 2024") as refused:
        log_find(session, find, capture_id="one", now=NOW)
    assert refused.value.field == "bought_on"
    log_find(session, NewFind(some_facts(), None, SHOP.started_on, 1_000), capture_id="one", now=NOW)


def test_no_find_and_no_haul_can_be_put_back_before_the_books_began(session: Session) -> None:
    piece = a_piece(session)
    with pytest.raises(RuleError, match="What you own already"):
        correct_dates(session, piece.id, sourced_on=BEFORE_THE_BOOKS, step_dates={}, version=None, now=NOW)
    paid = {"price_cents": 1, "premium_cents": 0, "tax_cents": 0, "reason": "misread"}
    with pytest.raises(RuleError, match="What you own already"):
        correct_paid(session, piece.id, on_date=BEFORE_THE_BOOKS, version=None, now=NOW, **paid)  # type: ignore[arg-type]
    haul = a_haul(session)
    correction = HaulCorrection(None, BEFORE_THE_BOOKS, 10_000, 0, 0, SplitMethod.EQUAL, "misread")
    with pytest.raises(RuleError, match="What you own already"):
        correct_haul(session, haul.id, correction, version=None, now=NOW)


def test_what_was_owned_at_the_start_can_neither_sell_nor_leave_before_the_books_began(session: Session) -> None:
    piece = an_owned_piece(session)
    with pytest.raises(RuleError, match="the day your books began") as refused:
        a_sale(session, piece, sold_on=BEFORE_THE_BOOKS)
    assert refused.value.field == "sold_on"
    with pytest.raises(RuleError, match="the day your books began"):
        leave(session, piece.id, Leaving.KEPT, on_date=BEFORE_THE_BOOKS, reason="", version=None, now=NOW)
    a_sale(session, piece, sold_on=SHOP.started_on, price_cents=60_00)
    month = month_of(session, Month(2024, 1))
    assert (month.line("cost_of_goods_sold").cents, month.line("late_costs").cents) == (-2_500, 0)


def test_a_leaving_of_what_was_owned_cannot_be_dated_back_before_the_books_began(session: Session) -> None:
    piece = an_owned_piece(session)
    leave(session, piece.id, Leaving.KEPT, on_date=date(2024, 2, 1), reason="", version=None, now=NOW)
    (out,) = (step for step in steps_of(session, piece.id) if step.kind is StepKind.OUT)
    dated = {out.id: BEFORE_THE_BOOKS}
    with pytest.raises(RuleError, match="the day your books began") as refused:
        correct_dates(session, piece.id, sourced_on=piece.sourced_on, step_dates=dated, version=None, now=NOW)
    assert refused.value.field == f"step_{out.id}"


def test_a_piece_cannot_be_sold_before_the_day_it_was_split(session: Session) -> None:
    kept, _ = a_pair_split(session)
    with pytest.raises(RuleError, match="the day it was split") as refused:
        a_sale(session, kept, sold_on=date(2026, 9, 5))
    assert refused.value.field == "sold_on"
    a_sale(session, kept, sold_on=SPLIT_ON, price_cents=240_00)
    month = month_of(session, Month(2026, 10))
    assert (month.line("cost_of_goods_sold").cents, month.line("late_costs").cents) == (-50_00, 0)


def test_a_sale_struck_out_cannot_be_entered_again_before_the_split(session: Session) -> None:
    pair = a_piece(session, count=2, price_cents=100_00, bought_on=date(2026, 8, 1))
    first = a_sale(session, pair, sold_on=date(2026, 9, 1))
    a_return(session, first, returned_on=date(2026, 9, 4), to_stage=Stage.FINISHED)
    kept, _ = parted(session, pair)
    for day in (date(2026, 9, 2), date(2026, 9, 20)):
        with pytest.raises(RuleError):
            a_sale(session, kept, sold_on=day)


def test_coming_back_cannot_be_dated_past_a_split(session: Session) -> None:
    pair = a_piece(session, count=2, price_cents=100_00, bought_on=date(2026, 8, 1))
    leave(session, pair.id, Leaving.GIVEN_AWAY, on_date=date(2026, 8, 5), reason="", version=None, now=NOW)
    bring_back(session, pair.id, on_date=date(2026, 8, 8), reason="no room there", version=None, now=NOW)
    back = steps_of(session, pair.id)[-1]
    kept, _ = parted(session, pair)
    dated = {back.id: date(2026, 10, 20)}
    with pytest.raises(RuleError, match="It was split after that, on 10 October 2026") as refused:
        correct_dates(session, kept.id, sourced_on=kept.sourced_on, step_dates=dated, version=None, now=NOW)
    assert refused.value.field == f"step_{back.id}"
    correct_dates(session, kept.id, sourced_on=kept.sourced_on, step_dates={back.id: SPLIT_ON}, version=None, now=NOW)
    assert stock_of_piece(session, kept.id) == 50_00


def test_a_step_after_a_split_cannot_be_dated_before_it(session: Session) -> None:
    kept, _ = a_pair_split(session)
    with pytest.raises(RuleError, match="the day it was split"):
        step_forward(session, kept.id, Stage.PREPPED, on_date=date(2026, 10, 9), version=None, now=NOW)
    step_forward(session, kept.id, Stage.PREPPED, on_date=date(2026, 10, 12), version=None, now=NOW)
    prepped = steps_of(session, kept.id)[-1]
    dated = {prepped.id: date(2026, 10, 9)}
    with pytest.raises(RuleError, match="the day it was split") as refused:
        correct_dates(session, kept.id, sourced_on=kept.sourced_on, step_dates=dated, version=None, now=NOW)
    assert refused.value.field == f"step_{prepped.id}"


def test_a_set_owned_at_the_start_cannot_be_split_before_the_books_began(session: Session) -> None:
    pair = an_owned_piece(session, count=2)
    parts = (SplitPart("", 1, 1), SplitPart("", 1, 1))
    told = {"cents": 2_500, "minutes": 0, "version": None, "now": NOW}
    with pytest.raises(RuleError, match="the day your books began"):
        split_off(session, pair.id, parts, on_date=BEFORE_THE_BOOKS, **told)  # type: ignore[arg-type]
    split_off(session, pair.id, parts, on_date=SHOP.started_on, **told)  # type: ignore[arg-type]


def test_a_set_cannot_be_split_again_before_it_was_split_first(session: Session) -> None:
    three = a_piece(session, count=3, bought_on=date(2026, 8, 1))
    told = {"cents": 0, "minutes": 0, "version": None, "now": NOW}
    split_off(session, three.id, (SplitPart("", 2, 1), SplitPart("", 1, 1)), on_date=SPLIT_ON, **told)  # type: ignore[arg-type]
    parts = (SplitPart("", 1, 1), SplitPart("", 1, 1))
    with pytest.raises(RuleError, match="the day it was split"):
        split_off(session, three.id, parts, on_date=date(2026, 10, 9), **told)  # type: ignore[arg-type]


def test_of_several_splits_the_newest_counts(session: Session) -> None:
    three = a_piece(session, count=3, bought_on=date(2026, 8, 1))
    told = {"cents": 0, "minutes": 0, "version": None, "now": NOW}
    split_off(session, three.id, (SplitPart("", 2, 1), SplitPart("", 1, 1)), on_date=SPLIT_ON, **told)  # type: ignore[arg-type]
    later = date(2026, 10, 20)
    split_off(session, three.id, (SplitPart("", 1, 1), SplitPart("", 1, 1)), on_date=later, **told)  # type: ignore[arg-type]
    with pytest.raises(RuleError, match="the day it was split, 20 October 2026"):
        a_sale(session, three, sold_on=date(2026, 10, 15))


def test_a_step_that_is_wrong_already_does_not_hold_up_another(session: Session) -> None:
    kept, _ = a_pair_split(session)
    for stage, day in ((Stage.PREPPED, 12), (Stage.FINISHED, 14)):
        step_forward(session, kept.id, stage, on_date=date(2026, 10, day), version=None, now=NOW)
    _, prepped, finished = steps_of(session, kept.id)
    session.get_one(Step, prepped.id).on_date = date(2026, 10, 1)  # as an older program might have left it
    dated = {finished.id: date(2026, 10, 15)}
    correct_dates(session, kept.id, sourced_on=kept.sourced_on, step_dates=dated, version=None, now=NOW)
    assert [step.on_date.day for step in steps_of(session, kept.id)] == [1, 1, 15]
