"""How much surface a piece has to coat, face by face.

Plain geometry on outside measures; no published standard exists for furniture. Joints and overlaps are not taken off,
which errs a little on the high side. Lengths are mm, areas cm2, all exact but for round parts.
"""

from collections.abc import Callable, Collection, Iterator, Mapping
from enum import StrEnum
from fractions import Fraction
from types import MappingProxyType
from typing import Final

from app.basics.errors import RuleError
from app.pieces.rules import Form
from app.recipes.rules.faces import Build, Face, Sides, of_bookcase, of_box, of_case, of_trunk
from app.recipes.rules.joinery import of_bed, of_bench, of_chair, of_desk, of_frame, of_side_table, of_stool, of_table
from app.recipes.rules.products import COMMON_PRACTICE

MOST_RELIEF: Final = Fraction(2)


class Relief(StrEnum):
    """How much more surface a piece has than its flat faces."""

    FLAT = "flat"
    EDGES = "edges"
    PANELS = "panels"
    CARVED = "carved"


RELIEF_WORDS: Mapping[Relief, str] = MappingProxyType(
    {
        Relief.FLAT: "Flat",
        Relief.EDGES: "Edges, base or plain legs",
        Relief.PANELS: "Raised panels or mouldings",
        Relief.CARVED: "Carved or turned",
    }
)

RELIEF_FACTORS: Mapping[Relief, Fraction] = MappingProxyType(
    {
        Relief.FLAT: Fraction(1),
        Relief.EDGES: Fraction(110, 100),
        Relief.PANELS: Fraction(115, 100),
        Relief.CARVED: Fraction(125, 100),
    }
)

AREA_SOURCE: Final = f"plain geometry on outside measures; the additions for shape are {COMMON_PRACTICE}"

_FACES_OF: Final[Mapping[Form, Callable[[Sides, Build], Iterator[Face]]]] = MappingProxyType(
    {
        **dict.fromkeys((Form.CHEST, Form.DRESSER, Form.NIGHTSTAND), of_case),
        **dict.fromkeys((Form.CABINET, Form.SIDEBOARD, Form.WARDROBE), of_case),
        Form.BOOKCASE: of_bookcase,
        Form.TRUNK: of_trunk,
        Form.TABLE: of_table,
        Form.SIDE_TABLE: of_side_table,
        Form.DESK: of_desk,
        Form.CHAIR: of_chair,
        Form.STOOL: of_stool,
        Form.BENCH: of_bench,
        Form.BED: of_bed,
        Form.MIRROR: of_frame,
        Form.OTHER: of_box,
    }
)

_AS_IT_IS: Final = Build()
_SMALL: Final = frozenset({Form.CHAIR, Form.STOOL})


def area_faces(
    form: Form,
    width_mm: int | Fraction | None,
    depth_mm: int | Fraction | None,
    height_mm: int | Fraction | None,
    build: Build = _AS_IT_IS,
) -> tuple[Face, ...]:
    """Every face of a piece of that form, those that are usually coated and those that may be.

    Depth is front to back: the length of a bed, the thickness of a mirror's frame. A chair or stool whose measures were
    not taken is reckoned as a usual one; of something else only the box around it is known. Refuses other forms without
    the measures they need, at the field of the first that is missing, and measures that cannot be (RuleError).
    """
    sides = Sides(width_mm, depth_mm, height_mm)
    return tuple(_FACES_OF[form](sides, build))


def paintable_area_cm2(
    form: Form,
    width_mm: int | Fraction | None,
    depth_mm: int | Fraction | None,
    height_mm: int | Fraction | None,
    build: Build = _AS_IT_IS,
    *,
    counted: Collection[str] | None = None,
    relief: Fraction = RELIEF_FACTORS[Relief.FLAT],
) -> Fraction:
    """The surface to coat: the faces whose keys are `counted` (the usual ones without it), times the relief.

    Refuses as `area_faces` and `with_relief` (RuleError).
    """
    faces = area_faces(form, width_mm, depth_mm, height_mm, build)
    return with_relief(area_of(faces, counted), relief)


def area_of(faces: Collection[Face], counted: Collection[str] | None = None) -> Fraction:
    """The faces whose keys are `counted` together; the usual ones without it."""
    chosen = [face for face in faces if (face.is_usual if counted is None else face.key in counted)]
    return sum((face.cm2 for face in chosen), Fraction(0))


def with_relief(area_cm2: Fraction, relief: Fraction) -> Fraction:
    """An area with what mouldings and carving add; refuses a factor outside 1 to `MOST_RELIEF` (RuleError)."""
    if not 1 <= relief <= MOST_RELIEF:
        raise RuleError(f"What its shape adds is a factor from 1 to {MOST_RELIEF}.")
    return area_cm2 * relief


def is_small(form: Form) -> bool:
    """Whether much of a spray goes past such a piece."""
    return form in _SMALL
