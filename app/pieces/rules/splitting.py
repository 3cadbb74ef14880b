"""Taking a set apart: who gets how much of its count, its cost and its hours."""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

from app.basics.errors import RuleError
from app.basics.money import split_exactly
from app.pieces.rules.kinds import Leaving, Stage
from app.pieces.rules.moves import require_on_hand

FEWEST_PARTS: Final = 2


@dataclass(frozen=True)
class SplitPart:
    """One part of a set: its name, how many things it is, and its weight when cost and hours are shared."""

    title: str
    count: int
    weight: int


@dataclass(frozen=True)
class PartShare:
    """What one part takes along, in cents and minutes."""

    cents: int
    minutes: int


def require_split(parts: Sequence[SplitPart], count: int, stage: Stage, left_as: Leaving | None) -> None:
    """Refuse to split what is not here or is on the floor, and parts that do not make the whole set."""
    require_on_hand(stage, left_as)
    if stage is Stage.LISTED:
        raise RuleError("It is on the floor as one set. Step it back to finished, then split it.")
    if len(parts) < FEWEST_PARTS:
        raise RuleError("A set splits into two parts at least.", "parts")
    if any(part.count < 1 for part in parts):
        raise RuleError("Each part is at least one thing.", "parts")
    if any(part.weight < 0 for part in parts):
        raise RuleError("A weight is never below zero.", "parts")
    total = sum(part.count for part in parts)
    if total != count:
        raise RuleError(f"The parts add up to {total}, but the set is {count}.", "parts")


def share_split(parts: Sequence[SplitPart], cents: int, minutes: int) -> list[PartShare]:
    """Share the cost in cents and the minutes so far by the parts' weights, each adding up exactly.

    Refuses minutes below zero, and cost below zero (RuleError).
    """
    if cents < 0 or minutes < 0:
        raise RuleError("Cost and hours so far are never below zero.")
    weights = [part.weight for part in parts]
    shares = zip(split_exactly(cents, weights), split_exactly(minutes, weights), strict=True)
    return [PartShare(*share) for share in shares]
