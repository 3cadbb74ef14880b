"""A furniture form painted with its finish colours, ready for a template."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType

from app.basics.colours import relative_luminance
from app.web.silhouettes.cases import BOOKCASE, CABINET, CHEST, COVERED, DRESSER, SIDEBOARD, TRUNK, WARDROBE
from app.web.silhouettes.open_forms import (
    BED,
    BENCH,
    CHAIR,
    DESK,
    MIRROR,
    NIGHTSTAND,
    SIDE_TABLE,
    STOOL,
    TABLE,
)
from app.web.silhouettes.pencil import Stroke

VIEW_BOX = "0 0 120 100"
SHAPES: Mapping[str, tuple[Stroke, ...]] = MappingProxyType(
    {
        "chest": CHEST,
        "dresser": DRESSER,
        "nightstand": NIGHTSTAND,
        "table": TABLE,
        "side_table": SIDE_TABLE,
        "desk": DESK,
        "chair": CHAIR,
        "stool": STOOL,
        "bench": BENCH,
        "bookcase": BOOKCASE,
        "cabinet": CABINET,
        "sideboard": SIDEBOARD,
        "wardrobe": WARDROBE,
        "bed": BED,
        "mirror": MIRROR,
        "trunk": TRUNK,
        "other": COVERED,
    }
)
FORMS = tuple(SHAPES)
COLOUR = re.compile(r"#[0-9a-f]{6}")
# The lightness at which dark and light lines stand out equally well from a finish.
MIDDLE_LIGHTNESS = 0.19


@dataclass(frozen=True)
class DrawnPart:
    """One path to write: its part, its CSS classes, and its finish colour when it is painted."""

    part: str
    path: str
    css: str
    fill: str | None


@dataclass(frozen=True)
class Drawing:
    """A whole silhouette: paths in the order they are laid down."""

    form: str
    view_box: str
    parts: tuple[DrawnPart, ...]


def paintable_parts(form: str) -> tuple[str, ...]:
    """The parts of a form that take a finish, in drawing order; an unknown form counts as "other"."""
    return tuple(dict.fromkeys(s.part for s in SHAPES.get(form, COVERED) if s.takes_paint))


def silhouette(form: str, colour: str | None = None, parts: Mapping[str, str] = MappingProxyType({})) -> Drawing:
    """Draw `form` with `colour` on everything that takes paint, and `parts` over it by part name.

    An unknown form is drawn as "other"; a part the form does not show is left out. A colour that is not
    written #rrggbb in lower case is refused with ValueError.
    """
    for given in (*parts.values(), *([colour] if colour is not None else [])):
        if not COLOUR.fullmatch(given):
            raise ValueError(f"A finish colour is written #rrggbb in lower case, not {given!r}.")
    strokes = SHAPES.get(form, COVERED)
    fills = {s.part: parts.get(s.part, colour) for s in strokes if s.takes_paint}
    return Drawing(form, VIEW_BOX, tuple(_drawn(stroke, fills) for stroke in strokes))


def _drawn(stroke: Stroke, fills: Mapping[str, str | None]) -> DrawnPart:
    fill = fills.get(stroke.part) if stroke.takes_paint else None
    below = fills.get(stroke.lies_on) if stroke.lies_on else fill
    if stroke.part == "ground":
        kind = "drawn-ground"
    elif stroke.is_outline_only:
        kind = "drawn-line"
    else:
        kind = "drawn-wood" if stroke.takes_paint else "drawn-bare"
    if below is None:
        return DrawnPart(stroke.part, stroke.path, kind, fill)
    tone = "lines-dark" if relative_luminance(below) > MIDDLE_LIGHTNESS else "lines-light"
    return DrawnPart(stroke.part, stroke.path, f"{kind} {tone}", fill)
