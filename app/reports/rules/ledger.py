"""The rows a piece's reckoning is made from; whoever builds them leaves struck-out rows away."""

from dataclasses import dataclass
from datetime import date
from typing import Final, TypeAlias

from app.basics.errors import RuleError

PRICE: Final = "price"
PREMIUM: Final = "premium"
TAX: Final = "tax"
OPENING: Final = "opening"
MOVED: Final = "moved"
MATERIALS: Final = "shelf"
PARTS_OFF: Final = "parts_off"
TRIP: Final = "trip_cost"
ADJUSTED: Final = "adjusted"
ADJUSTED_OPENING: Final = "adjusted_opening"

SHELF_BOUGHT: Final = "shelf_bought"
SHELF_COUNT: Final = "shelf_count"
TRIPS: Final = "trips"
REFUNDS: Final = "refunds"
FEES_BACK: Final = "fees_back"
DEPOSITS: Final = "deposits"
DEPOSITS_KEPT: Final = "deposits_kept"
CORRECTED: Final = "corrected"

PURCHASE_KINDS: Final = frozenset({PRICE, PREMIUM, TAX})
"""What is paid to get a piece: its price, the buyer's premium and the sales tax on the purchase."""

KEPT: Final = "kept"
GIVEN_AWAY: Final = "given_away"
SCRAPPED: Final = "scrapped"

WAYS_OF_LEAVING: Final = frozenset({KEPT, GIVEN_AWAY, SCRAPPED})


class LedgerError(RuleError):
    """The rows of one piece cannot have happened in the order they are dated."""


@dataclass(frozen=True, slots=True, order=True)
class RowRef:
    """One stored row, so that a figure can be opened to what made it."""

    table: str
    id: int


@dataclass(frozen=True, slots=True)
class CostRow:
    """Money put into a piece on one day, in cents.

    `kind` is "price", "premium" or "tax" for the purchase, "opening" for what was owned when the shop began,
    "moved" for a transfer from (below zero: to) another piece, "shelf" for materials used, "parts_off" (below zero)
    for parts that went to the shelf, "trip_cost" for a share of what a trip to fetch it cost, "adjusted" and
    "adjusted_opening" for corrections of closed months, or else the name of a kind of cost line, which `label` says
    in the owner's words.
    """

    row: RowRef
    on: date
    cents: int
    kind: str
    label: str


@dataclass(frozen=True, slots=True)
class SaleRow:
    """One sale in cents; `price` and `delivery_charged` are without the sales tax, which is never income."""

    row: RowRef
    on: date
    price: int
    delivery_charged: int
    delivery_paid: int
    fees: int
    tax_collected: int
    seq: int


@dataclass(frozen=True, slots=True)
class ReturnRow:
    """A sale that came back, in cents; `refund` is of price and delivery, without the tax given back."""

    row: RowRef
    sale: RowRef
    on: date
    refund: int
    tax_refunded: int
    fees_back: int
    delivery_back: int
    seq: int


@dataclass(frozen=True, slots=True)
class LeavingRow:
    """A piece that left without a sale; `how` is "kept", "given_away" or "scrapped"."""

    row: RowRef
    on: date
    how: str
    seq: int


@dataclass(frozen=True, slots=True)
class BackRow:
    """A piece that had left without a sale and is for sale again."""

    row: RowRef
    leaving: RowRef
    on: date
    seq: int


Going: TypeAlias = SaleRow | LeavingRow
Coming: TypeAlias = ReturnRow | BackRow


@dataclass(frozen=True, slots=True)
class AtOnceRow:
    """What a piece brought or cost on a day without entering its stock, in cents.

    `cents` is what it adds to the profit (below zero: takes from it), on the line `key`; `cash` is what came in
    (below zero: went out) on the cash line `cash_key`; `tax` is sales tax in it, which is cash and no profit. Any
    of them may be 0: a deposit is cash and no profit, a trip at the mileage rate profit and no cash.
    """

    row: RowRef
    on: date
    key: str
    label: str
    cents: int
    cash_key: str = ""
    cash: int = 0
    tax: int = 0


@dataclass(frozen=True, slots=True)
class TimeRow:
    """Minutes worked on a piece on one day; `activity` "moved" for those from (below zero: to) another piece."""

    row: RowRef
    on: date
    minutes: int
    activity: str


@dataclass(frozen=True, slots=True)
class ShopCostRow:
    """Money spent on the shop and not on one piece, in cents.

    `cash` is what of it was paid, where that differs from the cost (None: all of it): what is bought for the shelf
    is paid and no cost yet, a trip at the mileage rate is a cost and not paid; `cash_key` is its cash line.
    """

    row: RowRef
    on: date
    cents: int
    kind: str
    label: str
    cash: int | None = None
    cash_key: str = "shop_costs"

    @property
    def paid(self) -> int:
        """Cents that were paid."""
        return self.cents if self.cash is None else self.cash


@dataclass(frozen=True, slots=True)
class PieceLedger:
    """All that was ever booked on one piece.

    `count` is how many things the piece stands for (a set of four chairs: 4); `listed_on` is the day it was
    first for sale; `seq` on sales, returns, leavings and backs gives their order within a day.
    """

    piece_id: int
    tag: str
    title: str
    count: int
    sourced_on: date
    listed_on: date | None = None
    costs: tuple[CostRow, ...] = ()
    sales: tuple[SaleRow, ...] = ()
    returns: tuple[ReturnRow, ...] = ()
    leavings: tuple[LeavingRow, ...] = ()
    backs: tuple[BackRow, ...] = ()
    times: tuple[TimeRow, ...] = ()
    at_once: tuple[AtOnceRow, ...] = ()

    @property
    def goings(self) -> tuple[Going, ...]:
        """Every sale and leaving."""
        return (*self.sales, *self.leavings)

    @property
    def comings(self) -> tuple[Coming, ...]:
        """Every return of a sale and every coming back from a leaving."""
        return (*self.returns, *self.backs)

    @property
    def minutes(self) -> int:
        """All minutes logged on the piece, those after its sale too.

        Never below zero: work struck out after a set was split can leave less here than went to the other part.
        """
        return max(sum(time.minutes for time in self.times), 0)
