"""Abrasive grades: what their grains measure, and the ladder of grades a run of sanding climbs.

Two scales print the same numbers on paper and cloth: P (ISO 6344) and CAMI. They run close up to 220 and then part.
"""

from collections.abc import Mapping
from types import MappingProxyType
from typing import Final

from app.recipes.rules.steps import GritScale

# Both from a dictionary of units.
_READ_P: Final = {40: 425, 50: 336, 60: 269, 80: 201, 100: 162, 120: 125}
_READ_CAMI: Final = {40: 428, 50: 351, 60: 268, 80: 192, 100: 141}
# Both from a maker's chart, which rounds; other charts differ by a few above 150 CAMI. P240 and P360 are left out: they
# fall half-way between two whole figures, and only the whole one was read.
_CHART_P: Final = {150: 100, 180: 82, 220: 68, 280: 52, 320: 46, 400: 35, 600: 26}
_CHART_CAMI: Final = {120: 116, 150: 93, 180: 82, 220: 68, 240: 52, 280: 42, 320: 35, 360: 28, 400: 22, 600: 15}

GRAIN_SIZES: Final[Mapping[GritScale, Mapping[int, int]]] = MappingProxyType(
    {
        GritScale.P: MappingProxyType({**_READ_P, **_CHART_P}),
        GritScale.CAMI: MappingProxyType({**_READ_CAMI, **_CHART_CAMI}),
    }
)
"""The average size of a grade's grains in micrometres, by scale and number, as far as it was read somewhere."""

LADDER: Final = (60, 80, 100, 120, 150, 180, 220, 240, 320, 400)
"""The grades a run of sanding climbs; at most one is skipped, as how-to pages say."""


def grain_um(grit: int | None, scale: GritScale) -> int | None:
    """About how large the grains of a grade are, in micrometres; None without a grade and for one of no known size."""
    return None if grit is None else GRAIN_SIZES[scale].get(grit)
