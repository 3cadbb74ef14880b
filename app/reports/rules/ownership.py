"""What is owned on a day, told from the rows alone: the second route beside the walk, for the proofs.

Nothing here knows the walk. A piece is gone from the day of its sale or leaving until the day it comes back;
a cost dated strictly between the two never enters stock.
"""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date
from typing import NamedTuple

from app.reports.rules.ledger import KEPT, CostRow, Going, LeavingRow, PieceLedger, RowRef


class Absence(NamedTuple):
    """One time a piece was gone: from `out` until `back`, which is None while it is still gone."""

    by: Going
    out: date
    back: date | None

    def covers(self, day: date) -> bool:
        """Whether the piece is gone at the end of the day."""
        return self.out <= day and (self.back is None or day < self.back)

    def makes_late(self, cost: CostRow) -> bool:
        """Whether the cost was dated while the piece was gone, so that it never entered stock."""
        return self.out < cost.on and (self.back is None or cost.on < self.back)


@dataclass(frozen=True, slots=True)
class PieceAtCost:
    """One piece on hand at the end of a day: what it stands at, in cents, and the cost rows that make it."""

    piece_id: int
    tag: str
    title: str
    count: int
    cents: int
    rows: tuple[RowRef, ...]


@dataclass(frozen=True, slots=True)
class LeftPiece:
    """One piece that left without a sale and is still gone: when, how, and what it stood at then, in cents."""

    piece_id: int
    tag: str
    title: str
    count: int
    on: date
    how: str
    cents: int
    row: RowRef


def absences(ledger: PieceLedger) -> tuple[Absence, ...]:
    """Every time the piece was gone, in no particular order."""
    back_on: dict[RowRef, date] = {back.sale: back.on for back in ledger.returns}
    back_on.update({back.leaving: back.on for back in ledger.backs})
    return tuple(Absence(going, going.on, back_on.get(going.row)) for going in ledger.goings)


def gone_by(ledger: PieceLedger, day: date) -> Going | None:
    """The sale or leaving by which the piece is gone at the end of the day, or None when it is not gone."""
    return next((absence.by for absence in absences(ledger) if absence.covers(day)), None)


def costs_in_stock(ledger: PieceLedger, day: date) -> tuple[CostRow, ...]:
    """The costs up to the day that went into stock, whether or not the piece is on hand on that day."""
    times_gone = absences(ledger)
    return tuple(
        cost for cost in ledger.costs if cost.on <= day and not any(absence.makes_late(cost) for absence in times_gone)
    )


def stock_of_piece(ledger: PieceLedger, day: date) -> int:
    """Cents the piece stands at in stock at the end of the day; 0 when it is gone."""
    if gone_by(ledger, day) is not None:
        return 0
    return sum(cost.cents for cost in costs_in_stock(ledger, day))


def stock_at_cost(ledgers: Iterable[PieceLedger], day: date) -> int:
    """Cents all the pieces stand at in stock at the end of the day."""
    return sum(stock_of_piece(ledger, day) for ledger in ledgers)


def stock_list(ledgers: Iterable[PieceLedger], day: date) -> tuple[PieceAtCost, ...]:
    """Each piece on hand at the end of the day with what it stands at, the dearest first.

    A piece that cost nothing is listed too, from the day it was sourced.
    """
    found = []
    for ledger in ledgers:
        if gone_by(ledger, day) is not None:
            continue
        costs = costs_in_stock(ledger, day)
        if costs or ledger.sourced_on <= day:
            cents = sum(cost.cents for cost in costs)
            rows = tuple(cost.row for cost in costs)
            found.append(PieceAtCost(ledger.piece_id, ledger.tag, ledger.title, ledger.count, cents, rows))
    return tuple(sorted(found, key=lambda piece: (-piece.cents, piece.tag)))


def left_list(ledgers: Iterable[PieceLedger], day: date) -> tuple[LeftPiece, ...]:
    """Each piece that is gone without a sale at the end of the day with what it stood at, the latest first."""
    found = []
    for ledger in ledgers:
        going = gone_by(ledger, day)
        if isinstance(going, LeavingRow):
            cents = sum(cost.cents for cost in costs_in_stock(ledger, going.on))
            piece = (ledger.piece_id, ledger.tag, ledger.title, ledger.count)
            found.append(LeftPiece(*piece, going.on, going.how, cents, going.row))
    return tuple(sorted(found, key=lambda piece: (piece.on, piece.piece_id), reverse=True))


def kept_at_cost(ledger: PieceLedger, day: date) -> int:
    """Cents the owner has taken out by keeping the piece, as it stands at the end of the day."""
    going = gone_by(ledger, day)
    if not isinstance(going, LeavingRow) or going.how != KEPT:
        return 0
    return sum(cost.cents for cost in costs_in_stock(ledger, going.on))


def realised_by(ledger: PieceLedger, day: date) -> int:
    """Profit or loss in cents the piece has made up to the end of the day.

    All that came in less all that went out, plus what is still there: in stock, or taken out at cost. What
    counts at once never enters either.
    """
    sales = (sale for sale in ledger.sales if sale.on <= day)
    returns = (back for back in ledger.returns if back.on <= day)
    return (
        sum(sale.price + sale.delivery_charged - sale.delivery_paid - sale.fees for sale in sales)
        + sum(back.fees_back + back.delivery_back - back.refund for back in returns)
        + sum(row.cents for row in ledger.at_once if row.on <= day)
        - sum(cost.cents for cost in ledger.costs if cost.on <= day)
        + stock_of_piece(ledger, day)
        + kept_at_cost(ledger, day)
    )
