"""Read one month with all that its page opens: its ladder, its sales with their hours, and the months beside it."""

from dataclasses import dataclass

from sqlalchemy.orm import Session

from app.basics.dates import Month
from app.reports.queries.chosen import with_rows_between
from app.reports.queries.ledgers import ledgers_of
from app.reports.queries.months import days_known
from app.reports.queries.shop_rows import materials_behind, shop_cost_rows
from app.reports.rules import (
    HoursRate,
    MonthProfit,
    PieceProfit,
    RowRef,
    SaleLine,
    month_profit,
    piece_profit,
    return_on_time,
)


@dataclass(frozen=True)
class SoldRow:
    """One sale of the month and its piece as it stands now, later costs and all hours included."""

    sale: SaleLine
    piece: PieceProfit


@dataclass(frozen=True)
class MonthSheet:
    """A month's profit and cash, what an hour earned on its sales, and which months lie before and after it.

    `names` holds the shown name of every piece with a row in the month, by its id; `materials` the material of each
    row of the shelf that belongs to the shop.
    """

    month: Month
    profit: MonthProfit
    rate: HoursRate
    sold: tuple[SoldRow, ...]
    names: dict[int, str]
    materials: dict[RowRef, int]
    earlier: Month | None
    later: Month | None

    @property
    def is_empty(self) -> bool:
        """Whether nothing at all is booked in the month."""
        lines = (self.profit.shop_costs, *self.profit.cash.lines)
        return not self.names and not any(line.parts for line in lines)


def month_sheet(session: Session, month: Month, present: Month) -> MonthSheet:
    """All that the page of a month shows; only pieces with a row in it are read."""
    ledgers = ledgers_of(session, with_rows_between(month.first, month.last))
    profit = month_profit(ledgers, shop_cost_rows(session, month.first, month.last), month)
    pieces = {ledger.piece_id: piece_profit(ledger) for ledger in ledgers}
    rates = {each.month: each.rate for each in return_on_time(ledgers).months}
    span = days_known(session)
    known = [Month.of(day) for day in span] if span else []
    return MonthSheet(
        month=month,
        profit=profit,
        rate=rates.get(month, HoursRate(0, 0, 0, 0)),
        sold=tuple(SoldRow(sale, pieces[sale.piece_id]) for sale in sorted(profit.sales, key=lambda sale: sale.on)),
        names={ledger.piece_id: ledger.title for ledger in ledgers},
        materials=materials_behind(session, month.first, month.last),
        earlier=month.previous if month > min([*known, present]) else None,
        later=month.next if month < max([*known, present]) else None,
    )
