"""Read the list of what every piece made: narrowed to a state, in an order, one page of it."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from enum import StrEnum
from typing import Final

from sqlalchemy import SelectBase
from sqlalchemy.orm import Session

from app.reports.queries.chosen import left_pieces, on_hand, sold_pieces
from app.reports.queries.pieces import profits_of
from app.reports.rules import PieceProfit


class Shown(StrEnum):
    """Which pieces the list shows."""

    ALL = "all"
    SOLD = "sold"
    ON_HAND = "on-hand"
    LEFT = "left"


class Order(StrEnum):
    """What the list is sorted by; what is not known comes last."""

    PROFIT = "profit"
    PER_HOUR = "per-hour"
    ON_CASH = "on-cash"
    MONEY_IN = "put-in"
    HOURS = "hours"
    NEWEST = "newest"


ORDER_WORDS: Final[dict[Order, str]] = {
    Order.PROFIT: "Profit",
    Order.PER_HOUR: "Per hour",
    Order.ON_CASH: "Earned on the money",
    Order.MONEY_IN: "Money put in",
    Order.HOURS: "Hours",
    Order.NEWEST: "Newest",
}
SHOWN_WORDS: Final[dict[Shown, str]] = {
    Shown.ALL: "All",
    Shown.SOLD: "Sold",
    Shown.ON_HAND: "On hand",
    Shown.LEFT: "Left",
}

Measure = Callable[[PieceProfit], float | int | None]

_MEASURES: Final[dict[Order, Measure]] = {
    Order.PROFIT: lambda piece: piece.profit,
    Order.PER_HOUR: lambda piece: piece.per_hour_cents,
    Order.ON_CASH: lambda piece: None if piece.return_on_cash is None else float(piece.return_on_cash),
    Order.MONEY_IN: lambda piece: piece.money_in,
    Order.HOURS: lambda piece: piece.minutes,
    Order.NEWEST: lambda piece: piece.piece_id,
}


@dataclass(frozen=True)
class PieceList:
    """The pieces chosen, in order, with what those that are gone made together, in cents."""

    pieces: tuple[PieceProfit, ...]

    @property
    def profit_cents(self) -> int:
        """What the pieces that are gone made together."""
        return sum(piece.profit or 0 for piece in self.pieces)

    @property
    def gone_count(self) -> int:
        """How many of them are sold or left."""
        return sum(piece.profit is not None for piece in self.pieces)

    @property
    def put_in_cents(self) -> int:
        """What those on hand stand at together."""
        return sum(piece.put_in for piece in self.pieces)


def piece_list(session: Session, shown: Shown, order: Order) -> PieceList:
    """What each of the shown pieces made or stands at, in the order asked for, the most first."""
    return PieceList(tuple(in_order(profits_of(session, _chosen(shown)), order)))


def in_order(pieces: Sequence[PieceProfit], order: Order) -> list[PieceProfit]:
    """The pieces by one measure, the most first and what is not known last; ties by tag."""
    measure = _MEASURES[order]

    def place(piece: PieceProfit) -> tuple[bool, float, str]:
        value = measure(piece)
        return value is None, -(value or 0), piece.tag

    return sorted(pieces, key=place)


def _chosen(shown: Shown) -> SelectBase | None:
    if shown is Shown.SOLD:
        return sold_pieces()
    if shown is Shown.ON_HAND:
        return on_hand()
    return left_pieces() if shown is Shown.LEFT else None
