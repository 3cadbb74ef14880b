"""Kinds of cost lines, for pieces and for the shop."""

from collections.abc import Mapping
from enum import StrEnum
from types import MappingProxyType


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
