"""The records of sales agree with each other, and each thing that may break them is found."""

from collections.abc import Callable
from datetime import date
from typing import Any

import pytest
from sqlalchemy import event, select, update
from sqlalchemy.orm import Session

from app.pieces.models import Piece
from app.pieces.rules import Stage
from app.sales.models import Deposit, DepositEnd, Sale, SaleRefund
from app.sales.queries import sales_findings
from app.sales.rules import DepositEnding, TaxBasis
from tests.builders.floor import a_channel, a_listed_piece
from tests.builders.pieces import NOW
from tests.builders.sales import (
    a_deposit,
    a_deposit_end,
    a_refund,
    a_return,
    a_sale,
    a_sold_piece,
    a_tax_place,
)


@pytest.fixture
def shop_of_all(session: Session) -> Session:
    """A shop with a deposit of each ending, refunds, a return and sales taxed by the shop and by a channel."""
    place, channel = a_tax_place(session), a_channel(session)
    taxed: dict[str, Any] = {"tax_place_id": place.id, "tax_rate_ppm": 82_500, "tax_basis": TaxBasis.INVOICE}
    piece = a_listed_piece(session)
    a_deposit_end(session, a_deposit(session, piece, payer="Bea"), cents=50_00)
    applied = a_deposit(session, piece)
    sale = a_sale(session, piece, deposit_ids=(applied.id,), tax_cents=19_80, fees_cents=10_00, **taxed)
    a_refund(session, sale, tax_refunded_cents=1_00, fees_back_cents=1_00)
    online = a_listed_piece(session)
    a_sale(session, online, channel_id=channel.id, channel_tax_cents=19_80, **taxed)
    _piece, back = a_sold_piece(session)
    a_refund(session, back)
    a_return(session, back, refund_cents=220_00)
    a_deposit_end(
        session, a_deposit(session, a_listed_piece(session), payer="Cal"), how=DepositEnding.KEPT, cents=10_00
    )
    return session


def broken(session: Session) -> list[str]:
    session.flush()
    return [name for name, left, right in sales_findings(session) if left != right]


def change(table: Any, where: Any, **values: Any) -> Callable[[Session], object]:
    return lambda session: session.execute(update(table).where(where).values(**values))


STRUCK = {"struck_at": NOW, "struck_reason": "by hand"}
IS_APPLIED = DepositEnd.how == DepositEnding.APPLIED


def test_what_the_actions_make_agrees(shop_of_all: Session) -> None:
    assert broken(shop_of_all) == []


@pytest.mark.parametrize(
    ("damage", "name"),
    [
        (change(DepositEnd, DepositEnd.cents == 10_00, cents=50_01), "Deposits ended for more than they were"),
        (change(DepositEnd, IS_APPLIED, cents=49_99), "Deposits that stand on a piece that is gone"),
        (change(Deposit, Deposit.payer == "Ann", struck_at=NOW), "Ends that count of a deposit struck out"),
        (
            change(DepositEnd, DepositEnd.cents == 10_00, on_date=date(2026, 11, 9)),
            "Deposits ended before they were taken",
        ),
        (
            change(DepositEnd, IS_APPLIED, sale_id=2),
            "Deposits applied otherwise than to a sale of their piece that counts",
        ),
        (
            change(DepositEnd, IS_APPLIED, on_date=date(2026, 11, 21)),
            "Deposits applied otherwise than to a sale of their piece that counts",
        ),
        (
            change(DepositEnd, DepositEnd.cents == 10_00, sale_id=1),
            "Deposits applied otherwise than to a sale of their piece that counts",
        ),
        (change(Sale, Sale.id == 1, price_cents=25_00), "Sales with more applied to them than the buyer owed"),
        (change(Sale, Sale.id == 3, **STRUCK), "Refunds that count of a sale struck out"),
        (change(SaleRefund, SaleRefund.sale_id == 1, on_date=date(2026, 11, 1)), "Refunds dated before their sale"),
        (
            change(SaleRefund, SaleRefund.sale_id == 3, refund_cents=20_01),
            "Sales that gave back more than they brought",
        ),
        (
            change(SaleRefund, SaleRefund.sale_id == 1, tax_refunded_cents=19_81),
            "Sales that gave back more tax than they collected",
        ),
        (
            change(SaleRefund, SaleRefund.sale_id == 1, fees_back_cents=10_01),
            "Sales that got back more fees than they paid",
        ),
        (change(Sale, Sale.id == 1, tax_rate_ppm=1_000_001), "Sales at a rate of tax that cannot be"),
        (change(Sale, Sale.id == 1, tax_place_id=None), "Sales at a rate of tax of no place"),
        (
            change(Sale, Sale.id == 1, channel_tax_cents=1),
            "Sales whose tax both the shop and the channel collected",
        ),
        (change(Sale, Sale.id == 2, channel_id=None), "Sales whose tax a channel collected, without the channel"),
        (change(Sale, Sale.id == 2, channel_tax_cents=240_01), "Sales with more tax than they brought"),
    ],
)
def test_each_thing_that_breaks_them_is_named(
    shop_of_all: Session, damage: Callable[[Session], object], name: str
) -> None:
    damage(shop_of_all)
    assert name in broken(shop_of_all)


def test_a_deposit_on_a_piece_that_left_by_itself_is_found(shop_of_all: Session) -> None:
    standing = select(Deposit.piece_id).where(Deposit.payer == "Cal").scalar_subquery()
    shop_of_all.execute(update(Piece).where(Piece.id == standing).values(stage=Stage.SOLD))
    assert broken(shop_of_all) == ["Deposits that stand on a piece that is gone"]


def test_the_proof_asks_a_fixed_number_of_queries(shop_of_all: Session) -> None:
    def asked() -> int:
        statements: list[str] = []

        def note(_connection: Any, _cursor: Any, statement: str, *_rest: Any) -> None:
            statements.append(statement)

        engine = shop_of_all.get_bind()
        event.listen(engine, "before_cursor_execute", note)
        list(sales_findings(shop_of_all))
        event.remove(engine, "before_cursor_execute", note)
        return len(statements)

    few = asked()
    for number in range(5):
        _piece, sale = a_sold_piece(shop_of_all)
        a_refund(shop_of_all, sale, refund_cents=number + 1)
    assert asked() == few
