"""Money given back in part on a sale that stands: within what it brought, with all that was given back before."""

from datetime import date, datetime
from uuid import uuid4

import pytest
from sqlalchemy.orm import Session

from app.basics.dates import Month
from app.basics.errors import NotFound, RuleError
from app.basics.striking import AlreadyStruck
from app.pieces.models import Piece
from app.pieces.queries import piece_row
from app.pieces.rules import Stage
from app.sales.actions import record_refund, strike_refund, strike_sale
from app.sales.models import Sale
from app.sales.queries import refunds_in, sale_row, sales_findings
from app.sales.rules import NewRefund
from tests.builders.closing import a_correction, closed_up_to
from tests.builders.pieces import a_piece
from tests.builders.sales import CAME_BACK, a_refund, a_return, a_sale, a_sold_piece

MONEY = {"delivery_charged_cents": 25_00, "fees_cents": 30_00, "tax_cents": 20_00}


@pytest.fixture
def sold(session: Session) -> tuple[Piece, Sale]:
    """A piece sold for 240 and 25 for delivery, with fees of 30 and tax of 20."""
    return a_sold_piece(session, sale=MONEY)


@pytest.fixture(autouse=True)
def _records_agree(session: Session) -> object:
    yield
    assert [found for found in sales_findings(session) if found[1] != found[2]] == []


def test_a_refund_counts_in_its_month_and_the_piece_stays_sold(session: Session, sold: tuple[Piece, Sale]) -> None:
    piece, sale = sold
    a_refund(session, sale, tax_refunded_cents=1_50, fees_back_cents=2_00)
    row = sale_row(session, sale.id)
    assert row.stands
    assert row.refunded_cents == 20_00
    money = row.money
    assert (money.refund_left_cents, money.tax_left_cents, money.fees_left_cents) == (245_00, 18_50, 28_00)
    assert piece_row(session, piece.id).stage is Stage.SOLD
    assert [found.tag for found in refunds_in(session, Month(2026, 11))] == [piece.tag]
    assert refunds_in(session, Month(2026, 10)) == []


@pytest.mark.parametrize(
    ("change", "field"),
    [
        ({"refund_cents": 245_01}, "refund"),
        ({"refund_cents": 0}, "refund"),
        ({"refund_cents": -1}, "refund"),
        ({"tax_refunded_cents": 18_51}, "tax_refunded"),
        ({"fees_back_cents": 28_01}, "fees_back"),
        ({"on_date": date(2026, 11, 19)}, "on_date"),
        ({"on_date": date(2026, 11, 26)}, "on_date"),
        ({"reason": " "}, "reason"),
    ],
)
def test_refunds_together_never_exceed_what_the_sale_brought(
    session: Session, sold: tuple[Piece, Sale], change: dict[str, object], field: str
) -> None:
    a_refund(session, sold[1], tax_refunded_cents=1_50, fees_back_cents=2_00)
    with pytest.raises(RuleError) as refusal:
        a_refund(session, sold[1], **change)  # type: ignore[arg-type]
    assert refusal.value.field == field
    assert sale_row(session, sold[1].id).refunded_cents == 20_00


def test_a_return_gives_back_at_most_what_refunds_left(session: Session, sold: tuple[Piece, Sale]) -> None:
    sale = sold[1]
    a_refund(session, sale, refund_cents=65_00, tax_refunded_cents=5_00, fees_back_cents=6_00)
    for change, field in (
        ({"refund_cents": 200_01}, "refund"),
        ({"refund_cents": 1, "tax_refunded_cents": 15_01}, "tax_refunded"),
        ({"refund_cents": 1, "fees_back_cents": 24_01}, "fees_back"),
    ):
        with pytest.raises(RuleError, match="given back before") as refusal:
            a_return(session, sale, **change)  # type: ignore[arg-type]
        assert refusal.value.field == field
    a_return(session, sale, refund_cents=200_00, tax_refunded_cents=15_00, fees_back_cents=24_00)


def test_nothing_is_refunded_on_a_sale_that_came_back_or_is_struck_out(
    session: Session, sold: tuple[Piece, Sale], now: datetime
) -> None:
    a_return(session, sold[1], refund_cents=1)
    with pytest.raises(RuleError, match="came back from this sale"):
        a_refund(session, sold[1])
    _piece, wrong = a_sold_piece(session)
    strike_sale(session, wrong.id, reason="wrong", now=now)
    with pytest.raises(RuleError, match="struck out"):
        a_refund(session, wrong)


def test_a_sale_with_a_refund_is_struck_out_only_after_it(
    session: Session, sold: tuple[Piece, Sale], now: datetime
) -> None:
    sale = sold[1]
    refund = a_refund(session, sale)
    with pytest.raises(RuleError, match="Strike out that refund first"):
        strike_sale(session, sale.id, reason="wrong price", now=now)
    with pytest.raises(RuleError) as refusal:
        strike_refund(session, refund.id, reason="", now=now)
    assert refusal.value.field == "reason"
    strike_refund(session, refund.id, reason="wrong sale", now=now)
    with pytest.raises(AlreadyStruck, match="wrong sale"):
        strike_refund(session, refund.id, reason="again", now=now)
    assert sale_row(session, sale.id).money.refund_left_cents == 265_00
    strike_sale(session, sale.id, reason="wrong price", now=now)
    with pytest.raises(NotFound):
        strike_refund(session, 99, reason="wrong", now=now)


def test_one_capture_gives_back_once(session: Session, sold: tuple[Piece, Sale], now: datetime) -> None:
    new, capture = NewRefund(sold[1].id, CAME_BACK, 20_00, 0, 0, "a scratch"), str(uuid4())
    first = record_refund(session, new, capture_id=capture, now=now)
    assert record_refund(session, new, capture_id=capture, now=now).id == first.id
    assert sale_row(session, sold[1].id).refunded_cents == 20_00


def test_what_a_correction_took_off_the_sale_cannot_be_given_back(session: Session) -> None:
    early = date(2026, 10, 20)
    piece = a_piece(session, bought_on=date(2026, 10, 2))
    sale = a_sale(session, piece, sold_on=early, price_cents=240_00)
    closed_up_to(session, Month(2026, 10))
    a_correction(session, "sale", sale.id, price=100_00)

    with pytest.raises(RuleError, match="more than the price"):
        a_refund(session, sale, refund_cents=100_01)

    assert a_refund(session, sale, refund_cents=100_00).refund_cents == 100_00
