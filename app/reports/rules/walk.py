"""The one walk through a piece's days, which alone knows in what order the rows of a day count."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date
from enum import StrEnum
from typing import Final, NamedTuple, TypeAlias

from app.basics.dates import day_in_words
from app.reports.rules.ledger import (
    ADJUSTED,
    ADJUSTED_OPENING,
    MATERIALS,
    MOVED,
    OPENING,
    PARTS_OFF,
    PURCHASE_KINDS,
    TRIP,
    WAYS_OF_LEAVING,
    AtOnceRow,
    Coming,
    CostRow,
    Going,
    LeavingRow,
    LedgerError,
    PieceLedger,
    ReturnRow,
    RowRef,
    SaleRow,
)

Source: TypeAlias = CostRow | Going | Coming | AtOnceRow

_BACK_FROM_EARLIER, _COSTS_OF_THE_DAY, _GOINGS_ON, _AT_ONCE = range(4)


class MovementKind(StrEnum):
    """What one row did to the stock."""

    OPENING = "opening"
    BOUGHT = "bought"
    COST = "cost"
    MOVED_IN = "moved_in"
    MOVED_OUT = "moved_out"
    MATERIALS = "materials"
    PARTS_OFF = "parts_off"
    TRIP = "trip"
    ADJUSTED = "adjusted"
    ADJUSTED_OPENING = "adjusted_opening"
    SOLD = "sold"
    RETURNED = "returned"
    LEFT = "left"
    BACK = "back"
    LATE_COST = "late_cost"
    AT_ONCE = "at_once"


_KIND_OF_COST: Final = {
    OPENING: MovementKind.OPENING,
    **dict.fromkeys(PURCHASE_KINDS, MovementKind.BOUGHT),
    MATERIALS: MovementKind.MATERIALS,
    PARTS_OFF: MovementKind.PARTS_OFF,
    TRIP: MovementKind.TRIP,
    ADJUSTED: MovementKind.ADJUSTED,
    ADJUSTED_OPENING: MovementKind.ADJUSTED_OPENING,
}
_NO_STOCK: Final = frozenset({MovementKind.LATE_COST, MovementKind.AT_ONCE})


@dataclass(frozen=True, slots=True)
class Movement:
    """What one row did, at cost.

    `cents` is the change of the stock at cost (a sale takes its cost of goods sold out, so it is below zero);
    for a late cost it is the expense, for what counts at once what it brought, and the stock does not change.
    `rows` are the cost rows `cents` is made of, `source` is the row that caused the movement, `how` says how a
    piece left ("" when it did not).
    """

    kind: MovementKind
    on: date
    cents: int
    rows: tuple[RowRef, ...]
    source: Source
    how: str = ""

    @property
    def stock_change(self) -> int:
        """Cents by which the stock at cost rose (or, below zero, fell)."""
        return 0 if self.kind in _NO_STOCK else self.cents


class Step(NamedTuple):
    """One movement and the piece it happened to."""

    ledger: PieceLedger
    movement: Movement


def walk(ledger: PieceLedger) -> list[Movement]:
    """All movements of one piece in the order they count.

    Within a day: first what came back of earlier days (returns, pieces brought back), then the day's costs,
    then the day's sales, returns, leavings and backs by `seq`, last what counts at once and changes no stock. So
    a cost dated on the day of a sale is part of its cost of goods sold, and a cost dated on the day of a return
    is in stock. A cost (a transfer, a material, parts taken off) dated while the piece is gone is a late cost.
    Raises LedgerError for what cannot have happened: a sale or leaving of a piece that is gone, a return of a
    sale that is not the one standing, an unknown way to leave.
    """
    walker = _Walker(ledger)
    return [walker.take(source) for source in _in_order(ledger)]


def steps_between(ledgers: Iterable[PieceLedger], first: date, last: date) -> list[Step]:
    """The steps of all the pieces from `first` to `last`, both included."""
    return [Step(ledger, movement) for ledger in ledgers for movement in walk(ledger) if first <= movement.on <= last]


def _in_order(ledger: PieceLedger) -> list[Source]:
    gone_on = {going.row: going.on for going in ledger.goings}
    ordered: list[tuple[date, int, int, RowRef, Source]] = []
    ordered += [(cost.on, _COSTS_OF_THE_DAY, 0, cost.row, cost) for cost in ledger.costs]
    ordered += [(going.on, _GOINGS_ON, going.seq, going.row, going) for going in ledger.goings]
    if ledger.at_once:
        by_key = sorted(ledger.at_once, key=lambda row: row.key)
        ordered += [(row.on, _AT_ONCE, 0, row.row, row) for row in by_key]
    for coming in ledger.comings:
        gone = gone_on.get(_undone(coming))
        if gone is None:
            raise _impossible(ledger, coming, "comes back from a sale or leaving that is not there")
        part_of_day = _BACK_FROM_EARLIER if gone < coming.on else _GOINGS_ON
        ordered.append((coming.on, part_of_day, coming.seq, coming.row, coming))
    ordered.sort(key=lambda entry: entry[:4])
    return [source for *_, source in ordered]


def _undone(coming: Coming) -> RowRef:
    return coming.sale if isinstance(coming, ReturnRow) else coming.leaving


def _impossible(ledger: PieceLedger, source: Source, what: str) -> LedgerError:
    return LedgerError(f"{ledger.tag}: on {day_in_words(source.on)} the piece {what}.")


class _Walker:
    """What of one piece is in stock, and by which row it is gone, while its days are walked."""

    def __init__(self, ledger: PieceLedger) -> None:
        self.ledger = ledger
        self.cents = 0
        self.rows: tuple[RowRef, ...] = ()
        self.gone_by: Going | None = None

    def take(self, source: Source) -> Movement:
        if isinstance(source, CostRow):
            return self._cost(source)
        if isinstance(source, AtOnceRow):
            return Movement(MovementKind.AT_ONCE, source.on, source.cents, (source.row,), source)
        if isinstance(source, SaleRow | LeavingRow):
            return self._go(source)
        return self._come(source)

    def _cost(self, cost: CostRow) -> Movement:
        if self.gone_by is not None:
            return Movement(MovementKind.LATE_COST, cost.on, cost.cents, (cost.row,), cost)
        self.cents += cost.cents
        self.rows += (cost.row,)
        return Movement(_kind_of_cost(cost), cost.on, cost.cents, (cost.row,), cost)

    def _go(self, going: Going) -> Movement:
        if self.gone_by is not None:
            raise _impossible(self.ledger, going, "cannot go: it is not on hand")
        self.gone_by = going
        if isinstance(going, SaleRow):
            return Movement(MovementKind.SOLD, going.on, -self.cents, self.rows, going)
        if going.how not in WAYS_OF_LEAVING:
            raise _impossible(self.ledger, going, f"leaves in a way that is not known ({going.how})")
        return Movement(MovementKind.LEFT, going.on, -self.cents, self.rows, going, going.how)

    def _come(self, coming: Coming) -> Movement:
        gone_by = self.gone_by
        if gone_by is None or gone_by.row != _undone(coming):
            raise _impossible(self.ledger, coming, "cannot come back: it did not go that way")
        self.gone_by = None
        if isinstance(gone_by, SaleRow):
            return Movement(MovementKind.RETURNED, coming.on, self.cents, self.rows, coming)
        return Movement(MovementKind.BACK, coming.on, self.cents, self.rows, coming, gone_by.how)


def _kind_of_cost(cost: CostRow) -> MovementKind:
    if cost.kind == MOVED:
        return MovementKind.MOVED_IN if cost.cents >= 0 else MovementKind.MOVED_OUT
    return _KIND_OF_COST.get(cost.kind, MovementKind.COST)
