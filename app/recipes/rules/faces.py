"""Faces of a piece: what one is, the measures they are reckoned from, and those of boxes and cases."""

from collections.abc import Iterator
from dataclasses import dataclass
from fractions import Fraction
from typing import Final

from app.basics.errors import RuleError
from app.basics.quantities import MM_PER_INCH
from app.recipes.rules.mixing import Number

MOST_SHELVES: Final = 40
SHELF_EVERY_MM: Final = 355
"""How far apart shelves are taken to be when nobody counted them; common practice, no source."""

_MM2_PER_CM2: Final = 100


@dataclass(frozen=True)
class Face:
    """One face, or some of a kind: `is_usual` when it is mostly coated, `is_guess` when proportions were assumed."""

    key: str
    words: str
    cm2: Fraction
    is_usual: bool = True
    is_guess: bool = False


@dataclass(frozen=True)
class Build:
    """How a piece is built where its three measures do not tell; None takes what is usual for its form.

    `shelves` counts the bottom of a bookcase as one. `top_mm` is the thickness of a top, a board or a frame, `apron_mm`
    the height of the rail under a top and `apron_length_mm` all of it, `leg_around_mm` the way around one leg,
    `frame_mm` how wide a mirror's frame is, `foot_mm` the height of a bed's foot, `rail_mm` that of its side rails.
    """

    is_round: bool = False
    shelves: int | None = None
    legs: int = 4
    pedestals: int = 2
    top_mm: Number | None = None
    apron_mm: Number | None = None
    apron_length_mm: Number | None = None
    leg_around_mm: Number | None = None
    frame_mm: Number | None = None
    foot_mm: Number | None = None
    rail_mm: Number | None = None


@dataclass(frozen=True)
class Sides:
    """Outside measures in mm as far as they were taken; asking for one that is missing refuses at its field."""

    width_mm: Number | None
    depth_mm: Number | None
    height_mm: Number | None

    @property
    def w(self) -> Fraction:
        """Width."""
        return _taken(self.width_mm, "width")

    @property
    def d(self) -> Fraction:
        """Depth, front to back."""
        return _taken(self.depth_mm, "depth")

    @property
    def h(self) -> Fraction:
        """Height."""
        return _taken(self.height_mm, "height")

    def or_usual(self, width: Number, depth: Number, height: Number) -> "Sides":
        """The same with usual measures where none was taken."""
        return Sides(
            width if self.width_mm is None else self.width_mm,
            depth if self.depth_mm is None else self.depth_mm,
            height if self.height_mm is None else self.height_mm,
        )


def _taken(measure: Number | None, word: str) -> Fraction:
    field = f"{word}_mm"
    if measure is None:
        raise RuleError(f"Its {word} is needed to reckon the area.", field)
    if measure <= 0:
        raise RuleError(f"Its {word} has to be more than nothing.", field)
    return Fraction(measure)


def inches(number: Number) -> Fraction:
    """Inches in mm."""
    return number * MM_PER_INCH


def cm2(square_mm: Number) -> Fraction:
    """Square millimetres in cm2."""
    return Fraction(square_mm) / _MM2_PER_CM2


def of_case(sides: Sides, build: Build) -> Iterator[Face]:
    """Chests, dressers, nightstands, cabinets: drawer fronts and doors lie in the front, which counts once."""
    w, d, h = sides.w, sides.d, sides.h
    yield Face("top", "Top", cm2(w * d))
    yield Face("sides", "Both sides", cm2(2 * d * h))
    yield Face("front", "Front with its drawers and doors", cm2(w * h))
    yield Face("back", "Back", cm2(w * h), is_usual=False)
    yield Face("underside", "Underside", cm2(w * d), is_usual=False)
    yield Face("door_backs", "Backs of the doors", cm2(w * h), is_usual=False)
    yield Face("inside", "Inside", cm2(2 * d * h + w * h + 2 * w * d), is_usual=False)
    if build.shelves:
        yield Face("shelves", "Shelves inside", cm2(_shelves(build.shelves) * 2 * w * d), is_usual=False)


def of_bookcase(sides: Sides, build: Build) -> Iterator[Face]:
    """An open bookcase: both faces of its sides and shelves, the bottom counted as a shelf."""
    w, d, h = sides.w, sides.d, sides.h
    shelves = max(1, int(h // SHELF_EVERY_MM)) if build.shelves is None else _shelves(build.shelves)
    yield Face("top", "Top", cm2(w * d))
    yield Face("sides", "Both sides, outside", cm2(2 * d * h))
    yield Face("inside", "Both sides, inside", cm2(2 * d * h))
    yield Face("inner_back", "Back, seen from the front", cm2(w * h))
    words = f"{shelves} shelves, above and below" if shelves > 1 else "One shelf, above and below"
    yield Face("shelves", words, cm2(shelves * 2 * w * d), is_guess=build.shelves is None)
    yield Face("back", "Back, from behind", cm2(w * h), is_usual=False)


def _shelves(number: int) -> int:
    if not 0 <= number <= MOST_SHELVES:
        raise RuleError(f"Type from 0 to {MOST_SHELVES} shelves.", "shelves")
    return number


def of_trunk(sides: Sides, _build: Build) -> Iterator[Face]:
    """A trunk: lid and four walls."""
    w, d, h = sides.w, sides.d, sides.h
    walls = 2 * w * h + 2 * d * h
    yield Face("top", "Lid", cm2(w * d))
    yield Face("front", "Front and back", cm2(2 * w * h))
    yield Face("sides", "Both ends", cm2(2 * d * h))
    yield Face("underside", "Bottom", cm2(w * d), is_usual=False)
    yield Face("inside", "Inside", cm2(2 * w * d + walls), is_usual=False)


def of_box(sides: Sides, _build: Build) -> Iterator[Face]:
    """The box around something of no known form: a guess and nothing more."""
    w, d, h = sides.w, sides.d, sides.h
    yield Face("top", "Top of the box around it", cm2(w * d), is_guess=True)
    yield Face("front", "Its front and back", cm2(2 * w * h), is_guess=True)
    yield Face("sides", "Its two sides", cm2(2 * d * h), is_guess=True)
    yield Face("underside", "Its underside", cm2(w * d), is_usual=False, is_guess=True)
