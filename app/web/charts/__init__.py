"""Where the bars, lines and labels of a chart stand; templates only write them down."""

from app.web.charts.bars import Bar, BarChart, Twin, TwinChart, bar_chart, twin_chart
from app.web.charts.scale import round_step
from app.web.charts.stacks import Share, Stack, Whole, stacks

__all__ = [
    "Bar",
    "BarChart",
    "Share",
    "Stack",
    "Twin",
    "TwinChart",
    "Whole",
    "bar_chart",
    "round_step",
    "stacks",
    "twin_chart",
]
