"""How the stock at cost came from its opening to its closing, and the identity that must hold to the cent."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from typing import Final

from app.basics.dates import Month
from app.reports.rules.ledger import GIVEN_AWAY, KEPT, SCRAPPED, PieceLedger
from app.reports.rules.lines import Line, LineSheet, line_named
from app.reports.rules.ownership import stock_at_cost
from app.reports.rules.walk import Movement, MovementKind, Step, steps_between, walk

STOCK_LINES: Final = {
    "opening_entered": "Owned when the shop began",
    "bought": "Bought",
    "cost_lines": "Spent on pieces",
    "materials_used": "Materials from the shelf",
    "trips": "Trips to fetch, at actual cost",
    "corrected": "Corrections of closed months",
    "parts_off": "Parts taken off",
    "moved": "Moved between pieces",
    "returned": "Returned by buyers",
    "brought_back": "Brought back",
    "sold": "Sold",
    KEPT: "Kept by the owner",
    GIVEN_AWAY: "Given away",
    SCRAPPED: "Scrapped",
}
"""What changes the stock at cost between two days, in the order it is read."""

_LINE_OF_KIND: Final = {
    MovementKind.OPENING: "opening_entered",
    MovementKind.BOUGHT: "bought",
    MovementKind.COST: "cost_lines",
    MovementKind.MATERIALS: "materials_used",
    MovementKind.TRIP: "trips",
    MovementKind.ADJUSTED: "corrected",
    MovementKind.ADJUSTED_OPENING: "corrected",
    MovementKind.PARTS_OFF: "parts_off",
    MovementKind.MOVED_IN: "moved",
    MovementKind.MOVED_OUT: "moved",
    MovementKind.RETURNED: "returned",
    MovementKind.BACK: "brought_back",
    MovementKind.SOLD: "sold",
}


@dataclass(frozen=True, slots=True)
class StockMovement:
    """Stock at cost from the start of `first` to the end of `last`, in cents.

    `opening` and `closing` are told from what was owned on the two days; `lines`, each signed, from the walk
    through every piece. The two must meet: see `stock_identity`.
    """

    first: date
    last: date
    opening: int
    lines: tuple[Line, ...]
    closing: int

    def line(self, key: str) -> Line:
        """One line by its key."""
        return line_named(self.lines, key)


def stock_movement(ledgers: Sequence[PieceLedger], first: date, last: date) -> StockMovement:
    """How the stock at cost changed from `first` to `last`, both included.

    A piece that was gone before `first` and has no row in the period changes nothing and need not be given.
    Raises LedgerError where a piece's rows cannot have happened in their order.
    """
    opening = stock_at_cost(ledgers, first - timedelta(days=1))
    closing = stock_at_cost(ledgers, last)
    return stock_of_steps(steps_between(ledgers, first, last), opening, closing, first, last)


def stock_of_steps(steps: Iterable[Step], opening: int, closing: int, first: date, last: date) -> StockMovement:
    """The stock movement of steps that all lie in the period, between two stocks told from what was owned."""
    sheet = LineSheet(STOCK_LINES)
    for ledger, movement in steps:
        key = _line_of(movement)
        if key is not None:
            sheet.add(key, ledger, movement.on, movement.stock_change, movement.rows)
    return StockMovement(first, last, opening, sheet.lines(), closing)


def stock_identity(movement: StockMovement) -> int:
    """Opening and all changes less the closing stock, in cents: anything but 0 is a fault in the ledger."""
    return movement.opening + sum(line.cents for line in movement.lines) - movement.closing


def stock_at_ends(ledgers: Sequence[PieceLedger], months: Sequence[Month], through: date) -> tuple[int, ...]:
    """The stock at cost at the end of each of the months, which follow one another, in cents; of the last on `through`.

    It is told backwards from what is owned on that day, each piece being walked once. A piece that was gone before
    the second month and has no row since need not be given.
    """
    changes = dict.fromkeys(months, 0)
    for ledger in ledgers:
        for movement in walk(ledger):
            month = Month.of(movement.on)
            if month in changes and movement.on <= through:
                changes[month] += movement.stock_change
    levels = [stock_at_cost(ledgers, through)]
    for month in reversed(months[1:]):
        levels.append(levels[-1] - changes[month])
    return tuple(reversed(levels))


def _line_of(movement: Movement) -> str | None:
    if movement.kind is MovementKind.LEFT:
        return movement.how
    return _LINE_OF_KIND.get(movement.kind)
