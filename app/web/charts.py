"""Where the bars, lines and labels of a chart stand; templates only write them down."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass

HEIGHT = 220.0
HEADROOM = 18.0
FOOTROOM = 26.0
LABELS_ON_A_PHONE = 6
LABELS_ON_A_DESK = 13
STEPS = (1, 2, 2.5, 5, 10)


@dataclass(frozen=True)
class Bar:
    """One measured amount with its label; `text` is the amount as it shall be read, `href` its rows."""

    label: str
    value: int
    text: str
    href: str | None = None


@dataclass(frozen=True)
class DrawnBar:
    """A bar's place: across in percent of the width, down in pixels of the fixed height."""

    label: str
    text: str
    href: str | None
    left: float
    width: float
    middle: float
    top: float
    height: float
    is_loss: bool
    label_css: str


@dataclass(frozen=True)
class GridLine:
    """A level line with what it stands for."""

    y: float
    text: str
    is_zero: bool


@dataclass(frozen=True)
class BarChart:
    """A whole bar chart with the words that stand in for it."""

    title: str
    description: str
    label_name: str
    value_name: str
    height: float
    label_y: float
    bars: tuple[DrawnBar, ...]
    grid: tuple[GridLine, ...]

    @property
    def is_blank(self) -> bool:
        """Whether no bar has any height, so that there is nothing to draw."""
        return all(bar.height == 0 for bar in self.bars)


def round_step(span: float, lines: int = 4) -> float:
    """The smallest 1, 2, 2.5 or 5 times a power of ten that covers `span` in at most `lines` steps."""
    if span <= 0:
        return 1.0
    rough = span / lines
    power = 10.0 ** math.floor(math.log10(rough))
    return next(step * power for step in STEPS if step * power >= rough * (1 - 1e-9))


def bar_chart(
    title: str,
    bars: Sequence[Bar],
    *,
    description: str,
    say: Callable[[float], str],
    label_name: str = "Month",
    value_name: str = "Amount",
) -> BarChart:
    """Lay out `bars` from left to right around one zero line; losses hang below it.

    `say` writes a grid line's amount, `description` tells the conclusion in a sentence.
    """
    high = max([0, *(bar.value for bar in bars)])
    low = min([0, *(bar.value for bar in bars)])
    step = round_step(high - low)
    top_level, low_level = math.ceil(high / step - 1e-9), math.floor(low / step + 1e-9)
    if top_level == low_level:
        top_level += 1
    reach = HEIGHT - HEADROOM - FOOTROOM
    per_level = reach / (top_level - low_level)

    def down(value: float) -> float:
        return round(HEADROOM + (top_level - value / step) * per_level, 2)

    levels = range(low_level, top_level + 1)
    grid = tuple(GridLine(down(level * step), say(level * step), level == 0) for level in levels)
    drawn = tuple(_drawn(place, bar, len(bars), down) for place, bar in enumerate(bars))
    return BarChart(title, description, label_name, value_name, HEIGHT, HEIGHT - 8, drawn, grid)


def _drawn(place: int, bar: Bar, count: int, down: Callable[[float], float]) -> DrawnBar:
    slot = 100 / count
    zero, level = down(0), down(bar.value)
    return DrawnBar(
        label=bar.label,
        text=bar.text,
        href=bar.href,
        left=round((place + 0.16) * slot, 3),
        width=round(0.68 * slot, 3),
        middle=round((place + 0.5) * slot, 3),
        top=min(zero, level),
        height=round(abs(level - zero), 2),
        is_loss=bar.value < 0,
        label_css=_label_css(count - 1 - place, count),
    )


def _label_css(from_the_end: int, count: int) -> str:
    """Labels are thinned from the newest backwards: fewer on a phone than on a wide page."""
    if from_the_end % math.ceil(count / LABELS_ON_A_DESK):
        return "label-never"
    return "label-wide" if from_the_end % math.ceil(count / LABELS_ON_A_PHONE) else "label-always"
