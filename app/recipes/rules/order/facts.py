"""What an order rule says, when it can be told, and what a check finds."""

from collections.abc import Callable
from dataclasses import dataclass
from enum import StrEnum

from app.recipes.rules.levels import Level
from app.recipes.rules.order.place import Place


@dataclass(frozen=True)
class OrderRule:
    """A rule for the order of steps: `words` say what to do, `reason` why, `source` where it was read."""

    key: str
    level: Level
    words: str
    reason: str
    source: str


class Told(StrEnum):
    """From what a rule can be told.

    BEFORE: the step and what was done before it. ALL: also what is still to come. START: only when a step really
    begins, from when the ones before it were done.
    """

    BEFORE = "before"
    ALL = "all"
    START = "start"


@dataclass(frozen=True)
class Check:
    """A rule, from what it can be told, and the question that tells whether a step breaks it."""

    rule: OrderRule
    told: Told
    is_broken: Callable[[Place], bool]


@dataclass(frozen=True)
class Finding:
    """A rule that a step breaks; `place` is the index of that step, None where it is about no step of a list."""

    rule: str
    level: Level
    place: int | None
    words: str
    reason: str
    source: str


def finding_of(rule: OrderRule, place: int | None) -> Finding:
    """The finding that a step, or the whole, breaks a rule."""
    return Finding(rule.key, rule.level, place, rule.words, rule.reason, rule.source)
