"""Read what the first page of the books shows, in one go: the month so far, the months before, stock, what sits."""

from dataclasses import dataclass
from datetime import date
from typing import Any

from sqlalchemy import SelectBase, func, select
from sqlalchemy.orm import Session

from app.basics.dates import Month, months_between
from app.reports.queries.chosen import here_or_moved_since, left_pieces, on_hand, sold_pieces
from app.reports.queries.days import sitting
from app.reports.queries.ledgers import ledgers_of
from app.reports.queries.months import days_known
from app.reports.queries.shop_rows import shop_cost_rows
from app.reports.rules import (
    HoursRate,
    MonthProfit,
    SittingPiece,
    months_profit,
    return_on_time,
    stock_list,
)

MONTHS_SHOWN = 12
LATEST_SHOWN = 6


@dataclass(frozen=True)
class PieceTally:
    """How many pieces are here, are sold, and left without a sale."""

    here: int
    sold: int
    left: int

    @property
    def all(self) -> int:
        """How many pieces the books know."""
        return self.here + self.sold + self.left


@dataclass(frozen=True)
class BooksSheet:
    """The books at a glance: `months` ends with the present one; amounts in cents."""

    month: Month
    months: tuple[MonthProfit, ...]
    rate: HoursRate
    stock_cents: int
    stock_pieces: int
    sitting: tuple[SittingPiece, ...]
    tally: PieceTally
    is_empty: bool

    @property
    def latest(self) -> tuple[MonthProfit, ...]:
        """The latest months, the newest first."""
        return self.months[: -LATEST_SHOWN - 1 : -1]

    @property
    def sitting_count(self) -> int:
        """How many pieces sit too long."""
        return len(self.sitting)

    @property
    def so_far(self) -> MonthProfit:
        """The present month."""
        return self.months[-1]


def books_sheet(session: Session, today: date, *, too_long_days: int) -> BooksSheet:
    """The books at a glance on a day; the same number of queries for any number of pieces."""
    month = Month.of(today)
    span = days_known(session)
    months = _months_shown(month, span[0] if span else today)
    first, last = months[0].first, month.last
    ledgers = ledgers_of(session, here_or_moved_since(first, last))
    rates = {each.month: each.rate for each in return_on_time(ledgers).months}
    stock = stock_list(ledgers, today)
    return BooksSheet(
        month=month,
        months=tuple(months_profit(ledgers, shop_cost_rows(session, first, last), months)),
        rate=rates.get(month, HoursRate(0, 0, 0, 0)),
        stock_cents=sum(piece.cents for piece in stock),
        stock_pieces=len(stock),
        sitting=sitting(session, today, too_long_days),
        tally=_tally(session),
        is_empty=span is None,
    )


def _tally(session: Session) -> PieceTally:
    def number(chosen: SelectBase) -> Any:
        return select(func.count()).select_from(chosen.subquery()).scalar_subquery()

    return PieceTally(*session.execute(select(number(on_hand()), number(sold_pieces()), number(left_pieces()))).one())


def _months_shown(month: Month, first_day: date) -> list[Month]:
    first = Month.of(first_day)
    return months_between(min(first, month), month)[-MONTHS_SHOWN:]
