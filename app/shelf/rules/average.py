"""The moving average: what is on the shelf, what it cost, and what a use takes of that, to the cent."""

from collections.abc import Hashable, Sequence
from dataclasses import dataclass, replace
from decimal import Decimal
from fractions import Fraction
from math import lcm
from typing import TypeAlias

from app.basics.errors import RuleError
from app.basics.money import half_up, split_exactly

Quantity: TypeAlias = int | Decimal | Fraction | float


class BadQuantity(RuleError):
    """A quantity that is none: nothing, below zero, or no number."""


class BadCost(RuleError):
    """An amount of cents below zero, or no whole number."""


class NothingBought(RuleError):
    """Nothing was ever bought, so nobody knows what it costs."""


@dataclass(frozen=True, slots=True)
class Settlement:
    """What a purchase put right on one use beyond what was left: its quantity, and the cents still owed for it.

    `cents` is below zero where the use was charged too much. `use` is what the use was called when it was made.
    """

    use: Hashable
    quantity: Fraction
    cents: int


@dataclass(frozen=True, slots=True)
class _Short:
    """A quantity used that was not there by the books, and what was charged for it for the time being."""

    use: Hashable
    quantity: Fraction
    charged: int


class MovingAverage:
    """One material on the shelf: buy, use and count it in the order of its days.

    Quantities are exact fractions, `value` is the whole cents bought less those charged, always. The average is
    never rounded; a charge is, once, half-up. Where more is used than was left the quantity falls below zero; the
    next purchase settles what was charged for that in the meantime.
    """

    def __init__(self) -> None:
        """An empty place on the shelf."""
        self._quantity = Fraction(0)
        self._value = 0
        self._last_average: Fraction | None = None
        self._shorts: list[_Short] = []

    @property
    def quantity(self) -> Fraction:
        """What is there; below zero by as much as was used beyond what was left."""
        return self._quantity

    @property
    def value(self) -> int:
        """Cents bought less cents charged."""
        return self._value

    @property
    def last_average(self) -> Fraction | None:
        """Cents for one unit now, or as they were when it last ran out; None where nothing was ever bought."""
        if self._quantity > 0:
            return self._value / self._quantity
        return self._last_average

    def buy(self, quantity: Quantity, cents: int) -> tuple[Settlement, ...]:
        """Put a quantity on the shelf for `cents` in all, and settle the uses that were beyond what was left.

        Those really cost their share of this purchase, the oldest first. Refuses no quantity (BadQuantity) and
        cents below zero (BadCost).
        """
        bought = _above_zero(quantity)
        if isinstance(cents, bool) or not isinstance(cents, int) or cents < 0:
            raise BadCost("What it cost is a whole number of cents, from 0 on.", "price")
        settlements = self._settle(bought, cents)
        self._quantity += bought
        self._value += cents - sum(settlement.cents for settlement in settlements)
        self._last_average = self._value / self._quantity if self._quantity > 0 else cents / bought
        return settlements

    def use(self, quantity: Quantity, use: Hashable = None) -> int:
        """Take a quantity off the shelf and say what it costs in cents; `use` names it in a later settlement.

        The last use takes all the cents that are left. One beyond what is left takes these and the last average
        for the rest. Refuses no quantity (BadQuantity), and any where nothing was ever bought (NothingBought).
        """
        used = _above_zero(quantity)
        average = self._known_average()
        there = max(self._quantity, Fraction(0))
        excess = used - min(used, there)
        if excess:
            taken, owed = self._value if there else 0, half_up(average * excess)
            self._shorts.append(_Short(use, excess, owed))
        else:
            taken, owed = half_up(self._value * used / there), 0
        self._last_average = average
        self._quantity -= used
        self._value -= taken + owed
        return taken + owed

    def count(self, counted: Quantity) -> int:
        """Set the quantity to what was counted, and say what that costs the shop in cents.

        What is missing costs its share of the value; what is found is given back at the (last) average, below
        zero. Where more was used than the books had, the count shows that it was there: what was charged for it
        comes back to the shop, and no purchase settles it any more. Refuses a quantity below zero (BadQuantity),
        and any count where nothing was ever bought (NothingBought).
        """
        there = _exact(counted)
        if there < 0:
            raise BadQuantity("Type what is really there, from 0 on.", "quantity")
        average = self._known_average()
        if there < self._quantity:
            cents = half_up(self._value * (self._quantity - there) / self._quantity)
        else:
            cents = -half_up(average * (there - max(self._quantity, Fraction(0))))
            cents -= sum(short.charged for short in self._shorts)
            self._shorts.clear()
        self._last_average = average
        self._quantity = there
        self._value -= cents
        return cents

    def _known_average(self) -> Fraction:
        average = self.last_average
        if average is None:
            raise NothingBought("Nothing of it was ever bought, so nobody knows what it costs.", "quantity")
        return average

    def _settle(self, bought: Fraction, cents: int) -> tuple[Settlement, ...]:
        covered = self._cover(bought)
        if not covered:
            return ()
        short = sum((each.quantity for each in covered), Fraction(0))
        really = cents - half_up(cents * (bought - short) / bought)
        shares = split_exactly(really, _whole([each.quantity for each in covered]))
        return tuple(
            Settlement(each.use, each.quantity, share - each.charged)
            for each, share in zip(covered, shares, strict=True)
        )

    def _cover(self, bought: Fraction) -> list[_Short]:
        """Take the shorts that a purchase of that quantity covers off the list, the oldest first."""
        covered = []
        while bought > 0 and self._shorts:
            oldest = self._shorts.pop(0)
            if oldest.quantity > bought:
                charged = half_up(oldest.charged * bought / oldest.quantity)
                rest = _Short(oldest.use, oldest.quantity - bought, oldest.charged - charged)
                self._shorts.insert(0, rest)
                oldest = replace(oldest, quantity=bought, charged=charged)
            covered.append(oldest)
            bought -= oldest.quantity
        return covered


def _above_zero(quantity: Quantity) -> Fraction:
    exact = _exact(quantity)
    if exact <= 0:
        raise BadQuantity("Type a quantity of more than nothing.", "quantity")
    return exact


def _exact(quantity: Quantity) -> Fraction:
    """The quantity as a fraction; a binary fraction is what it prints as, so that 0.1 is a tenth."""
    if isinstance(quantity, bool) or not isinstance(quantity, int | Decimal | Fraction | float):
        raise BadQuantity("A quantity is a number.", "quantity")
    try:
        return Fraction(str(float(quantity))) if isinstance(quantity, float) else Fraction(quantity)
    except (ValueError, OverflowError) as no_number:
        raise BadQuantity("A quantity is a finite number.", "quantity") from no_number


def _whole(quantities: Sequence[Fraction]) -> list[int]:
    """Whole numbers in the same proportion."""
    scale = lcm(*(quantity.denominator for quantity in quantities))
    return [int(quantity * scale) for quantity in quantities]
