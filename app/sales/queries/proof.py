"""Check the records of sales, refunds, deposits and sales tax against each other."""

from collections.abc import Iterator
from datetime import date
from typing import Any

from sqlalchemy import ColumnElement, Select, and_, exists, func, or_, select
from sqlalchemy.orm import Session

from app.basics.quantities import RATE_WHOLE
from app.pieces.models import Piece
from app.pieces.rules import Stage
from app.sales.models import Deposit, DepositEnd, Sale, SaleRefund, SaleReturn, TaxPlace
from app.sales.queries.deposits import deposits_owed
from app.sales.rules import DepositEnding

Found = tuple[str, int, int]

COUNTS = Deposit.struck_at.is_(None)
END_COUNTS = DepositEnd.struck_at.is_(None)


def sales_findings(session: Session) -> Iterator[Found]:
    """Every identity of refunds, deposits and tax as (name, left, right); a fixed number of queries.

    Where the right side is 0 the left one counts the rows that break it.
    """
    yield from _of_deposits(session)
    yield from _of_ends(session)
    yield from _of_refunds(session)
    yield from _of_tax(session)


def _of_deposits(session: Session) -> Iterator[Found]:
    ended = _ended_of_deposit()
    yield _rows(
        session,
        "Deposits ended for more than they were",
        select(Deposit.id).where(COUNTS, ended > Deposit.amount_cents),
    )
    is_here = and_(Piece.stage != Stage.SOLD, Piece.left_as.is_(None), Piece.struck_at.is_(None))
    gone = select(Deposit.id).join(Piece, Piece.id == Deposit.piece_id)
    gone = gone.where(COUNTS, ended < Deposit.amount_cents, ~is_here)
    yield _rows(session, "Deposits that stand on a piece that is gone", gone)
    left = select(func.sum(Deposit.amount_cents - ended)).where(COUNTS)
    yield "Deposits owed, and what is left of each", deposits_owed(session, date.max), session.scalar(left) or 0


def _of_ends(session: Session) -> Iterator[Found]:
    ends = select(DepositEnd.id).join(Deposit, Deposit.id == DepositEnd.deposit_id).where(END_COUNTS)
    yield _rows(session, "Ends that count of a deposit struck out", ends.where(~COUNTS))
    yield _rows(session, "Deposits ended before they were taken", ends.where(DepositEnd.on_date < Deposit.on_date))
    of_its_sale = exists().where(
        Sale.id == DepositEnd.sale_id,
        Sale.struck_at.is_(None),
        Sale.piece_id == Deposit.piece_id,
        Sale.sold_on == DepositEnd.on_date,
    )
    is_applied = DepositEnd.how == DepositEnding.APPLIED
    elsewhere = or_(and_(is_applied, ~of_its_sale), and_(~is_applied, DepositEnd.sale_id.is_not(None)))
    yield _rows(session, "Deposits applied otherwise than to a sale of their piece that counts", ends.where(elsewhere))
    applied = _sum_of(DepositEnd.cents, DepositEnd.sale_id == Sale.id, END_COUNTS)
    due = Sale.price_cents + Sale.delivery_charged_cents + Sale.tax_cents
    yield _rows(session, "Sales with more applied to them than the buyer owed", select(Sale.id).where(applied > due))


def _of_refunds(session: Session) -> Iterator[Found]:
    refunds = select(SaleRefund.id).join(Sale, Sale.id == SaleRefund.sale_id).where(SaleRefund.struck_at.is_(None))
    yield _rows(session, "Refunds that count of a sale struck out", refunds.where(Sale.struck_at.is_not(None)))
    yield _rows(session, "Refunds dated before their sale", refunds.where(SaleRefund.on_date < Sale.sold_on))
    brought = Sale.price_cents + Sale.delivery_charged_cents
    for name, refunded, returned, most in (
        ("Sales that gave back more than they brought", SaleRefund.refund_cents, SaleReturn.refund_cents, brought),
        (
            "Sales that gave back more tax than they collected",
            SaleRefund.tax_refunded_cents,
            SaleReturn.tax_refunded_cents,
            Sale.tax_cents,
        ),
        (
            "Sales that got back more fees than they paid",
            SaleRefund.fees_back_cents,
            SaleReturn.fees_back_cents,
            Sale.fees_cents,
        ),
    ):
        in_part = _sum_of(refunded, SaleRefund.sale_id == Sale.id, SaleRefund.struck_at.is_(None))
        as_return = _sum_of(returned, SaleReturn.sale_id == Sale.id, SaleReturn.struck_at.is_(None))
        yield _rows(session, name, select(Sale.id).where(Sale.struck_at.is_(None), in_part + as_return > most))


def _of_tax(session: Session) -> Iterator[Found]:
    sales = select(Sale.id).where(Sale.struck_at.is_(None))
    beyond = sales.where(Sale.tax_rate_ppm.is_not(None), ~Sale.tax_rate_ppm.between(0, RATE_WHOLE))
    yield _rows(session, "Sales at a rate of tax that cannot be", beyond)
    known = exists().where(TaxPlace.id == Sale.tax_place_id)
    stray = sales.where(or_(Sale.tax_rate_ppm.is_not(None), Sale.tax_basis.is_not(None)), ~known)
    yield _rows(session, "Sales at a rate of tax of no place", stray)
    both = sales.where(Sale.tax_cents > 0, Sale.channel_tax_cents > 0)
    yield _rows(session, "Sales whose tax both the shop and the channel collected", both)
    nobodys = sales.where(Sale.channel_tax_cents > 0, Sale.channel_id.is_(None))
    yield _rows(session, "Sales whose tax a channel collected, without the channel", nobodys)
    brought = Sale.price_cents + Sale.delivery_charged_cents
    yield _rows(session, "Sales with more tax than they brought", sales.where(Sale.channel_tax_cents > brought))


def _rows(session: Session, name: str, wanted: Select[Any]) -> Found:
    return name, session.scalar(select(func.count()).select_from(wanted.subquery())) or 0, 0


def _ended_of_deposit() -> ColumnElement[int]:
    return _sum_of(DepositEnd.cents, DepositEnd.deposit_id == Deposit.id, END_COUNTS)


def _sum_of(amount: Any, *which: ColumnElement[bool]) -> ColumnElement[int]:
    return func.coalesce(select(func.sum(amount)).where(*which).scalar_subquery(), 0)
