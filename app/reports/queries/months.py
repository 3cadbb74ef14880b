"""Read the profit of a month, of many months at once, and which months the books know."""

from collections.abc import Sequence
from datetime import date, datetime
from typing import Any

from sqlalchemy import ScalarSelect, func, select
from sqlalchemy.orm import InstrumentedAttribute, Session

from app.basics.dates import Month, months_between
from app.costs.models import Adjustment, CostLine
from app.pieces.models import LeavingRow, Purchase, Transfer
from app.reports.queries.chosen import with_rows_between
from app.reports.queries.ledgers import ledgers_of_money
from app.reports.queries.shop_rows import shop_cost_rows
from app.reports.rules import MonthProfit, month_profit, months_profit
from app.sales.models import Deposit, DepositEnd, Sale, SaleRefund, SaleReturn
from app.shelf.models import ShelfCharge, ShelfPurchase
from app.trips.models import Trip


def month_of(session: Session, month: Month) -> MonthProfit:
    """The profit of one month; only pieces with a row in it are read, in a fixed number of queries."""
    ledgers = ledgers_of_money(session, with_rows_between(month.first, month.last))
    return month_profit(ledgers, shop_cost_rows(session, month.first, month.last), month)


def months_of(session: Session, months: Sequence[Month]) -> list[MonthProfit]:
    """The profit of each of the months, which follow one another; a fixed number of queries for all of them."""
    if not months:
        return []
    first, last = months[0].first, months[-1].last
    ledgers = ledgers_of_money(session, with_rows_between(first, last))
    return months_profit(ledgers, shop_cost_rows(session, first, last), months)


def months_known(session: Session) -> list[Month]:
    """Every month from the first counting row of money to the last one; none while nothing is booked."""
    span = days_known(session)
    return months_between(Month.of(span[0]), Month.of(span[1])) if span else []


def days_known(session: Session) -> tuple[date, date] | None:
    """The days of the first and the last counting row of money, or None while nothing is booked; one query."""
    spans = [
        *_span(Purchase.on_date, Purchase.struck_at),
        *_span(CostLine.on_date, CostLine.struck_at),
        *_span(Sale.sold_on, Sale.struck_at),
        *_span(SaleReturn.returned_on, SaleReturn.struck_at),
        *_span(Transfer.on_date),
        *_span(LeavingRow.on_date),
        *_span(LeavingRow.back_on),
        *_span(ShelfCharge.on_date),
        *_span(ShelfPurchase.on_date, ShelfPurchase.struck_at),
        *_span(Trip.on_date, Trip.struck_at),
        *_span(Adjustment.on_date, Adjustment.struck_at),
        *_span(SaleRefund.on_date, SaleRefund.struck_at),
        *_span(Deposit.on_date, Deposit.struck_at),
        *_span(DepositEnd.on_date, DepositEnd.struck_at),
    ]
    found = [day for day in session.execute(select(*spans)).one() if day is not None]
    return (min(found), max(found)) if found else None


def _span(
    day: InstrumentedAttribute[date] | InstrumentedAttribute[date | None],
    struck_at: InstrumentedAttribute[datetime | None] | None = None,
) -> list[ScalarSelect[Any]]:
    ends: list[ScalarSelect[Any]] = []
    for end in (func.min(day), func.max(day)):
        wanted = select(end) if struck_at is None else select(end).where(struck_at.is_(None))
        ends.append(wanted.scalar_subquery())
    return ends
