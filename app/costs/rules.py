"""What a cost line may be: its kinds, for pieces and for the shop, and what is refused."""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date
from enum import StrEnum
from types import MappingProxyType

from app.basics.dates import require_not_before, require_not_future
from app.basics.errors import RuleError


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
    trip's actual cost that was an expense at once. The others are amounts of a sale, a refund or a return.
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
