"""Bars side by side: one series, or two with a mark for what they come to together."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass

from app.web.charts.scale import HEIGHT, GridLine, label_css, scale_of


@dataclass(frozen=True)
class Bar:
    """One measured amount with its label; `text` is the amount as it shall be read, `href` its rows."""

    label: str
    value: int
    text: str
    href: str | None = None


@dataclass(frozen=True)
class Twin:
    """Two amounts of one label and what they come to together, each with its words; `href` leads to their rows."""

    label: str
    values: tuple[int, int]
    texts: tuple[str, str]
    together: int
    together_text: str
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
class DrawnTwin:
    """Two bars beside each other, and the height of the mark across both."""

    label: str
    href: str | None
    bars: tuple[DrawnBar, DrawnBar]
    mark: float
    mark_text: str
    is_loss: bool

    @property
    def left(self) -> float:
        """Where the mark begins, in percent."""
        return self.bars[0].left

    @property
    def right(self) -> float:
        """Where the mark ends, in percent."""
        return round(self.bars[1].left + self.bars[1].width, 3)


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


@dataclass(frozen=True)
class TwinChart:
    """A whole chart of two series with the words that stand in for it; `names` of both, and of the mark."""

    title: str
    description: str
    label_name: str
    names: tuple[str, str, str]
    height: float
    label_y: float
    twins: tuple[DrawnTwin, ...]
    grid: tuple[GridLine, ...]

    @property
    def is_blank(self) -> bool:
        """Whether no bar has any height, so that there is nothing to draw."""
        return all(bar.height == 0 for twin in self.twins for bar in twin.bars)


def bar_chart(
    title: str,
    bars: Sequence[Bar],
    *,
    description: str,
    say: Callable[[float], str],
    label_name: str = "Month",
    value_name: str = "Amount",
    gap: float = 0.32,
) -> BarChart:
    """Lay out `bars` from left to right around one zero line; losses hang below it.

    `say` writes a grid line's amount, `description` tells the conclusion in a sentence, `gap` is the share of a
    bar's place that stays free.
    """
    scale = scale_of((bar.value for bar in bars), say)
    slot = 100 / max(len(bars), 1)
    drawn = tuple(
        _drawn(bar, label_css(place, len(bars)), (place + gap / 2) * slot, (1 - gap) * slot, scale.down)
        for place, bar in enumerate(bars)
    )
    return BarChart(title, description, label_name, value_name, HEIGHT, HEIGHT - 8, drawn, scale.grid)


def twin_chart(
    title: str,
    twins: Sequence[Twin],
    *,
    names: tuple[str, str, str],
    description: str,
    say: Callable[[float], str],
    label_name: str = "Month",
) -> TwinChart:
    """Lay out two bars beside each other for every label, and a mark for what they come to together."""
    scale = scale_of((value for twin in twins for value in (*twin.values, twin.together)), say)
    slot = 100 / max(len(twins), 1)
    drawn = []
    for place, twin in enumerate(twins):
        css = label_css(place, len(twins))
        one, other = (
            _drawn(Bar(twin.label, value, text), css, (place + start) * slot, 0.36 * slot, scale.down)
            for value, text, start in zip(twin.values, twin.texts, (0.14, 0.5), strict=True)
        )
        mark = scale.down(twin.together)
        drawn.append(DrawnTwin(twin.label, twin.href, (one, other), mark, twin.together_text, twin.together < 0))
    return TwinChart(title, description, label_name, names, HEIGHT, HEIGHT - 8, tuple(drawn), scale.grid)


def _drawn(bar: Bar, css: str, left: float, width: float, down: Callable[[float], float]) -> DrawnBar:
    zero, level = down(0), down(bar.value)
    return DrawnBar(
        label=bar.label,
        text=bar.text,
        href=bar.href,
        left=round(left, 3),
        width=round(width, 3),
        middle=round(left + width / 2, 3),
        top=min(zero, level),
        height=round(abs(level - zero), 2),
        is_loss=bar.value < 0,
        label_css=css,
    )
