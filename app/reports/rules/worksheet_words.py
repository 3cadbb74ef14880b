"""What each key of the books is called where a line of the worksheet opens to it."""

from collections.abc import Mapping
from types import MappingProxyType
from typing import Final

from app.costs.rules import COST_WORDS, CostKind

_LATE: Final = "late_costs"

KEY_WORDS: Final[Mapping[str, str]] = MappingProxyType(
    {
        "sales": "Sale prices",
        "delivery_charged": "Delivery charged",
        "refunds": "Refunds",
        "fees": "Selling fees",
        "fees_back": "Fees given back",
        "delivery_paid": "Delivery paid",
        "delivery_back": "Delivery recovered",
        "deposits_kept": "Deposits kept",
        "trips": "Trips for pieces",
        "kept": "Kept by you, at cost",
        "corrected:price": "Corrections of sale prices",
        "corrected:delivery_charged": "Corrections of delivery charged",
        "corrected:delivery_paid": "Corrections of delivery paid",
        "corrected:fees": "Corrections of fees",
        "corrected:refund": "Corrections of refunds",
        "corrected:mileage": "Corrections of mileage",
        "corrected:trip": "Corrections of trips",
        "stock:at_start": "Pieces on hand when the year began, at cost",
        "stock:at_end": "Pieces on hand when the year ended, at cost",
        "written_down:at_start": "Written down of them",
        "written_down:at_end": "Written down of them",
        "stock:opening_entered": "Owned when the books began",
        "stock:bought": "Pieces bought",
        "stock:materials_used": "Materials from the shelf",
        "stock:parts_off": "Parts taken off",
        "stock:trips": "Trips to fetch them",
        "stock:corrected": "Corrections of closed months",
        "stock:moved": "Moved between pieces",
        f"{_LATE}:price": "Price, paid after the piece was gone",
        f"{_LATE}:premium": "Buyer's premium, paid after the piece was gone",
        f"{_LATE}:tax": "Tax on the purchase, paid after the piece was gone",
        f"{_LATE}:opening": "Owned when the books began, gone before",
        f"{_LATE}:shelf": "Materials from the shelf, on pieces already gone",
        f"{_LATE}:parts_off": "Parts taken off, of pieces already gone",
        f"{_LATE}:trip_cost": "Trips for pieces already gone",
        f"{_LATE}:adjusted": "Corrections, of pieces already gone",
        f"{_LATE}:moved": "Moved between pieces already gone",
        **{f"stock:cost_lines:{kind}": COST_WORDS[kind] for kind in CostKind},
        **{f"{_LATE}:{kind}": f"{COST_WORDS[kind]}, on pieces already gone" for kind in CostKind},
        **{f"shop:{kind}": COST_WORDS[kind] for kind in CostKind},
        **{f"shop:adjusted:{kind}": f"Corrections of {COST_WORDS[kind].lower()}" for kind in CostKind},
        "shop:adjusted:mileage": "Corrections of mileage for no piece",
        "shop:adjusted:trip": "Corrections of trips for no piece",
        "shop:adjusted:shop_cost": "Corrections of other shop costs",
        "shop:trips": "Trips for no piece",
        "shop:shelf": "Used from the shelf, or found missing",
    }
)


def words_of_key(key: str) -> str:
    """What a key is called; refuses one that has no words (KeyError)."""
    return KEY_WORDS[key]
