"""The cash beside a period's profit: what really came in and went out, the sales tax too."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date
from typing import Final

from app.reports.rules.ledger import (
    ADJUSTED,
    ADJUSTED_OPENING,
    DEPOSITS,
    MATERIALS,
    MOVED,
    OPENING,
    PARTS_OFF,
    PURCHASE_KINDS,
    TRIP,
    TRIPS,
    AtOnceRow,
    CostRow,
    ReturnRow,
    SaleRow,
    ShopCostRow,
)
from app.reports.rules.lines import Line, LineSheet, Part, line_named
from app.reports.rules.walk import Step

NOT_CASH: Final = frozenset({OPENING, MOVED, MATERIALS, PARTS_OFF, ADJUSTED_OPENING})
"""Kinds of cost that move no money: what was owned when the shop began, and transfers between pieces and the shelf."""

REFUNDED: Final = "refunded"
SHELF: Final = "shelf"
CORRECTIONS: Final = "corrections"
SHOP_COSTS: Final = "shop_costs"

CASH_LINES: Final = {
    "received": "Received from buyers",
    DEPOSITS: "Deposits taken, less applied and given back",
    REFUNDED: "Given back to buyers",
    "bought": "Paid for pieces",
    "cost_lines": "Spent on pieces",
    SHELF: "Bought for the shelf",
    TRIPS: "Paid on trips",
    "delivery_paid": "Paid for deliveries",
    "delivery_back": "Delivery money recovered",
    "fees": "Selling fees",
    "fees_back": "Fees given back",
    SHOP_COSTS: "Spent on the shop",
    CORRECTIONS: "Corrections of closed months",
}

_LINE_OF_COST: Final = {**dict.fromkeys(PURCHASE_KINDS, "bought"), TRIP: TRIPS, ADJUSTED: CORRECTIONS}


@dataclass(frozen=True, slots=True)
class CashView:
    """Money in (above zero) and out (below zero) of a period in cents, the sales tax passing through too."""

    first: date
    last: date
    lines: tuple[Line, ...]

    @property
    def net(self) -> int:
        """All money in less all money out."""
        return sum(line.cents for line in self.lines)

    def line(self, key: str) -> Line:
        """One line by its key."""
        return line_named(self.lines, key)


def cash_of_steps(steps: Iterable[Step], shop_costs: Iterable[ShopCostRow], first: date, last: date) -> CashView:
    """The cash view of steps and shop costs that all lie in the period."""
    sheet = LineSheet(CASH_LINES)
    for ledger, movement in steps:
        source = movement.source
        for key, cents in _money_moved(source):
            sheet.add(key, ledger, source.on, cents, (source.row,))
    for cost in shop_costs:
        if cost.paid:
            sheet.add_part(cost.cash_key, _part_of(cost, -cost.paid))
    return CashView(first, last, sheet.lines())


def shop_cost_parts(shop_costs: Iterable[ShopCostRow]) -> list[Part]:
    """Shop costs as parts of a line, below zero because they are spent; what was only paid is none."""
    return [_part_of(cost, -cost.cents) for cost in shop_costs if cost.cents]


def _part_of(cost: ShopCostRow, cents: int) -> Part:
    return Part(None, cost.label, cost.on, cents, (cost.row,))


def _money_moved(source: object) -> tuple[tuple[str, int], ...]:
    if isinstance(source, CostRow):
        if source.kind in NOT_CASH:
            return ()
        return ((_LINE_OF_COST.get(source.kind, "cost_lines"), -source.cents),)
    if isinstance(source, AtOnceRow):
        return ((source.cash_key, source.cash),)
    if isinstance(source, SaleRow):
        return (
            ("received", source.price + source.delivery_charged + source.tax_collected),
            ("fees", -source.fees),
            ("delivery_paid", -source.delivery_paid),
        )
    if isinstance(source, ReturnRow):
        return (
            (REFUNDED, -source.refund - source.tax_refunded),
            ("fees_back", source.fees_back),
            ("delivery_back", source.delivery_back),
        )
    return ()
