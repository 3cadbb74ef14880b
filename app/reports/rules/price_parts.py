"""Where the sale price of a piece went: what was bought with it, what it paid for, and what is left."""

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Final

from app.reports.rules.ledger import (
    ADJUSTED,
    ADJUSTED_OPENING,
    MATERIALS,
    MOVED,
    OPENING,
    PARTS_OFF,
    PREMIUM,
    PRICE,
    TAX,
    TRIP,
)
from app.reports.rules.piece import SOLD, PieceProfit

LEFT: Final = "left"

PART_WORDS: Final = {
    "bought": "Bought",
    "materials": "Materials",
    "trips": "Trips",
    "other": "Other costs",
    "fees": "Fees",
    "delivery": "Delivery",
    "given_back": "Given back",
    LEFT: "Left",
}
"""The parts of a price in the order they are drawn: to get the piece, to make it good, to sell it, what is left."""

_PART_OF_TERM: Final = {
    **dict.fromkeys((PRICE, PREMIUM, TAX, OPENING, MOVED, PARTS_OFF, ADJUSTED, ADJUSTED_OPENING), "bought"),
    **dict.fromkeys((MATERIALS, "cost:materials", "cost:hardware"), "materials"),
    **dict.fromkeys(("trips", TRIP), "trips"),
    **dict.fromkeys(("fees", "fees_back"), "fees"),
    **dict.fromkeys(("delivery_charged", "delivery_paid", "delivery_back"), "delivery"),
    "refunds": "given_back",
}
_SALES: Final = "sales"


@dataclass(frozen=True, slots=True)
class PricePart:
    """One part of a price in cents: above zero what the price paid for, below zero what came in besides it.

    What is left is below zero where the piece made a loss: the price did not pay for all of it.
    """

    key: str
    label: str
    cents: int


@dataclass(frozen=True, slots=True)
class PriceParts:
    """A sold piece, the price it brought, and its parts, which add up to that price to the cent."""

    tag: str
    title: str
    price: int
    parts: tuple[PricePart, ...]

    @property
    def left(self) -> int:
        """The profit: what is left of the price once everything is paid."""
        return self.cents(LEFT)

    def cents(self, key: str) -> int:
        """One part by its key."""
        return next(part.cents for part in self.parts if part.key == key)


def price_parts(piece: PieceProfit) -> PriceParts | None:
    """Where the sale price of a piece went; None while it is not sold.

    A piece sold again after it came back shows both prices together, and what was given back as a part of them. A
    rung of the ladder that is none of the known ones counts among the other costs, so that nothing is ever left out.
    """
    if piece.state != SOLD or piece.profit is None:
        return None
    amounts = dict.fromkeys(PART_WORDS, 0)
    price = 0
    for term in piece.terms:
        if term.key == _SALES:
            price += term.cents
        else:
            amounts[_PART_OF_TERM.get(term.key, "other")] -= term.cents
    amounts[LEFT] = piece.profit
    return PriceParts(piece.tag, piece.title, price, tuple(_parts(amounts.items())))


def _parts(amounts: Iterable[tuple[str, int]]) -> Iterable[PricePart]:
    return (PricePart(key, PART_WORDS[key], cents) for key, cents in amounts)
