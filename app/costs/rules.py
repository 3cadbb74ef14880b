"""What a cost line and a correction of a closed month may be, and what is refused."""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date
from enum import StrEnum
from types import MappingProxyType

from app.basics.dates import day_in_words, require_not_before, require_not_future
from app.basics.errors import RuleError
from app.basics.money import split_exactly


class CostKind(StrEnum):
    """What money was spent on."""

    MATERIALS = "materials"
    HARDWARE = "hardware"
    REPAIR = "repair"
    PICKUP = "pickup"
    RENT = "rent"
    TOOLS = "tools"
    SUNDRIES = "sundries"
    ADVERTISING = "advertising"
    INSURANCE = "insurance"
    OTHER = "other"


PIECE_KINDS: tuple[CostKind, ...] = (
    CostKind.MATERIALS,
    CostKind.HARDWARE,
    CostKind.REPAIR,
    CostKind.PICKUP,
    CostKind.OTHER,
)
SHOP_KINDS: tuple[CostKind, ...] = (
    CostKind.RENT,
    CostKind.TOOLS,
    CostKind.SUNDRIES,
    CostKind.ADVERTISING,
    CostKind.INSURANCE,
    CostKind.OTHER,
)

COST_WORDS: Mapping[CostKind, str] = MappingProxyType(
    {
        CostKind.MATERIALS: "Paint and materials",
        CostKind.HARDWARE: "Hardware",
        CostKind.REPAIR: "Repair by others",
        CostKind.PICKUP: "Fetching it",
        CostKind.RENT: "Rent",
        CostKind.TOOLS: "Tools",
        CostKind.SUNDRIES: "Sundries",
        CostKind.ADVERTISING: "Advertising",
        CostKind.INSURANCE: "Insurance",
        CostKind.OTHER: "Other",
    }
)


class AdjustedPart(StrEnum):
    """Which amount of a row in a closed month a correction changes.

    COST and OPENING belong to a piece and go into its stock while it is on hand; OPENING moves no money.
    SHOP_COST belongs to the shop. MILEAGE is a trip's amount at the rate: an expense that moves no money; TRIP is a
    trip's actual cost that was an expense at once. The others are amounts of a sale, a refund or a return: of a
    return FEES, DELIVERY_PAID and TAX are what it gave back of them.
    """

    COST = "cost"
    OPENING = "opening"
    SHOP_COST = "shop_cost"
    MILEAGE = "mileage"
    TRIP = "trip"
    PRICE = "price"
    DELIVERY_CHARGED = "delivery_charged"
    DELIVERY_PAID = "delivery_paid"
    FEES = "fees"
    REFUND = "refund"
    TAX = "tax"


PART_WORDS: Mapping[AdjustedPart, str] = MappingProxyType(
    {
        AdjustedPart.COST: "Cost of the piece",
        AdjustedPart.OPENING: "Cost when the books began",
        AdjustedPart.SHOP_COST: "Shop cost",
        AdjustedPart.MILEAGE: "Trip, at the rate",
        AdjustedPart.TRIP: "Trip, as paid",
        AdjustedPart.PRICE: "Sale price",
        AdjustedPart.DELIVERY_CHARGED: "Delivery charged",
        AdjustedPart.DELIVERY_PAID: "Delivery paid",
        AdjustedPart.FEES: "Selling fees",
        AdjustedPart.REFUND: "Refund",
        AdjustedPart.TAX: "Sales tax collected",
    }
)

ROW_WORDS: Mapping[str, str] = MappingProxyType(
    {
        "purchase": "Purchase",
        "cost_line": "Cost",
        "sale": "Sale",
        "sale_return": "Return",
        "sale_refund": "Refund in part",
        "shelf_purchase": "Bought for the shelf",
        "shelf_use": "Use from the shelf",
        "trip": "Trip",
    }
)
"""The tables whose rows may be corrected once their month is closed, and what such a row is called."""

OF_THE_SHOP_TOO = frozenset({AdjustedPart.MILEAGE, AdjustedPart.TRIP})
"""Parts that belong to a piece, or to the shop where a trip was for no piece."""


@dataclass(frozen=True)
class NewCost:
    """One cost to be written down: on a piece, or on the shop when `piece_id` is None; `amount_cents` in cents."""

    piece_id: int | None
    kind: CostKind
    amount_cents: int
    on_date: date
    bought_at: str = ""
    note: str = ""
    receipt_photo_id: int | None = None


def kinds_for(piece_id: int | None) -> tuple[CostKind, ...]:
    """The kinds a cost on this piece may have, or a shop cost when it is None."""
    return SHOP_KINDS if piece_id is None else PIECE_KINDS


def require_sound(new: NewCost, *, today: date, books_begin: date | None) -> None:
    """Refuse a cost of nothing, of a kind that does not fit, in the future or before the books begin (RuleError)."""
    if new.amount_cents <= 0:
        raise RuleError("Type what it cost; an amount of nothing is no cost.", "amount")
    if new.kind not in kinds_for(new.piece_id):
        whose = "the shop" if new.piece_id is None else "a piece"
        raise RuleError(f"{COST_WORDS[new.kind]} is no cost of {whose}. Choose another kind.", "kind")
    require_not_future(new.on_date, today, "on_date")
    if books_begin is not None:
        require_not_before(new.on_date, books_begin, "on_date", "the day your books begin")


@dataclass(frozen=True)
class NewAdjustment:
    """A difference in cents, dated in an open month, to one amount of a row that stands in a closed one."""

    piece_id: int | None
    part: AdjustedPart
    cents: int
    on_date: date
    corrects_table: str
    corrects_id: int
    corrects_on: date
    reason: str


def require_sound_adjustment(
    new: NewAdjustment, *, today: date, closed_through: date | None, books_begin: date | None
) -> None:
    """Refuse a correction of nothing, of a row in an open month, on nobody's account, or dated to come (RuleError)."""
    if new.cents == 0:
        raise RuleError("Nothing changes by this.")
    if closed_through is None or new.corrects_on > closed_through:
        raise RuleError(
            f"What it corrects is dated {day_in_words(new.corrects_on)}, in a month that is open."
            " Strike that row out and enter it again instead."
        )
    is_of_shop = new.part is AdjustedPart.SHOP_COST
    if (new.piece_id is None) != is_of_shop and new.part not in OF_THE_SHOP_TOO:
        raise RuleError("A cost of the shop belongs to no piece, and every other amount to one.")
    require_not_future(new.on_date, today, "on_date")
    if books_begin is not None:
        require_not_before(new.on_date, books_begin, "on_date", "the day your books begin")


@dataclass(frozen=True)
class CorrectableAmount:
    """One amount of a row in a closed month as it may be corrected, in cents.

    `cents` is what the row says, `corrected` what earlier corrections added. It counts on the `pieces` (id and
    weight), or on the shop where there are none. `is_taken_off` marks what lowers the cost of its piece, as parts
    taken off do; `is_moved` what moved no money: the shop's own costs then take the other side.
    """

    part: AdjustedPart
    label: str
    cents: int
    corrected: int = 0
    pieces: tuple[tuple[int, int], ...] = ()
    is_taken_off: bool = False
    is_moved: bool = False

    @property
    def now(self) -> int:
        """What it says with the earlier corrections."""
        return self.cents + self.corrected

    @property
    def sign(self) -> int:
        """How a rise of this amount changes the cost of its piece or its part: 1 or -1."""
        return -1 if self.is_taken_off else 1


def differences(amount: CorrectableAmount, should_be: int) -> list[tuple[int | None, AdjustedPart, int]]:
    """The corrections that make an amount say `should_be`: piece, part and cents; none where it says so already.

    The difference is shared over the pieces to the cent. Refuses, at the part's box, an amount below zero.
    """
    if should_be < 0:
        raise RuleError("An amount here is never below zero.", box_of(amount.part))
    difference = amount.sign * (should_be - amount.now)
    if not amount.pieces:
        return [(None, amount.part, difference)] if difference else []
    shares = split_exactly(difference, [weight for _, weight in amount.pieces])
    found: list[tuple[int | None, AdjustedPart, int]] = [
        (piece_id, amount.part, cents) for (piece_id, _), cents in zip(amount.pieces, shares, strict=True) if cents
    ]
    if amount.is_moved and difference:
        found.append((None, AdjustedPart.SHOP_COST, -difference))
    return found


def box_of(part: AdjustedPart) -> str:
    """The form field that asks what an amount should have been."""
    return f"should_be_{part.value}"
