"""What can be done on the shelf; charges follow, and nothing is ever deleted or overwritten but what is worked out."""

from app.shelf.actions.entering import buy_material, count_material, take_parts_off, use_material
from app.shelf.actions.materials import add_material, correct_material
from app.shelf.actions.striking import strike_count, strike_purchase, strike_use

__all__ = [
    "add_material",
    "buy_material",
    "correct_material",
    "count_material",
    "strike_count",
    "strike_purchase",
    "strike_use",
    "take_parts_off",
    "use_material",
]
