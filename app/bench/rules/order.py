"""How the bench is looked at: which stages lie on it, and in what order."""

from collections.abc import Mapping
from enum import StrEnum
from types import MappingProxyType
from typing import Final

from app.pieces.rules import HAND_STAGES

BENCH_STAGES: Final = HAND_STAGES
"""Work in hand: what was found, prepped or finished and is not on the floor yet."""


class BenchOrder(StrEnum):
    """The order in which the pieces of a stage are looked at."""

    STAGE_LONGEST = "stage"
    OLDEST = "oldest"
    LAST_WORKED = "worked"
    LEAST_WORKED = "untouched"
    NAME = "name"


BENCH_ORDER_WORDS: Mapping[BenchOrder, str] = MappingProxyType(
    {
        BenchOrder.STAGE_LONGEST: "Longest at its stage",
        BenchOrder.OLDEST: "Longest here",
        BenchOrder.LAST_WORKED: "Worked on last",
        BenchOrder.LEAST_WORKED: "Untouched for longest",
        BenchOrder.NAME: "By name",
    }
)


def order_asked_for(word: str | None) -> BenchOrder:
    """The order a link names; an unknown word is the usual order."""
    return BenchOrder(word) if word in set(BenchOrder) else BenchOrder.STAGE_LONGEST
