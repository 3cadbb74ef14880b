"""Nothing dated in a closed month is sold, given back, taken or struck out; what is dated after it is."""

from collections.abc import Callable
from datetime import date, datetime

import pytest
from sqlalchemy.orm import Session

from app.basics.dates import Month
from app.database.unit_of_work import Ledger
from app.pieces.models import Piece
from app.sales.actions import (
    strike_deposit,
    strike_end,
    strike_refund,
    strike_return,
    strike_sale,
)
from app.sales.queries import deposit_by_id, sale_row
from app.shop.actions import keep_closed
from app.shop.rules import MonthFigures, MonthIsClosed
from tests.builders.floor import a_listed_piece
from tests.builders.pieces import a_piece
from tests.builders.sales import a_deposit, a_deposit_end, a_refund, a_return, a_sale, a_sold_piece
from tests.examining_client import ExaminingClient

OCTOBER = Month(2026, 10)
IN_OCTOBER = date(2026, 10, 20)
LATER_IN_OCTOBER = date(2026, 10, 30)


def close_october(session: Session, now: datetime) -> None:
    keep_closed(session, OCTOBER, MonthFigures(0, 0, 0, 0, 0), first=OCTOBER, now=now)


@pytest.mark.parametrize(
    ("enter", "field"),
    [
        (lambda session, piece: a_sale(session, piece, sold_on=IN_OCTOBER), "sold_on"),
        (lambda session, piece: a_deposit(session, piece, on_date=IN_OCTOBER), "on_date"),
    ],
)
def test_nothing_new_is_dated_in_it(
    session: Session, now: datetime, enter: Callable[[Session, Piece], object], field: str
) -> None:
    piece = a_piece(session)
    close_october(session, now)
    with pytest.raises(MonthIsClosed) as refusal:
        enter(session, piece)
    assert refusal.value.field == field


def test_what_follows_an_old_row_is_dated_after_it(session: Session, now: datetime) -> None:
    early = {"listed_on": date(2026, 10, 2), "sold_on": IN_OCTOBER}
    _piece, sale = a_sold_piece(session, **early)  # type: ignore[arg-type]
    deposit = a_deposit(session, a_piece(session), on_date=IN_OCTOBER)
    close_october(session, now)
    with pytest.raises(MonthIsClosed) as refusal:
        a_refund(session, sale, on_date=LATER_IN_OCTOBER)
    assert refusal.value.field == "on_date"
    with pytest.raises(MonthIsClosed) as refusal:
        a_deposit_end(session, deposit, on_date=LATER_IN_OCTOBER)
    assert refusal.value.field == "on_date"
    with pytest.raises(MonthIsClosed) as refusal:
        a_return(session, sale, returned_on=LATER_IN_OCTOBER)
    assert refusal.value.field == "returned_on"
    a_refund(session, sale, on_date=date(2026, 11, 1))
    a_deposit_end(session, deposit, on_date=date(2026, 11, 1))


def test_nothing_in_it_is_struck_out(session: Session, now: datetime) -> None:
    early = {"listed_on": date(2026, 10, 2), "sold_on": IN_OCTOBER}
    _piece, kept = a_sold_piece(session, **early)  # type: ignore[arg-type]
    _piece, refunded = a_sold_piece(session, **early)  # type: ignore[arg-type]
    _piece, returned = a_sold_piece(session, **early)  # type: ignore[arg-type]
    refund = a_refund(session, refunded, on_date=LATER_IN_OCTOBER)
    back = a_return(session, returned, returned_on=LATER_IN_OCTOBER)
    deposit = a_deposit(session, a_piece(session), on_date=IN_OCTOBER)
    half = a_deposit(session, a_piece(session), on_date=IN_OCTOBER)
    end = a_deposit_end(session, half, on_date=LATER_IN_OCTOBER, cents=1)
    close_october(session, now)
    strikes: list[Callable[[], object]] = [
        lambda: strike_sale(session, kept.id, reason="wrong", now=now),
        lambda: strike_refund(session, refund.id, reason="wrong", now=now),
        lambda: strike_return(session, back.id, reason="wrong", now=now),
        lambda: strike_deposit(session, deposit.id, reason="wrong", now=now),
        lambda: strike_end(session, end.id, reason="wrong", now=now),
    ]
    for strike in strikes:
        with pytest.raises(MonthIsClosed):
            strike()
    assert sale_row(session, kept.id).stands
    assert deposit_by_id(session, deposit.id).left_cents == 50_00
    assert deposit_by_id(session, half.id).left_cents == 49_99


def test_the_pages_that_strike_out_lead_to_a_correction_instead(
    client: ExaminingClient, ledger: Ledger, now: datetime
) -> None:
    early = {"listed_on": date(2026, 10, 2), "sold_on": IN_OCTOBER}
    with ledger.writing() as session:
        _piece, sale = a_sold_piece(session, **early)  # type: ignore[arg-type]
        _piece, refunded = a_sold_piece(session, **early)  # type: ignore[arg-type]
        _piece, returned = a_sold_piece(session, **early)  # type: ignore[arg-type]
        refund = a_refund(session, refunded, on_date=LATER_IN_OCTOBER)
        deposit = a_deposit(session, a_listed_piece(session), on_date=IN_OCTOBER)
        back = a_return(session, returned, returned_on=LATER_IN_OCTOBER)
        close_october(session, now)
    for path, table, number in (
        (f"/sales/{sale.id}/strike", "sale", sale.id),
        (f"/refunds/{refund.id}/strike", "sale_refund", refund.id),
        (f"/returns/{back.id}/strike", "sale_return", back.id),
    ):
        page = client.get(path).text
        assert f'href="/corrections/{table}/{number}"' in page
        assert 'name="reason"' not in page
    page = client.get(f"/deposits/{deposit.id}/strike").text
    assert "dated in a month that is closed" in page
    assert 'name="reason"' not in page


def test_a_sale_of_a_closed_month_is_refused_at_the_day_with_everything_kept(
    client: ExaminingClient, ledger: Ledger, now: datetime
) -> None:
    with ledger.writing() as session:
        piece = a_piece(session)
        close_october(session, now)
    told = {"price": "240", "sold_on": "2026-10-20", "note": "cash", "tax_by": "shop"}
    page = client.get(f"/pieces/{piece.tag}/sell/check", query_string=told, status=422).text
    assert '<a href="#sold_on">October 2026 is closed' in page
    assert 'value="cash"' in page
