"""What a correction of a closed month does to profit, cash and sales tax."""

from collections.abc import Mapping
from types import MappingProxyType
from typing import Final, NamedTuple

from app.costs.rules import AdjustedPart


class Effect(NamedTuple):
    """What a correction adds to the profit, to the cash and to the sales tax, in cents."""

    profit: int
    cash: int
    tax: int


INTO_STOCK: Final = frozenset({AdjustedPart.COST, AdjustedPart.OPENING})
"""Parts that go into the stock of a piece like any other cost."""

_EFFECT: Mapping[AdjustedPart, Effect] = MappingProxyType(
    {
        AdjustedPart.COST: Effect(-1, -1, 0),
        AdjustedPart.OPENING: Effect(-1, 0, 0),
        AdjustedPart.SHOP_COST: Effect(-1, -1, 0),
        AdjustedPart.MILEAGE: Effect(-1, 0, 0),
        AdjustedPart.TRIP: Effect(-1, -1, 0),
        AdjustedPart.PRICE: Effect(1, 1, 0),
        AdjustedPart.DELIVERY_CHARGED: Effect(1, 1, 0),
        AdjustedPart.DELIVERY_PAID: Effect(-1, -1, 0),
        AdjustedPart.FEES: Effect(-1, -1, 0),
        AdjustedPart.REFUND: Effect(-1, -1, 0),
        AdjustedPart.TAX: Effect(0, 1, 1),
    }
)
# What a sale takes, a return or a refund gives back: there these amounts work the other way.
_GIVING_BACK: Final = frozenset({"sale_return", "sale_refund"})
_TURNED_ROUND: Final = frozenset({AdjustedPart.FEES, AdjustedPart.DELIVERY_PAID, AdjustedPart.TAX})
# The material was paid for when it was bought: putting right what was charged of it moves no money.
_NEVER_PAID: Final = frozenset({"shelf_use", "shelf_count"})


def effect_of(part: AdjustedPart, cents: int, corrects_table: str) -> Effect:
    """What a correction by `cents` (what should have been less what was) of one amount of a row does."""
    sign = -1 if part in _TURNED_ROUND and corrects_table in _GIVING_BACK else 1
    profit, cash, tax = (sign * factor * cents for factor in _EFFECT[part])
    return Effect(profit, 0 if corrects_table in _NEVER_PAID else cash, tax)
