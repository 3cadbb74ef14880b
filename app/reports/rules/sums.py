"""The sums of a period under the keys of its lines, as the ledger itself adds them up.

A key is a path: `late_costs:materials` is a part of `late_costs`. Amounts are signed: what lowers a profit, the stock
or the shelf is below zero on its line.
"""

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import date
from typing import Final

from app.reports.rules.ledger import GIVEN_AWAY, KEPT, SCRAPPED
from app.reports.rules.month import PROFIT_LINES
from app.reports.rules.stock import STOCK_LINES

PIECE_LINES: Final = tuple(PROFIT_LINES)
"""The lines that make the profit on pieces."""

SHOP: Final = "shop"
"""The line of the shop's own costs; its parts are their kinds."""

LEFT: Final = "left"
BACK: Final = "back"
WAYS_OUT: Final = (KEPT, GIVEN_AWAY, SCRAPPED)

SAME_AMOUNTS: Final[Mapping[str, tuple[str, ...]]] = {
    "stock:sold": ("cost_of_goods_sold",),
    "stock:returned": ("cost_back",),
    **{f"stock:{how}": (f"{how}:{LEFT}",) for how in WAYS_OUT},
    "stock:brought_back": tuple(f"{how}:{BACK}" for how in WAYS_OUT),
}
"""Lines of the stock that are booked under the lines of the profit: what a sale takes out is what it cost."""

STOCK_KEYS: Final = tuple(f"stock:{line}" for line in STOCK_LINES)
"""All that changes the stock at cost."""

SHELF_KEYS: Final = ("shelf:bought", "shelf:parts_off", "shelf:used", "shelf:shop")
"""All that changes the value on the shelf: bought, taken off pieces, used on pieces, used or missing for the shop."""

DEPOSIT_KEYS: Final = ("deposits:taken", "deposits:applied", "deposits:refunded", "deposits:kept")
"""All that changes what is owed to buyers for deposits."""


@dataclass(frozen=True, slots=True)
class Standing:
    """What stands at the end of a day, in cents: the stock at cost, the shelf, and deposits owed to buyers."""

    stock: int
    shelf: int
    deposits: int


@dataclass(frozen=True, slots=True)
class PeriodSums:
    """What was booked from `first` to `last` by line, in signed cents, and what stood before and after.

    `opening` and `closing` are read from what was owned on the two days, not from the lines: they must meet.
    """

    first: date
    last: date
    amounts: Mapping[str, int] = field(default_factory=dict)
    opening: Standing = Standing(0, 0, 0)
    closing: Standing = Standing(0, 0, 0)

    def cents(self, key: str) -> int:
        """The sum of a line with all its parts; 0 where nothing is booked on it."""
        booked = SAME_AMOUNTS.get(key, (key,))
        return sum(cents for path, cents in self.amounts.items() if any(is_part_of(path, line) for line in booked))

    def is_booked(self, key: str) -> bool:
        """Whether any row stands on a line, also where they come to nothing together."""
        booked = SAME_AMOUNTS.get(key, (key,))
        return any(is_part_of(path, line) for path in self.amounts for line in booked)

    def parts(self, key: str) -> dict[str, int]:
        """The parts directly under a line by their own names, in the order of the alphabet, without empty ones."""
        sums: dict[str, int] = {}
        for path in sorted(self.amounts):
            if path != key and is_part_of(path, key):
                name = path[len(key) + 1 :].split(":")[0]
                sums[name] = sums.get(name, 0) + self.amounts[path]
        return {name: cents for name, cents in sums.items() if cents}

    @property
    def opening_stock(self) -> int:
        """Stock at cost at the end of the day before."""
        return self.opening.stock

    @property
    def closing_stock(self) -> int:
        """Stock at cost at the end of the last day."""
        return self.closing.stock

    @property
    def profit_on_pieces(self) -> int:
        """What the pieces brought before the shop's own costs."""
        return sum(self.cents(key) for key in PIECE_LINES)

    @property
    def profit(self) -> int:
        """Profit on pieces less the shop's own costs."""
        return self.profit_on_pieces + self.cents(SHOP)

    @property
    def stock_change(self) -> int:
        """What all lines of the stock come to."""
        return sum(self.cents(key) for key in STOCK_KEYS)

    @property
    def shelf_change(self) -> int:
        """What all lines of the shelf come to."""
        return sum(self.cents(key) for key in SHELF_KEYS)

    @property
    def deposits_change(self) -> int:
        """What was taken in deposits less what became of them."""
        return sum(self.cents(key) for key in DEPOSIT_KEYS)


def is_part_of(path: str, key: str) -> bool:
    """Whether a path lies on the line of the key."""
    return path == key or path.startswith(f"{key}:")
