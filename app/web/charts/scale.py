"""The scale at the side of a chart, and the labels under it."""

import math
from collections.abc import Callable, Iterable
from dataclasses import dataclass

HEIGHT = 220.0
HEADROOM = 18.0
FOOTROOM = 26.0
LABELS_ON_A_PHONE = 6
LABELS_ON_A_DESK = 13
STEPS = (1, 2, 2.5, 5, 10)


@dataclass(frozen=True)
class GridLine:
    """A level line with what it stands for."""

    y: float
    text: str
    is_zero: bool


@dataclass(frozen=True)
class Scale:
    """Where an amount stands, down in pixels, and the level lines; zero is always on it."""

    down: Callable[[float], float]
    grid: tuple[GridLine, ...]


def round_step(span: float, lines: int = 4) -> float:
    """The smallest 1, 2, 2.5 or 5 times a power of ten that covers `span` in at most `lines` steps."""
    if span <= 0:
        return 1.0
    rough = span / lines
    power = 10.0 ** math.floor(math.log10(rough))
    return next(step * power for step in STEPS if step * power >= rough * (1 - 1e-9))


def scale_of(values: Iterable[int], say: Callable[[float], str]) -> Scale:
    """The scale that holds all values and zero; `say` writes a level line's amount."""
    held = [0, *values]
    high, low = max(held), min(held)
    step = round_step(high - low)
    top_level, low_level = math.ceil(high / step - 1e-9), math.floor(low / step + 1e-9)
    if top_level == low_level:
        top_level += 1
    per_level = (HEIGHT - HEADROOM - FOOTROOM) / (top_level - low_level)

    def down(value: float) -> float:
        return round(HEADROOM + (top_level - value / step) * per_level, 2)

    levels = range(low_level, top_level + 1)
    return Scale(down, tuple(GridLine(down(level * step), say(level * step), level == 0) for level in levels))


def label_css(place: int, count: int) -> str:
    """Labels are thinned from the newest backwards: fewer on a phone than on a wide page."""
    from_the_end = count - 1 - place
    if from_the_end % math.ceil(count / LABELS_ON_A_DESK):
        return "label-never"
    return "label-wide" if from_the_end % math.ceil(count / LABELS_ON_A_PHONE) else "label-always"
