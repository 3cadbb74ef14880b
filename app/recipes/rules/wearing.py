"""What colour a piece shows after its finishes: all over, and on single parts."""

from collections.abc import Iterable
from dataclasses import dataclass, field
from typing import Final

from app.recipes.rules.kinds import Part

LARGE_PARTS: Final = (Part.BODY, Part.FRAME, Part.SEAT)
"""The parts whose colour stands for the piece where no coat went on all of it, the first that has one."""


@dataclass
class Colours:
    """The colour that shows most, and those of the parts that differ, by part; None where no coat had a colour."""

    most: str | None = None
    parts: dict[str, str] = field(default_factory=dict)


def colours_worn(coats: Iterable[tuple[Part, str]]) -> Colours:
    """The colours that show after coats in the order they went on, each as the part and its colour.

    A coat on all of the piece covers what parts had before. Halves have no outline of their own to be painted.
    """
    worn = Colours()
    for part, colour in coats:
        if part is Part.WHOLE:
            worn = Colours(colour)
        elif part not in {Part.LEFT_HALF, Part.RIGHT_HALF}:
            worn.parts[part.value] = colour
        elif worn.most is None:
            worn.most = colour
    if worn.most is None:
        worn.most = next((worn.parts[part] for part in LARGE_PARTS if part in worn.parts), None)
    return worn


def covers(over: frozenset[Part], under: frozenset[Part]) -> bool:
    """Whether coats on the parts of the one leave nothing to be seen of the other: on all of it, or on each part."""
    return Part.WHOLE in over or (bool(under) and under <= over)
