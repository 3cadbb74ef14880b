"""Bars stand where their amounts say, and the table under a chart says the same amounts."""

import itertools
import re

import pytest
from hypothesis import given
from hypothesis import strategies as st
from jinja2 import Environment, PackageLoader, StrictUndefined

from app.web.charts import Bar, BarChart, bar_chart, round_step


def a_chart(*values: int) -> BarChart:
    bars = [Bar(f"M{place}", value, f"{value} c") for place, value in enumerate(values)]
    return bar_chart("Profit", bars, description="How it went.", say=lambda amount: f"{amount:g}")


def test_a_chart_without_any_amount_is_blank_and_written_as_nothing_yet() -> None:
    assert a_chart(0, 0).is_blank
    assert not a_chart(0, -1).is_blank


def zero_of(chart: BarChart) -> float:
    (zero,) = [level.y for level in chart.grid if level.is_zero]
    return zero


@pytest.mark.parametrize(
    ("span", "step"), [(100, 25), (1000, 250), (7, 2), (160_000, 50_000), (3, 1), (0, 1), (0.4, 0.1)]
)
def test_steps_are_round_and_few(span: float, step: float) -> None:
    assert round_step(span) == pytest.approx(step)


@given(st.lists(st.integers(-10_000_000, 10_000_000), min_size=1, max_size=60))
def test_bar_lengths_are_in_the_proportion_of_their_amounts(values: list[int]) -> None:
    chart = a_chart(*values)
    longest = max(range(len(values)), key=lambda at: abs(values[at]))
    for bar, value in zip(chart.bars, values, strict=True):
        expected = chart.bars[longest].height * abs(value) / max(abs(values[longest]), 1)
        assert bar.height == pytest.approx(expected, abs=0.03)


@given(st.lists(st.integers(-10_000_000, 10_000_000), min_size=1, max_size=60))
def test_gains_rise_from_the_zero_line_and_losses_hang_below_it(values: list[int]) -> None:
    chart = a_chart(*values)
    zero = zero_of(chart)
    for bar, value in zip(chart.bars, values, strict=True):
        assert bar.is_loss == (value < 0)
        edge = bar.top if value < 0 else bar.top + bar.height
        assert edge == pytest.approx(zero, abs=0.02)
        assert bar.top >= 0
        assert bar.top + bar.height <= chart.height


@given(st.lists(st.integers(-9999, 9999), min_size=1, max_size=60))
def test_bars_keep_their_order_and_their_distance(values: list[int]) -> None:
    bars = a_chart(*values).bars
    assert bars[0].left >= 0
    assert bars[-1].left + bars[-1].width <= 100
    assert all(one.left + one.width < other.left for one, other in itertools.pairwise(bars))


@given(st.lists(st.integers(-9999, 9999), min_size=1, max_size=60))
def test_level_lines_stand_where_their_amounts_say(values: list[int]) -> None:
    chart = a_chart(*values)
    zero = zero_of(chart)
    scale = [(zero - level.y) / float(level.text) for level in chart.grid if not level.is_zero]
    assert scale
    assert max(scale) == pytest.approx(min(scale), rel=0.01)


def test_a_chart_of_nothing_but_zeros_still_has_a_zero_line() -> None:
    chart = a_chart(0, 0)
    assert zero_of(chart) > 0
    assert [bar.height for bar in chart.bars] == [0, 0]


def test_no_bars_at_all_make_an_empty_field() -> None:
    assert a_chart().bars == ()


def test_the_newest_label_is_always_written_and_a_phone_gets_fewer() -> None:
    for count in (1, 5, 6, 7, 12, 13, 26, 60):
        css = [bar.label_css for bar in a_chart(*range(count)).bars]
        assert css[-1] == "label-always"
        assert css.count("label-always") <= 6
        assert css.count("label-always") + css.count("label-wide") <= 13


def test_the_table_says_what_the_bars_show() -> None:
    env = Environment(loader=PackageLoader("app.web"), autoescape=True, undefined=StrictUndefined)
    chart = bar_chart(
        "Profit by month",
        [Bar("Apr", 124_000, "$1,240.00", "/books/months/2026-04"), Bar("May", -4800, "\u2212$48.00")],
        description="April earned, May lost.",
        say=lambda amount: f"{amount:g}",
    )
    page = str(env.get_template("web/chart.html").module.bar_chart(chart, "profit"))  # type: ignore[attr-defined]
    rows = re.findall(r'<th scope="row">(.*?)</th><td[^>]*>(.*?)</td>', page)
    assert rows == [("Apr", '<a href="/books/months/2026-04">$1,240.00</a>'), ("May", "\u2212$48.00")]
    assert re.findall(r"<title>(.*?)</title></rect>", page) == ["Apr: $1,240.00", "May: \u2212$48.00"]
    assert 'aria-labelledby="profit-title profit-desc"' in page
    assert '<desc id="profit-desc">April earned, May lost.</desc>' in page
    assert "style=" not in page
