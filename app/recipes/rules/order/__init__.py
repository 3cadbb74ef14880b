"""Rules for the order of finishing steps: what each says, and what a list of steps or a step about to begin breaks."""

from app.recipes.rules.order.checking import ORDER_RULES, check_order
from app.recipes.rules.order.facts import Finding, OrderRule
from app.recipes.rules.order.place import LIGHT, NO_LABELS, WHITE
from app.recipes.rules.order.starting import DoneStep, check_leaving, check_start

__all__ = [
    "LIGHT",
    "NO_LABELS",
    "ORDER_RULES",
    "WHITE",
    "DoneStep",
    "Finding",
    "OrderRule",
    "check_leaving",
    "check_order",
    "check_start",
]
