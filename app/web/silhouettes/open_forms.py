"""Pieces that stand on legs or hang in a frame: tables, seats, beds and mirrors."""

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

NIGHTSTAND: Strokes = (
    floor_line(36, 84),
    painted("legs", box(37, 40, 5, 52) + box(78, 40, 5, 52)),
    painted("body", box(37, 40, 46, 21)),
    board_top(33, 36, 54),
    painted("drawers", drawers(41, 44, 38, heights=(13,))),
    knobs((60, 50.5), size=1.8),
    painted("shelves", poly((42, 78), (46, 74), (74, 74), (78, 78)) + box(42, 78, 36, 3.5)),
)

TABLE: Strokes = (
    floor_line(10, 110),
    painted("legs", tapered_leg(28, 50, width=5, foot=3.4, to=84) + tapered_leg(87, 50, width=5, foot=3.4, to=84)),
    painted("body", box(14, 46, 92, 9)),
    painted("legs", tapered_leg(13, 46, width=7, foot=4) + tapered_leg(100, 46, width=7, foot=4)),
    board_top(5, 42, 110, slope=10, inset=14),
)

SIDE_TABLE: Strokes = (
    floor_line(38, 82),
    painted("legs", "M60 92L57 78H63Z" + "M57.5 72Q50 76 47 84T36 90L37 92Q48 92 51 85T59 78Z"),
    painted("legs", "M62.5 72Q70 76 73 84T84 90L83 92Q72 92 69 85T61 78Z"),
    painted(
        "body",
        "M57 46H63Q63 52 62 55Q66 58 65 64Q64 70 62.5 73V79H57.5V73Q56 70 55 64Q54 58 58 55Q57 52 57 46Z",
    ),
    painted("top", "M30 40V43A30 8 0 0 0 90 43V40" + oval(60, 40, 30, 8)),
)

DESK: Strokes = (
    floor_line(10, 110),
    painted("legs", tapered_leg(88, 56, width=4, foot=3, to=86) + tapered_leg(100, 44, width=7, foot=4)),
    painted("legs", box(13, 87, 33, 5)),
    painted("body", box(11, 42, 37, 45) + box(48, 42, 59, 12)),
    board_top(6, 38, 108, slope=9, inset=13),
    painted("drawers", drawers(15, 45, 29, heights=(9, 11, 14)) + drawers(51, 44.5, 46, heights=(7,))),
    knobs((29.5, 49.5), (29.5, 61.5), (29.5, 76), (74, 48)),
)

CHAIR: Strokes = (
    floor_line(36, 84),
    painted("legs", tapered_leg(44, 56, width=4, foot=3, to=85) + tapered_leg(72, 56, width=4, foot=3, to=85)),
    painted(
        "back",
        poly((40, 52), (38, 12), (42, 12), (44.5, 52)) + poly((80, 52), (82, 12), (78, 12), (75.5, 52)),
    ),
    painted("back", box(51, 22, 3.4, 28) + box(58.3, 22, 3.4, 28) + box(65.6, 22, 3.4, 28)),
    painted("back", "M37 11Q60 4 83 11L82 22Q60 16 38 22Z"),
    painted("legs", box(41, 76, 38, 3)),
    painted("legs", tapered_leg(37, 62, width=5.5, foot=3.6) + tapered_leg(77.5, 62, width=5.5, foot=3.6)),
    painted("seat", poly((34, 60), (41, 50), (79, 50), (86, 60)) + box(34, 60, 52, 4)),
)

STOOL: Strokes = (
    floor_line(38, 82),
    painted("legs", poly((50, 44), (54, 44), (51, 84), (48, 84)) + poly((66, 44), (70, 44), (72, 84), (69, 84))),
    painted("legs", poly((40.5, 72), (79.5, 72), (80, 75), (40, 75))),
    painted("legs", poly((44, 42), (49, 44), (40, 92), (36, 92)) + poly((76, 42), (71, 44), (80, 92), (84, 92))),
    painted("seat", "M36 36V40A24 7 0 0 0 84 40V36" + oval(60, 36, 24, 7)),
)

BENCH: Strokes = (
    floor_line(10, 110),
    painted("legs", box(25, 74, 70, 5)),
    painted("legs", "M16 62H28L30 92H25L22 84L19 92H14Z" + "M104 62H92L90 92H95L98 84L101 92H106Z"),
    painted("seat", poly((5, 58), (17, 49), (103, 49), (115, 58)) + box(5, 58, 110, 5)),
    detail("seat", line((11.5, 53.2), (108.5, 53.2))),
)

BED: Strokes = (
    floor_line(10, 110),
    painted("headboard", "M24 70V24Q60 8 96 24V70Z"),
    painted("headboard", box(20, 18, 5, 52) + box(95, 18, 5, 52)),
    detail("headboard", "M31 66V30Q60 17 89 30V66"),
    plain("mattress", poly((26, 50), (94, 50), (108, 68), (12, 68))),
    plain("mattress", "M34 50Q32 42 38 41H54Q58 42 57 50Z" + "M63 50Q62 42 66 41H82Q88 42 86 50Z"),
    painted("frame", box(12, 64, 96, 20)),
    painted("legs", box(8, 58, 7, 34) + box(105, 58, 7, 34)),
    detail("frame", box(21, 68, 24, 12) + box(48, 68, 24, 12) + box(75, 68, 24, 12)),
)

MIRROR: Strokes = (
    floor_line(38, 82),
    painted("frame", "M34 92V38Q34 8 60 8T86 38V92Z"),
    plain("glass", "M41 85V39Q41 15 60 15T79 39V85Z"),
    detail("glass", line((49, 56), (66, 34)) + line((52, 66), (72, 40)) + line((49, 40), (54, 33.5))),
)
