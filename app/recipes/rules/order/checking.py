"""The order of a list of steps, checked as it is written."""

from collections.abc import Mapping, Sequence
from types import MappingProxyType
from typing import Final

from app.recipes.rules.drying import Label
from app.recipes.rules.levels import Level
from app.recipes.rules.order.cleaning import CLEANING
from app.recipes.rules.order.coats import COATS
from app.recipes.rules.order.dangers import DANGERS
from app.recipes.rules.order.facts import Check, Finding, OrderRule, Told, finding_of
from app.recipes.rules.order.place import NO_LABELS, Place, places_of
from app.recipes.rules.order.sanding import SANDING
from app.recipes.rules.order.sealing import SEALING
from app.recipes.rules.order.waits import WAITS
from app.recipes.rules.products import COMMON_PRACTICE
from app.recipes.rules.steps import StepFacts
from app.recipes.rules.surface import NOT_LOOKED_OVER, Surface

CHECKS: Final[tuple[Check, ...]] = (*DANGERS, *CLEANING, *SANDING, *SEALING, *COATS, *WAITS)
_WRITTEN: Final = frozenset({Told.BEFORE, Told.ALL})

NO_STEPS: Final = OrderRule(
    "no_steps",
    Level.NOTE,
    "No steps yet.",
    "There is nothing to check before the first step is written down.",
    COMMON_PRACTICE,
)
NOT_DRY: Final = OrderRule(
    "not_dry",
    Level.STOP,
    "What this goes over is not dry yet. Wait.",
    "A coat shut in before it is dry wrinkles, stays soft or peels. The label's own time rules.",
    COMMON_PRACTICE,
)
DAMP_UNDER_COAT: Final = OrderRule(
    "damp_under_coat",
    Level.STOP,
    "The wood is still damp. Let it dry before anything goes on.",
    "Water or solvent shut in under a coat or filler lifts it in blisters and keeps it from holding.",
    COMMON_PRACTICE,
)
DAMP_UNDER_SANDING: Final = OrderRule(
    "damp_under_sanding",
    Level.WARN,
    "The wood is still damp. Sand it when it is dry.",
    "Damp fibres stand up and tear instead of being cut, and the wet dust clogs the sheet.",
    COMMON_PRACTICE,
)
WINDOW_PAST: Final = OrderRule(
    "window_past",
    Level.WARN,
    "The time for the next coat is past: scuff first.",
    "A coat that has hardened takes the next one only by the scratches. Where the label sets another limit, it rules.",
    COMMON_PRACTICE,
)

_ONLY_AT_START: Final = (NOT_DRY, DAMP_UNDER_COAT, DAMP_UNDER_SANDING, WINDOW_PAST)

ORDER_RULES: Final[Mapping[str, OrderRule]] = MappingProxyType(
    {rule.key: rule for rule in (*(check.rule for check in CHECKS), NO_STEPS, *_ONLY_AT_START)}
)
"""Every rule for the order of steps, by its key."""

_SERIOUS_FIRST: Final = tuple(Level)


def check_order(
    steps: Sequence[StepFacts], surface: Surface = NOT_LOOKED_OVER, *, labels: Mapping[int, Label] = NO_LABELS
) -> list[Finding]:
    """What speaks against doing these steps in this order on such a surface, by place, the most serious first.

    `labels` are what the labels of materials say, by the material's id. Between two steps lie the times the steps,
    the labels or the sorts of product name; the air of the room is not looked at here.
    """
    if not steps:
        return [finding_of(NO_STEPS, None)]
    found: list[Finding] = []
    for at, place in enumerate(places_of(steps, surface, labels)):
        found += broken(place, at, _WRITTEN)
    return found


def broken(place: Place, at: int | None, told: frozenset[Told]) -> list[Finding]:
    """The rules of these sorts that a step breaks, the most serious first."""
    found = [finding_of(check.rule, at) for check in CHECKS if check.told in told and check.is_broken(place)]
    return sorted(found, key=serious_first)


def serious_first(finding: Finding) -> int:
    """The rank of a finding: stops, then warnings, then notes."""
    return _SERIOUS_FIRST.index(finding.level)
