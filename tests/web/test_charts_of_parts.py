"""Twin bars stand where their amounts say; the parts of a whole lie end to end and reach as far as they must."""

import itertools
import re

import pytest
from hypothesis import given
from hypothesis import strategies as st
from jinja2 import Environment, PackageLoader, StrictUndefined

from app.web.charts import Share, Stack, Twin, TwinChart, Whole, stacks, twin_chart

AMOUNTS = st.lists(st.tuples(st.integers(-9_000_000, 9_000_000), st.integers(-9_000_000, 0)), min_size=1, max_size=30)


def twins_of(pairs: list[tuple[int, int]]) -> TwinChart:
    twins = [
        Twin(f"M{place}", pair, (f"{pair[0]} c", f"{pair[1]} c"), sum(pair), f"{sum(pair)} c", f"/m{place}")
        for place, pair in enumerate(pairs)
    ]
    names = ("Brought", "Spent", "Earned")
    return twin_chart("Profit", twins, names=names, description="How it went.", say=lambda amount: f"{amount:g}")


def stack_of(whole: int, *values: int, missing: int = 0) -> Stack:
    shares = [Share(f"k{place}", f"Part {place}", value, f"{value} c") for place, value in enumerate(values)]
    (stack,) = stacks([Whole(whole, shares, missing)])
    assert stack is not None
    return stack


@given(AMOUNTS)
def test_the_mark_stands_at_the_sum_of_both_bars(pairs: list[tuple[int, int]]) -> None:
    chart = twins_of(pairs)
    (zero,) = [level.y for level in chart.grid if level.is_zero]
    for twin, (one, other) in zip(chart.twins, pairs, strict=True):
        signed = [bar.height * (1 if value < 0 else -1) for bar, value in zip(twin.bars, (one, other), strict=True)]
        assert twin.mark == pytest.approx(zero + sum(signed), abs=0.06)
        assert twin.is_loss == (one + other < 0)
        assert 0 <= twin.mark <= chart.height


@given(AMOUNTS)
def test_twins_keep_their_order_and_their_distance(pairs: list[tuple[int, int]]) -> None:
    bars = [bar for twin in twins_of(pairs).twins for bar in twin.bars]
    assert bars[0].left >= 0
    assert bars[-1].left + bars[-1].width <= 100.01
    assert all(one.left + one.width <= other.left + 0.01 for one, other in itertools.pairwise(bars))


def test_a_chart_of_twins_says_in_its_table_what_it_shows_and_needs_no_colour() -> None:
    env = Environment(loader=PackageLoader("app.web"), autoescape=True, undefined=StrictUndefined)
    page = str(env.get_template("web/chart.html").module.twin_chart(twins_of([(900, -200), (-100, -50)]), "p"))  # type: ignore[attr-defined]
    cells = re.findall(r"<td[^>]*>(?:<a [^>]*>)?(.*?)(?:</a>)?</td>", page)
    assert cells == ["900 c", "-200 c", "700 c", "-100 c", "-50 c", "-150 c"]
    assert page.count('fill="url(#hatch-slant)"') == 3
    assert page.count('id="hatch-slant"') == 1
    assert page.count('class="chart-mark"') == 3
    assert "style=" not in page


def test_no_twins_or_only_zeros_make_nothing_to_draw() -> None:
    assert twins_of([(0, 0)]).is_blank
    assert twin_chart("P", [], names=("a", "b", "c"), description="", say=str).is_blank
    assert not twins_of([(0, -1)]).is_blank


def test_parts_that_add_up_to_the_whole_fill_it() -> None:
    stack = stack_of(200, 50, 30, 120)

    assert [(share.left, share.width) for share in stack.shares] == [(0, 25), (25, 15), (40, 60)]
    assert (stack.end, stack.short, stack.is_cut, stack.reach) == (100, None, False, 100)


def test_a_loss_reaches_beyond_the_whole_by_as_much_as_it_is() -> None:
    stack = stack_of(100, 90, 60, -50, missing=50)

    assert stack.end == pytest.approx(100 / 1.5, abs=0.001)
    assert stack.short == pytest.approx(100 / 1.5, abs=0.001)
    assert stack.reach == pytest.approx(100)


def test_what_came_in_besides_reaches_beyond_the_whole_without_a_loss() -> None:
    stack = stack_of(100, 60, -20, 60)

    assert stack.end == pytest.approx(100 / 1.2, abs=0.001)
    assert stack.short is None


def test_a_bar_of_many_times_its_whole_is_cut_and_says_so() -> None:
    stack = stack_of(100, 1_000, -900, missing=900)

    assert (stack.end, stack.is_cut, stack.reach) == (50, True, 100)
    assert stack.short == 50


def test_wholes_of_different_size_are_drawn_equally_long() -> None:
    small = Whole(100, [Share("k", "Part", 100, "100")])
    large = Whole(9_000, [Share("k", "Part", 9_000, "9000"), Share("m", "More", 3_000, "3000")])
    first, second = stacks([small, large])
    assert first is not None
    assert second is not None
    assert first.end == second.end == first.reach


def test_a_whole_of_nothing_has_no_bar() -> None:
    assert stacks([Whole(0, [Share("k", "Part", 5, "5")])]) == [None]
    assert stacks([]) == []


@given(st.integers(1, 10**7), st.lists(st.integers(-(10**7), 10**7), max_size=8))
def test_parts_lie_end_to_end_in_their_order_and_inside_the_page(whole: int, values: list[int]) -> None:
    stack = stack_of(whole, *values, whole - sum(values), missing=max(sum(values) - whole, 0))
    assert 0 < stack.end <= 100
    at = 0.0
    for share in stack.shares:
        assert share.left == pytest.approx(at, abs=0.01)
        at = share.left + share.width
    assert at <= 100.01
    if stack.short is not None:
        assert stack.end - 0.01 <= stack.short <= 100
