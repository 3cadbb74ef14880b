"""Case pieces: what holds things behind drawers, doors, shelves and lids."""

from __future__ import annotations

from app.web.silhouettes.pencil import (
    Stroke,
    board_top,
    box,
    detail,
    drawers,
    floor_line,
    knobs,
    line,
    oval,
    painted,
    plain,
    poly,
    tapered_leg,
)

Strokes = tuple[Stroke, ...]


def bracket_foot(x: float, y: float, width: float, depth: float = 7) -> str:
    """A plinth cut away in the middle so that the piece stands on two bracket feet."""
    right, low = x + width, y + depth
    return (
        f"M{x} {y}H{right}V{low}H{right - 8}Q{right - 10} {y + 3} {right - 17} {y + 3}"
        f"H{x + 17}Q{x + 10} {y + 3} {x + 8} {low}H{x}Z"
    )


def panelled_door(x: float, y: float, width: float, height: float, rim: float = 4) -> str:
    """The raised panel of a door whose outer edge is given."""
    return box(x + rim, y + rim, width - 2 * rim, height - 2 * rim)


CHEST: Strokes = (
    floor_line(24, 96),
    painted("legs", bracket_foot(24, 85, 72)),
    painted("body", box(24, 19, 72, 66)),
    board_top(20, 15, 80),
    painted("drawers", drawers(28, 23, 64, heights=(10,), columns=2) + drawers(28, 35, 64, heights=(13, 15, 15))),
    knobs((43.5, 28), (76.5, 28), (41, 41.5), (79, 41.5), (41, 57.5), (79, 57.5), (41, 74.5), (79, 74.5)),
)

DRESSER: Strokes = (
    floor_line(8, 112),
    painted("legs", tapered_leg(11, 80, to=92) + tapered_leg(103, 80, to=92)),
    painted("body", box(9, 40, 102, 42)),
    board_top(5, 36, 110, inset=10),
    painted(
        "drawers",
        drawers(13, 44, 94, heights=(9,), columns=3) + drawers(13, 55, 94, heights=(11, 11), columns=2),
    ),
    knobs((28, 48.5), (60, 48.5), (92, 48.5), (25, 60.5), (47, 60.5), (73, 60.5), (95, 60.5)),
    knobs((25, 73.5), (47, 73.5), (73, 73.5), (95, 73.5)),
)

CABINET: Strokes = (
    floor_line(26, 94),
    painted("legs", box(28, 87, 64, 5)),
    painted("body", box(26, 23, 68, 64)),
    board_top(22, 19, 76),
    painted("doors", box(30, 27, 29, 56) + box(61, 27, 29, 56)),
    detail("doors", panelled_door(30, 27, 29, 56) + panelled_door(61, 27, 29, 56)),
    detail("doors", oval(56.8, 56, 1.1, 1.1) + oval(63.2, 56, 1.1, 1.1)),
)

SIDEBOARD: Strokes = (
    floor_line(8, 112),
    painted("legs", tapered_leg(12, 72, width=5, lean=-3) + tapered_leg(103, 72, width=5, lean=3)),
    painted("body", box(6, 42, 108, 31)),
    board_top(3, 38, 114, inset=11),
    painted("doors", box(10, 46, 31, 23) + box(79, 46, 31, 23)),
    painted("drawers", drawers(44, 46, 32, heights=(6.3, 6.4, 6.3))),
    detail("doors", line((37.5, 54), (37.5, 61)) + line((82.5, 54), (82.5, 61))),
    detail("drawers", line((56, 49.2), (64, 49.2)) + line((56, 57.5), (64, 57.5)) + line((56, 65.8), (64, 65.8))),
)

WARDROBE: Strokes = (
    floor_line(30, 90),
    painted("legs", bracket_foot(30, 86, 60, 6)),
    painted("body", box(30, 14, 60, 72)),
    painted("top", poly((27, 9), (31, 5), (89, 5), (93, 9)) + poly((27, 9), (93, 9), (90, 14), (30, 14))),
    painted("doors", box(34, 18, 25, 50) + box(61, 18, 25, 50)),
    detail("doors", panelled_door(34, 18, 25, 50) + panelled_door(61, 18, 25, 50)),
    detail("doors", oval(56.9, 45, 1.1, 1.1) + oval(63.1, 45, 1.1, 1.1)),
    painted("drawers", drawers(34, 71, 52, heights=(12,))),
    knobs((48, 77), (72, 77)),
)

BOOKCASE: Strokes = (
    floor_line(28, 92),
    painted("body", box(28, 9, 64, 83)),
    painted("back", box(33, 14, 54, 72)),
    painted("shelves", box(33, 31, 54, 3) + box(33, 49, 54, 3) + box(33, 67, 54, 3)),
    detail("back", box(37, 18, 5, 13) + box(42, 20, 4, 11) + box(46, 17, 6, 14)),
    detail("back", poly((56, 31), (60, 19), (64, 20.4), (61, 31))),
    detail("back", box(72, 38, 5, 11) + box(77, 36, 6, 13) + box(37, 45, 18, 4) + box(39, 41.5, 14, 3.5)),
    detail("back", box(37, 54, 5, 13) + box(42, 56, 6, 11) + oval(75, 62, 6, 5)),
    detail("back", box(64, 73, 5, 13) + box(69, 75, 6, 11) + box(75, 72, 5, 14)),
)

TRUNK: Strokes = (
    floor_line(16, 104),
    painted("body", box(16, 50, 88, 42)),
    painted("lid", "M16 50V42Q16 27 32 27H88Q104 27 104 42V50Z"),
    plain("straps", "M31 27h8v65h-8Z" + "M81 27h8v65h-8Z"),
    plain("lock", "M54 46h12v10q0 4-6 4t-6-4Z"),
    detail("lock", line((60, 51), (60, 55))),
    detail("straps", line((31, 50), (39, 50)) + line((81, 50), (89, 50))),
)

COVERED: Strokes = (
    floor_line(20, 100),
    painted("legs", box(32, 84, 5, 8) + box(83, 84, 5, 8)),
    painted(
        "body",
        "M36 30Q48 26 58 29T84 27Q90 28 92 36L100 82Q96 88 90 84T78 86T64 84T50 87T36 84T20 82L28 38Q30 31 36 30Z",
    ),
    detail("body", "M40 36Q38 58 32 76M54 40Q54 60 50 80M68 38Q70 62 72 80M82 36Q86 54 90 74M36 30Q60 38 92 36"),
)
