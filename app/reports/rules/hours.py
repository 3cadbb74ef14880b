"""What an hour of work earned: per piece, per month of sale, and over all."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date
from typing import Final

from app.basics.dates import Month
from app.reports.rules.ledger import PieceLedger, SaleRow
from app.reports.rules.ownership import gone_by
from app.reports.rules.piece import SOLD, PieceProfit, per_hour, piece_profit

HOURS_NOTE: Final = (
    "A month's rate is the whole profit of the pieces that sold in it over all the time ever logged on them, "
    "whenever it was worked. Sold pieces without any time logged are left out of both and counted beside it; "
    "a sale that came back is not counted. Shop costs are not taken off."
)


@dataclass(frozen=True, slots=True)
class HoursRate:
    """Profit over time of some sold pieces: cents, minutes, and how many pieces stand behind them."""

    profit_cents: int
    minutes: int
    timed_count: int
    untimed_count: int

    @property
    def per_hour_cents(self) -> int | None:
        """Cents earned per hour, rounded half-up; None where no minute was logged."""
        return per_hour(self.profit_cents, self.minutes)


@dataclass(frozen=True, slots=True)
class MonthRate:
    """The rate of the pieces that sold in one month."""

    month: Month
    rate: HoursRate


@dataclass(frozen=True, slots=True)
class ReturnOnTime:
    """Sold pieces, the best paid hour first and those without time last; their months; and all together."""

    pieces: tuple[PieceProfit, ...]
    months: tuple[MonthRate, ...]
    together: HoursRate


def return_on_time(ledgers: Iterable[PieceLedger]) -> ReturnOnTime:
    """What an hour earned, by HOURS_NOTE, over all pieces whose sale stands.

    Raises LedgerError where a piece's rows cannot have happened in their order.
    """
    sold: list[PieceProfit] = []
    by_month: dict[Month, list[PieceProfit]] = {}
    for ledger in ledgers:
        profit = piece_profit(ledger)
        sale = gone_by(ledger, date.max)
        if profit.state == SOLD and isinstance(sale, SaleRow):
            sold.append(profit)
            by_month.setdefault(Month.of(sale.on), []).append(profit)
    months = [MonthRate(month, _rate(pieces)) for month, pieces in by_month.items()]
    return ReturnOnTime(
        pieces=tuple(sorted(sold, key=_best_hour_first)),
        months=tuple(sorted(months, key=lambda month_rate: month_rate.month.first)),
        together=_rate(sold),
    )


def _rate(pieces: list[PieceProfit]) -> HoursRate:
    timed = [piece for piece in pieces if piece.minutes > 0]
    return HoursRate(
        profit_cents=sum(piece.profit or 0 for piece in timed),
        minutes=sum(piece.minutes for piece in timed),
        timed_count=len(timed),
        untimed_count=len(pieces) - len(timed),
    )


def _best_hour_first(piece: PieceProfit) -> tuple[bool, int, str]:
    rate = piece.per_hour_cents
    return rate is None, -(rate or 0), piece.tag
