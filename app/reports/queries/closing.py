"""Read what a month comes to when it is closed, which month is next, and whether closed ones still say the same."""

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date, timedelta
from typing import TypeAlias

from sqlalchemy import SelectBase, func, select
from sqlalchemy.orm import Session

from app.basics.dates import Month
from app.reports.queries.ledgers import ledgers_of_money
from app.reports.queries.months import days_known, month_of, months_of
from app.reports.queries.stock import stock_moved
from app.reports.rules import stock_at_cost
from app.sales.models import Deposit, DepositEnd
from app.shelf.models import ShelfCharge, ShelfPurchase
from app.shop.queries import ClosedMonthRow, closed_months
from app.shop.rules import MonthFigures

FIGURE_WORDS = {
    "profit": "Profit of",
    "cash": "Cash in minus cash out of",
    "stock": "Stock at cost at the end of",
    "shelf": "The shelf at the end of",
    "deposits": "Deposits owed at the end of",
}


# Each select gives a day and an amount; the sign says whether it adds to what is held or takes from it.
_Signed: TypeAlias = tuple[int, SelectBase]

_SHELF: tuple[_Signed, ...] = (
    (
        1,
        select(
            ShelfPurchase.on_date.label("day"), (ShelfPurchase.price_cents + ShelfPurchase.tax_cents).label("cents")
        ).where(ShelfPurchase.struck_at.is_(None)),
    ),
    (-1, select(ShelfCharge.on_date.label("day"), ShelfCharge.cents.label("cents"))),
)
_DEPOSITS: tuple[_Signed, ...] = (
    (
        1,
        select(Deposit.on_date.label("day"), Deposit.amount_cents.label("cents")).where(Deposit.struck_at.is_(None)),
    ),
    (
        -1,
        select(DepositEnd.on_date.label("day"), DepositEnd.cents.label("cents")).where(DepositEnd.struck_at.is_(None)),
    ),
)


@dataclass(frozen=True)
class ClosingSheet:
    """The closed months, the newest first, and the month that is next with what it comes to now.

    `following` is None while nothing is booked; `is_over` says whether it can be closed yet.
    """

    closed: tuple[ClosedMonthRow, ...]
    following: Month | None
    figures: MonthFigures | None
    is_over: bool


def closing_sheet(session: Session, today: date) -> ClosingSheet:
    """All that the page shows on which months are closed."""
    closed = closed_months(session)
    following = closed[-1].month.next if closed else first_month(session)
    return ClosingSheet(
        closed=tuple(reversed(closed)),
        following=following,
        figures=figures_of(session, following) if following and following.first <= today else None,
        is_over=following is not None and following.last < today,
    )


def first_month(session: Session) -> Month | None:
    """The first month with a row of money; None while nothing is booked."""
    span = days_known(session)
    return Month.of(span[0]) if span else None


def closed_month(session: Session, month: Month) -> ClosedMonthRow | None:
    """A month as it was closed; None while it is open."""
    return next((row for row in closed_months(session) if row.month == month), None)


def figures_of(session: Session, month: Month) -> MonthFigures:
    """What a month comes to as its rows stand: profit and cash of it; stock, shelf and deposits at its end."""
    profit = month_of(session, month)
    return MonthFigures(
        profit=profit.profit,
        cash=profit.cash.net,
        stock=stock_moved(session, month.last + timedelta(days=1), month.last + timedelta(days=1)).opening,
        shelf=_sum_to(session, month.last, *_SHELF),
        deposits=_sum_to(session, month.last, *_DEPOSITS),
    )


def closing_findings(session: Session) -> list[tuple[str, int, int]]:
    """For each closed month and each of its figures: what was kept when it was closed, and what the rows say now.

    The rows are read for all the months at once, and the stock from every piece there is, unlike when closing.
    """
    closed = closed_months(session)
    if not closed:
        return []
    months = [row.month for row in closed]
    ledgers = ledgers_of_money(session, None)
    shelf, deposits = _sums_at(session, months, *_SHELF), _sums_at(session, months, *_DEPOSITS)
    now = [
        MonthFigures(profit.profit, profit.cash.net, stock_at_cost(ledgers, month.last), shelf[month], deposits[month])
        for month, profit in zip(months, months_of(session, months), strict=True)
    ]
    return [finding for row, figures in zip(closed, now, strict=True) for finding in _compare(row, figures)]


def _compare(row: ClosedMonthRow, now: MonthFigures) -> Iterator[tuple[str, int, int]]:
    for key, words in FIGURE_WORDS.items():
        name = f"{words} {row.month.name}, as closed and as the rows say"
        yield name, getattr(row.figures, key), getattr(now, key)


def _sum_to(session: Session, day: date, *signed: _Signed) -> int:
    """What is held at the end of a day."""
    held = 0
    for sign, amounts in signed:
        rows = amounts.subquery()
        held += sign * (session.scalar(select(func.sum(rows.c.cents)).where(rows.c.day <= day)) or 0)
    return held


def _sums_at(session: Session, months: list[Month], *signed: _Signed) -> dict[Month, int]:
    """What is held at the end of each month; one query for each sort of row."""
    changes: list[tuple[date, int]] = []
    for sign, amounts in signed:
        rows = amounts.subquery()
        by_day = session.execute(select(rows.c.day, func.sum(rows.c.cents)).group_by(rows.c.day))
        changes += [(day, sign * cents) for day, cents in by_day]
    return {month: sum(cents for day, cents in changes if day <= month.last) for month in months}
