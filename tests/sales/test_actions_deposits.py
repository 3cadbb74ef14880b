"""Deposits: taken on what is here, owed until applied, given back or kept, and struck out with what follows."""

from datetime import date, datetime
from uuid import uuid4

import pytest
from sqlalchemy.orm import Session

from app.basics.errors import NotFound, RuleError
from app.basics.striking import AlreadyStruck
from app.desk.actions import leave_piece, strike_find
from app.pieces.actions import strike_find as strike_find_alone
from app.pieces.models import Piece
from app.pieces.rules import CannotMove, Leaving
from app.sales.actions import (
    strike_deposit,
    strike_end,
    strike_return,
    strike_sale,
    take_deposit,
)
from app.sales.queries import (
    all_deposits,
    applied_to,
    deposit_by_id,
    deposits_owed,
    sales_findings,
    standing_deposits,
)
from app.sales.rules import DepositEnding, NewDeposit
from tests.builders.floor import a_listed_piece
from tests.builders.pieces import FOUND, a_piece
from tests.builders.sales import (
    PAID_DOWN,
    SOLD,
    a_deposit,
    a_deposit_end,
    a_return,
    a_sale,
    a_sold_piece,
)

TODAY = date(2026, 11, 25)


def left(session: Session, deposit_id: int) -> int:
    return deposit_by_id(session, deposit_id).left_cents


@pytest.fixture(autouse=True)
def _records_agree(session: Session) -> object:
    yield
    assert [found for found in sales_findings(session) if found[1] != found[2]] == []


def test_a_deposit_is_owed_from_its_day_on(session: Session) -> None:
    deposit = a_deposit(session, a_listed_piece(session))
    assert deposits_owed(session, date(2026, 11, 9)) == 0
    assert deposits_owed(session, PAID_DOWN) == 50_00
    a_deposit_end(session, deposit, cents=20_00)
    assert deposits_owed(session, date(2026, 11, 19)) == 50_00
    assert deposits_owed(session, SOLD) == 30_00
    a_deposit_end(session, deposit, how=DepositEnding.KEPT, cents=30_00)
    assert deposits_owed(session, TODAY) == 0
    assert not deposit_by_id(session, deposit.id).stands


def test_several_people_may_have_paid_on_one_piece(session: Session) -> None:
    piece = a_piece(session)
    a_deposit(session, piece, payer="Ann")
    a_deposit(session, piece, payer="Bea", amount_cents=10_00)
    assert [(row.payer, row.left_cents) for row in standing_deposits(session, piece.id)] == [
        ("Ann", 50_00),
        ("Bea", 10_00),
    ]


def test_one_capture_takes_one_deposit(session: Session, now: datetime) -> None:
    piece = a_piece(session)
    new, capture = NewDeposit(piece.id, "Ann", PAID_DOWN, 50_00), str(uuid4())
    first = take_deposit(session, new, capture_id=capture, now=now)
    assert take_deposit(session, new, capture_id=capture, now=now).id == first.id
    assert len(all_deposits(session)) == 1


@pytest.mark.parametrize(
    ("change", "field"),
    [
        ({"payer": "  "}, "payer"),
        ({"amount_cents": 0}, "amount"),
        ({"amount_cents": -1}, "amount"),
        ({"on_date": date(2026, 11, 26)}, "on_date"),
        ({"on_date": date(2026, 9, 30)}, "on_date"),
    ],
)
def test_a_deposit_that_cannot_be_is_refused_at_its_field(
    session: Session, change: dict[str, object], field: str
) -> None:
    piece = a_piece(session, bought_on=FOUND)
    with pytest.raises(RuleError) as refusal:
        a_deposit(session, piece, **change)  # type: ignore[arg-type]
    assert refusal.value.field == field
    assert all_deposits(session) == []


def test_a_deposit_on_what_is_gone_or_unknown_is_refused(session: Session, now: datetime) -> None:
    sold, _sale = a_sold_piece(session)
    kept = a_piece(session)
    leave_piece(session, kept.id, Leaving.KEPT, on_date=TODAY, reason="", version=None, now=now)
    for piece, words in ((sold, "It is sold"), (kept, "It has left")):
        with pytest.raises(CannotMove, match=words):
            a_deposit(session, piece)
    struck = a_piece(session)
    strike_find_alone(session, struck.id, reason="twice", version=None, now=now)
    with pytest.raises(RuleError):
        a_deposit(session, struck)
    with pytest.raises(NotFound):
        take_deposit(session, NewDeposit(99, "Ann", PAID_DOWN, 1), capture_id=str(uuid4()), now=now)


@pytest.mark.parametrize(
    ("change", "field"),
    [
        ({"cents": 50_01}, "amount"),
        ({"cents": 0}, "amount"),
        ({"on_date": date(2026, 11, 9)}, "on_date"),
        ({"on_date": date(2026, 11, 26)}, "on_date"),
        ({"how": DepositEnding.APPLIED}, "how"),
        ({"how": DepositEnding.KEPT, "reason": " "}, "reason"),
    ],
)
def test_an_end_that_cannot_be_is_refused_at_its_field(session: Session, change: dict[str, object], field: str) -> None:
    deposit = a_deposit(session, a_piece(session))
    with pytest.raises(RuleError) as refusal:
        a_deposit_end(session, deposit, **change)  # type: ignore[arg-type]
    assert refusal.value.field == field
    assert left(session, deposit.id) == 50_00


def test_nothing_is_given_back_twice(session: Session) -> None:
    deposit = a_deposit(session, a_piece(session))
    a_deposit_end(session, deposit, cents=30_00)
    with pytest.raises(RuleError, match="more than is left"):
        a_deposit_end(session, deposit, cents=20_01)
    a_deposit_end(session, deposit, cents=20_00, reason="")
    with pytest.raises(RuleError, match="Nothing is left"):
        a_deposit_end(session, deposit, cents=1)


def test_a_sale_applies_what_is_left_and_a_return_leaves_it_applied(session: Session, now: datetime) -> None:
    piece = a_listed_piece(session)
    deposit = a_deposit(session, piece)
    a_deposit_end(session, deposit, cents=10_00)
    sale = a_sale(session, piece, deposit_ids=(deposit.id,))
    assert [(row.payer, row.cents) for row in applied_to(session, sale.id)] == [("Ann", 40_00)]
    assert deposits_owed(session, TODAY) == 0
    assert deposits_owed(session, date(2026, 11, 19)) == 50_00

    back = a_return(session, sale)
    assert left(session, deposit.id) == 0
    other = a_deposit(session, piece, payer="Bea", on_date=TODAY)
    with pytest.raises(RuleError, match="A deposit stands on it: Bea"):
        strike_return(session, back.id, reason="it never came back", now=now)
    a_deposit_end(session, other, on_date=TODAY)
    strike_return(session, back.id, reason="it never came back", now=now)


def test_striking_the_sale_makes_its_deposits_stand_again(session: Session, now: datetime) -> None:
    piece = a_listed_piece(session)
    deposit = a_deposit(session, piece)
    sale = a_sale(session, piece, deposit_ids=(deposit.id,))
    strike_sale(session, sale.id, reason="wrong price", now=now)
    (end,) = deposit_by_id(session, deposit.id).ends
    assert (end.how, end.struck_reason) == (DepositEnding.APPLIED, "wrong price")
    assert left(session, deposit.id) == 50_00
    again = a_sale(session, piece, deposit_ids=(deposit.id,))
    assert sum(row.cents for row in applied_to(session, again.id)) == 50_00


def test_a_sale_leaves_no_deposit_standing_and_takes_in_no_more_than_is_owed(session: Session) -> None:
    piece = a_listed_piece(session)
    first = a_deposit(session, piece)
    second = a_deposit(session, piece, payer="Bea", amount_cents=30_00, on_date=date(2026, 11, 21))
    both = (first.id, second.id)
    for ids, sold_on, price, field in (
        ((first.id,), TODAY, 240_00, "deposits"),
        ((*both, 99), TODAY, 240_00, "deposits"),
        (both, SOLD, 240_00, "sold_on"),
        (both, TODAY, 79_99, "deposits"),
    ):
        with pytest.raises(RuleError) as refusal:
            a_sale(session, piece, deposit_ids=ids, sold_on=sold_on, price_cents=price)
        assert refusal.value.field == field
    sale = a_sale(session, piece, deposit_ids=both, sold_on=TODAY, price_cents=75_00, tax_cents=5_00)
    assert sum(row.cents for row in applied_to(session, sale.id)) == 80_00


def test_a_piece_with_a_deposit_neither_leaves_nor_is_struck_out(session: Session, now: datetime) -> None:
    piece = a_piece(session)
    deposit = a_deposit(session, piece)
    with pytest.raises(RuleError, match="A deposit stands on it: Ann"):
        leave_piece(session, piece.id, Leaving.KEPT, on_date=TODAY, reason="", version=None, now=now)
    with pytest.raises(RuleError, match="A deposit was taken on it"):
        strike_find(session, piece.id, reason="twice", version=None, now=now)
    assert session.get_one(Piece, piece.id).left_as is None
    a_deposit_end(session, deposit, on_date=TODAY)
    leave_piece(session, piece.id, Leaving.KEPT, on_date=TODAY, reason="", version=None, now=now)


def test_a_deposit_is_struck_out_once_and_only_while_nothing_became_of_it(session: Session, now: datetime) -> None:
    deposit = a_deposit(session, a_piece(session))
    end = a_deposit_end(session, deposit)
    with pytest.raises(RuleError, match="Strike that out first"):
        strike_deposit(session, deposit.id, reason="never paid", now=now)
    strike_end(session, end.id, reason="it was not given back", now=now)
    with pytest.raises(AlreadyStruck):
        strike_end(session, end.id, reason="again", now=now)
    assert left(session, deposit.id) == 50_00
    with pytest.raises(RuleError) as refusal:
        strike_deposit(session, deposit.id, reason=" ", now=now)
    assert refusal.value.field == "reason"
    strike_deposit(session, deposit.id, reason="never paid", now=now)
    with pytest.raises(AlreadyStruck):
        strike_deposit(session, deposit.id, reason="again", now=now)
    with pytest.raises(RuleError, match="is struck out"):
        a_deposit_end(session, deposit, cents=1)
    assert deposits_owed(session, TODAY) == 0
    for strike in (strike_deposit, strike_end):
        with pytest.raises(NotFound):
            strike(session, 99, reason="wrong", now=now)


def test_what_a_sale_applied_and_what_would_stand_on_a_piece_gone_is_not_struck_out(
    session: Session, now: datetime
) -> None:
    piece = a_listed_piece(session)
    given_back = a_deposit_end(session, a_deposit(session, piece, payer="Bea"), on_date=date(2026, 11, 15))
    deposit = a_deposit(session, piece)
    a_sale(session, piece, deposit_ids=(deposit.id,))
    (applied,) = deposit_by_id(session, deposit.id).ends
    with pytest.raises(RuleError, match="Strike out that sale"):
        strike_end(session, applied.id, reason="wrong", now=now)
    with pytest.raises(RuleError, match="The piece is gone"):
        strike_end(session, given_back.id, reason="wrong", now=now)
