"""Ways of applying a coating."""

from collections.abc import Mapping
from enum import StrEnum
from types import MappingProxyType
from typing import Final

from app.recipes.rules.products import Product


class Way(StrEnum):
    """How a coating is put on."""

    BRUSH = "brush"
    ROLLER = "roller"
    SPRAY = "spray"
    RAG = "rag"
    SPONGE = "sponge"


_NOT_FOR_A_GUN: Final = frozenset({Product.PASTE_WAX, Product.GRAIN_FILLER})


def ways_for(product: Product | None) -> tuple[Way, ...]:
    """The ways a sort of product can be put on: no paste goes through a spray gun."""
    return tuple(way for way in Way if way is not Way.SPRAY or product not in _NOT_FOR_A_GUN)


WAY_WORDS: Mapping[Way, str] = MappingProxyType(
    {
        Way.BRUSH: "Brush",
        Way.ROLLER: "Roller",
        Way.SPRAY: "Spray gun (high volume, low pressure)",
        Way.RAG: "Rag",
        Way.SPONGE: "Sponge",
    }
)
