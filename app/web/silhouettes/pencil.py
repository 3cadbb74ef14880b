"""The joiner's pencil: a few strokes, as SVG path text, from which every furniture form is drawn."""

from __future__ import annotations

from dataclasses import dataclass

GROUND = 92.0
"""Where every piece stands in its 120 by 100 field."""


@dataclass(frozen=True)
class Stroke:
    """One part as drawn: its name, its path, whether a finish can cover it, and the part it lies on."""

    part: str
    path: str
    takes_paint: bool = False
    lies_on: str | None = None
    is_outline_only: bool = False


def num(value: float) -> str:
    """The number as short as SVG allows, to a tenth of a unit."""
    return f"{value:.1f}".rstrip("0").rstrip(".")


def poly(*points: tuple[float, float]) -> str:
    """A closed shape through the points."""
    return "M" + "L".join(f"{num(x)} {num(y)}" for x, y in points) + "Z"


def box(x: float, y: float, width: float, height: float) -> str:
    """An upright rectangle."""
    return f"M{num(x)} {num(y)}h{num(width)}v{num(height)}h{num(-width)}Z"


def line(*points: tuple[float, float]) -> str:
    """An open line through the points."""
    return "M" + "L".join(f"{num(x)} {num(y)}" for x, y in points)


def oval(x: float, y: float, across: float, down: float) -> str:
    """An ellipse around a centre, by its two radii."""
    wide, high = num(across), num(down)
    left = num(x - across)
    return f"M{left} {num(y)}a{wide} {high} 0 1 0 {num(2 * across)} 0a{wide} {high} 0 1 0 {num(-2 * across)} 0Z"


def painted(part: str, path: str) -> Stroke:
    """A part a finish can cover."""
    return Stroke(part, path, takes_paint=True)


def plain(part: str, path: str) -> Stroke:
    """A part that is never painted: glass, a mattress, ironwork."""
    return Stroke(part, path)


def detail(on: str, path: str) -> Stroke:
    """A line drawn on a part, in a tone that stays visible on that part's finish."""
    return Stroke("detail", path, lies_on=on, is_outline_only=True)


def board_top(x: float, y: float, width: float, *, slope: float = 6, inset: float = 7, edge: float = 4) -> Stroke:
    """A top board seen a little from above: its surface, and its front edge below `y`."""
    surface = poly((x, y), (x + inset, y - slope), (x + width - inset, y - slope), (x + width, y))
    return painted("top", surface + box(x, y, width, edge))


def drawers(x: float, y: float, width: float, *, heights: tuple[float, ...], columns: int = 1, gap: float = 2) -> str:
    """Drawer fronts as rows of the heights given, each row in equal columns."""
    each = (width - gap * (columns - 1)) / columns
    fronts = []
    for height in heights:
        fronts += [box(x + column * (each + gap), y, each, height) for column in range(columns)]
        y += height + gap
    return "".join(fronts)


def knobs(*places: tuple[float, float], size: float = 1.3) -> Stroke:
    """Round pulls on drawers at the places given."""
    return detail("drawers", "".join(oval(x, y, size, size) for x, y in places))


def tapered_leg(x: float, y: float, *, width: float = 6, foot: float = 3.4, to: float = GROUND, lean: float = 0) -> str:
    """One leg whose outer edge starts at `x`; a positive lean sets the foot to the right."""
    start = x + lean + (width - foot) / 2
    return poly((x, y), (x + width, y), (start + foot, to), (start, to))


def floor_line(left: float, right: float) -> Stroke:
    """The line the piece stands on, drawn a little past both ends."""
    return Stroke("ground", line((left - 8, GROUND), (right + 8, GROUND)), is_outline_only=True)
