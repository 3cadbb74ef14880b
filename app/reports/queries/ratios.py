"""Read what the ratios of a year are worked out from."""

from collections.abc import Sequence
from datetime import date, timedelta

from sqlalchemy.orm import Session

from app.basics.dates import Month, months_between
from app.reports.queries.chosen import here_or_moved_since
from app.reports.queries.ledgers import ledgers_of_money
from app.reports.rules import PieceLedger, SaleRow, period_profit, piece_profit, stock_at_cost, stock_list
from app.reports.rules.ownership import gone_by
from app.reports.rules.ratios import PeriodFigures


def figures_of_year(session: Session, year: int, today: date) -> PeriodFigures:
    """What the ratios of a year that has begun need, up to today at most; a fixed number of queries."""
    first, last = date(year, 1, 1), min(date(year, 12, 31), today)
    ledgers = ledgers_of_money(session, here_or_moved_since(first, date.max))
    profit = period_profit(ledgers, (), first, last)
    before = first - timedelta(days=1)
    put_in, made = _money_and_profit(ledgers, first, last)
    return PeriodFigures(
        first=first,
        last=last,
        net_receipts=profit.net_receipts,
        cost_of_goods_sold=profit.net_receipts - profit.gross_profit,
        levels=tuple(stock_at_cost(ledgers, day) for day in (before, *_month_ends(first, last))),
        here_at_start=len(stock_list(ledgers, before)),
        came=sum(_came(ledger, first, last) for ledger in ledgers),
        sold=sum(_stands(ledger, sale, last) for ledger in ledgers for sale in ledger.sales if first <= sale.on),
        put_in=put_in,
        made=made,
    )


def _came(ledger: PieceLedger, first: date, last: date) -> bool:
    """Whether a piece came in the period: found in it, or gone when it began and back since."""
    if first <= ledger.sourced_on <= last:
        return True
    was_gone = gone_by(ledger, first - timedelta(days=1)) is not None
    return was_gone and any(first <= coming.on <= last for coming in ledger.comings)


def _stands(ledger: PieceLedger, sale: SaleRow, last: date) -> bool:
    """Whether a sale was made by the end of the period and had not come back by then."""
    return sale.on <= last and not any(back.sale == sale.row and back.on <= last for back in ledger.returns)


def _month_ends(first: date, last: date) -> list[date]:
    """The last day of each month of a period, and of the one that still runs its last day so far."""
    return [min(month.last, last) for month in months_between(Month.of(first), Month.of(last))]


def _money_and_profit(ledgers: Sequence[PieceLedger], first: date, last: date) -> tuple[int, int]:
    """The money put into the pieces whose sale in the period stands, and what they made."""
    put_in = made = 0
    for ledger in ledgers:
        sale = gone_by(ledger, date.max)
        if isinstance(sale, SaleRow) and first <= sale.on <= last:
            piece = piece_profit(ledger)
            put_in += piece.money_in
            made += piece.profit or 0
    return put_in, made
