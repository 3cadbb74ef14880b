"""Where the bars of a plan stand: a row for each piece, time from left to right, the nights between drawn narrow."""

from bisect import bisect_right
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

HEAD: Final = 44.0
"""Pixels above the first row, for days and hours."""
ROW: Final = 36.0
BAR: Final = 24.0
PER_MINUTE: Final = 1.6
GAP: Final = 48.0
"""Pixels at most for the time between two spells, however long it is."""
LETTER: Final = 7.0
"""Pixels a letter of a word in a bar takes."""
HOUR: Final = 60


@dataclass(frozen=True)
class StripSpell:
    """A spell of free time in minutes from now, with the minute of its day at which it begins, and its day."""

    start: int
    end: int
    clock: int
    label: str


@dataclass(frozen=True)
class StripWork:
    """Work from one minute to another, then drying; `word` stands in the bar, `told` says it in full.

    Without work (`start` equal to `end`) it dries only.
    """

    start: int
    end: int
    dry_at: int
    word: str
    told: str
    is_fixed: bool = False


@dataclass(frozen=True)
class StripPiece:
    """A piece and what is done to it."""

    name: str
    works: Sequence[StripWork]


@dataclass(frozen=True)
class Box:
    """A drawn bar in pixels; `word` is left away where it has no room."""

    x: float
    y: float
    width: float
    word: str
    told: str
    is_fixed: bool = False


@dataclass(frozen=True)
class Band:
    """A spell of free time as it is drawn, with its hours."""

    x: float
    width: float
    label: str
    hours: tuple[tuple[float, str], ...]


@dataclass(frozen=True)
class Strip:
    """The whole chart: bands of free time, bars of work, and what dries; pixels from the upper left corner."""

    width: float
    height: float
    bands: tuple[Band, ...]
    names: tuple[str, ...]
    works: tuple[Box, ...]
    dries: tuple[Box, ...]
    bar: float = BAR
    head: float = HEAD
    row: float = ROW


class Axis:
    """From minutes to pixels: free time at a steady pace, all between two spells within a narrow gap."""

    def __init__(self, spells: Sequence[StripSpell]) -> None:
        self.minutes, self.pixels = [0], [0.0]
        for spell in spells:
            self._add(spell.start, min(GAP, PER_MINUTE * (spell.start - self.minutes[-1])))
            self._add(spell.end, PER_MINUTE * (spell.end - spell.start))

    def _add(self, minute: int, pixels: float) -> None:
        if minute > self.minutes[-1]:
            self.minutes.append(minute)
            self.pixels.append(self.pixels[-1] + pixels)

    @property
    def width(self) -> float:
        """Where the last spell ends, and room for what dries after it."""
        return round(self.pixels[-1] + GAP, 2)

    def at(self, minute: int) -> float:
        """Where a minute stands; what comes before now or after the end stands at the edge."""
        if minute >= self.minutes[-1]:
            return round(min(self.pixels[-1] + PER_MINUTE * (minute - self.minutes[-1]), self.width), 2)
        place = bisect_right(self.minutes, max(minute, 0)) - 1
        pace = (self.pixels[place + 1] - self.pixels[place]) / (self.minutes[place + 1] - self.minutes[place])
        return round(self.pixels[place] + pace * (max(minute, 0) - self.minutes[place]), 2)


def strip(spells: Sequence[StripSpell], pieces: Sequence[StripPiece]) -> Strip:
    """Lay a plan out over the spells, in order and without overlap; what begins after the last is left away."""
    axis = Axis(spells)
    works: list[Box] = []
    dries: list[Box] = []
    for row, piece in enumerate(pieces):
        y = HEAD + row * ROW + (ROW - BAR) / 2
        for work in piece.works:
            if work.start >= axis.minutes[-1]:
                continue
            start, end, dry = axis.at(work.start), axis.at(work.end), axis.at(work.dry_at)
            if end > start:
                word = work.word if len(work.word) * LETTER <= end - start else ""
                works.append(Box(start, y, round(end - start, 2), word, work.told, work.is_fixed))
            if dry > end:
                dries.append(Box(end, y, round(dry - end, 2), "", work.told))
    height = HEAD + len(pieces) * ROW
    names = tuple(piece.name for piece in pieces)
    return Strip(axis.width, height, tuple(_band(axis, each) for each in spells), names, tuple(works), tuple(dries))


def _band(axis: Axis, spell: StripSpell) -> Band:
    x = axis.at(spell.start)
    first = -(-spell.clock // HOUR)
    last = (spell.clock + spell.end - spell.start) // HOUR
    hours = tuple(
        (axis.at(spell.start + hour * HOUR - spell.clock), f"{hour % 24}:00") for hour in range(first, last + 1)
    )
    return Band(x, round(axis.at(spell.end) - x, 2), spell.label, hours)
