"""Rules for what can hurt somebody or ruin the piece before a coat is on: lead, insects, damp, bleach."""

from typing import Final

from app.recipes.rules.kinds import FILMS, Aim, Task
from app.recipes.rules.levels import Level
from app.recipes.rules.order.facts import Check, OrderRule, Told
from app.recipes.rules.order.place import Place, rinses
from app.recipes.rules.order.sources import A_NAVAL_MANUAL, LEAD_SOURCES
from app.recipes.rules.products import COMMON_PRACTICE
from app.recipes.rules.steps import StepFacts
from app.recipes.rules.surface import LeadTest


def _disturbs(step: StepFacts, *, is_covered: bool) -> bool:
    """Whether it cuts into the old finish; a scuff of a coat laid over it does not, rubbing through does."""
    if step.task is Task.SAND:
        return step.aim is Aim.LEVEL or not is_covered
    return step.task in {Task.STRIP, Task.DISTRESS}


def _is_first_to_disturb(place: Place) -> bool:
    is_covered = False
    for step in place.steps_before:
        if _disturbs(step, is_covered=is_covered):
            return False
        is_covered = is_covered or step.task in FILMS
    return _disturbs(place.step, is_covered=is_covered)


def _may_hold_lead(place: Place) -> bool:
    return place.surface.is_lead_untested and _is_first_to_disturb(place)


def _is_tested_before(place: Place) -> bool:
    return place.had(lambda step: step.task is Task.TEST)


def _goes_over_bleach(place: Place) -> bool:
    if place.step.task not in {Task.SAND, Task.FILL} and not place.step.is_coating:
        return False
    return place.open_since(
        lambda step: step.task is Task.CLEAN and step.aim is Aim.BLEACH,
        lambda step: rinses(step) or step.is_coating or step.task in {Task.SAND, Task.FILL},
    )


_LEAD_REASON: Final = (
    "A finish from before 1978, or of unknown age, may hold lead, old varnish too; its dust harms whoever breathes or"
    " swallows it. A surface test kit does not prove the legal limit; only an accredited laboratory does. Your local"
    " health department decides what is safe."
)

DANGERS: Final = (
    Check(
        OrderRule(
            "lead_untested",
            Level.STOP,
            "Have the old finish tested for lead before you sand, scrape, heat or rub through it.",
            _LEAD_REASON,
            LEAD_SOURCES,
        ),
        Told.BEFORE,
        lambda place: _may_hold_lead(place) and not _is_tested_before(place),
    ),
    Check(
        OrderRule(
            "lead_result",
            Level.NOTE,
            "Go on only after the lead test found none, and write its result down where you look the piece over.",
            _LEAD_REASON,
            LEAD_SOURCES,
        ),
        Told.BEFORE,
        lambda place: _may_hold_lead(place) and _is_tested_before(place),
    ),
    Check(
        OrderRule(
            "lead_found",
            Level.STOP,
            "Lead was found: do not dry-sand, dry-scrape, heat or rub through it. Take advice first.",
            "Dry work on leaded paint makes poisonous dust, heat makes fume. Your local health department, licensed"
            " practice or an accredited laboratory decides whether and how it may be taken off.",
            LEAD_SOURCES,
        ),
        Told.BEFORE,
        lambda place: place.surface.lead_test is LeadTest.POSITIVE and _is_first_to_disturb(place),
    ),
    Check(
        OrderRule(
            "insects",
            Level.STOP,
            "Treat the live insects first; coat nothing over them.",
            "They go on eating under the coat and move into other pieces. Fresh pale powder at a hole is the sign.",
            COMMON_PRACTICE,
        ),
        Told.BEFORE,
        lambda place: place.surface.has_live_insects and place.is_wood and place.is_first_coat,
    ),
    Check(
        OrderRule(
            "damp",
            Level.STOP,
            "Let the wood dry first; coat nothing over damp.",
            "Water shut in under a coat lifts it in blisters and feeds rot.",
            COMMON_PRACTICE,
        ),
        Told.BEFORE,
        lambda place: place.surface.is_damp and place.is_wood and place.is_first_coat,
    ),
    Check(
        OrderRule(
            "bleach_unrinsed",
            Level.STOP,
            "Rinse the bleach out before you sand, fill or coat.",
            "What is left of it spoils the coat over it, and its dry dust burns eyes and lungs: never sand it off.",
            A_NAVAL_MANUAL,
        ),
        Told.BEFORE,
        _goes_over_bleach,
    ),
)
