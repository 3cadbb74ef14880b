"""Ratios are exact, and none is made up where there is nothing to divide by."""

from datetime import date
from fractions import Fraction

from hypothesis import given
from hypothesis import strategies as st

from app.reports.rules.ratios import (
    DEFINITIONS,
    PeriodFigures,
    days_of_stock,
    margin,
    markup,
    mean_stock,
    ratios_of,
    return_on_money,
    return_on_stock,
    sell_through,
    turnover,
)

YEAR = {"first": date(2025, 1, 1), "last": date(2025, 12, 31)}


def test_nothing_to_divide_by_gives_no_ratio() -> None:
    assert margin(0, 10) is None
    assert markup(10, 0) is None
    assert turnover(10, 0) is None
    assert days_of_stock(10, 0, 365) is None
    assert sell_through(0, 0) is None
    assert return_on_money(5, 0) is None
    assert return_on_stock(5, 0) is None
    assert mean_stock([]) is None


def test_a_year_without_anything_has_no_ratio_at_all() -> None:
    empty = PeriodFigures(
        **YEAR, net_receipts=0, cost_of_goods_sold=0, levels=(), here_at_start=0, came=0, sold=0, put_in=0, made=0
    )
    ratios = ratios_of(empty)
    assert all(getattr(ratios, name) is None for name in ratios.__dataclass_fields__)
    assert empty.days == 365


def test_a_year_has_every_ratio() -> None:
    figures = PeriodFigures(
        **YEAR,
        net_receipts=1_000_00,
        cost_of_goods_sold=400_00,
        levels=(100_00, 300_00),
        here_at_start=3,
        came=7,
        sold=5,
        put_in=390_00,
        made=195_00,
    )
    ratios = ratios_of(figures)
    assert ratios.margin == Fraction(60, 100)
    assert ratios.markup == Fraction(150, 100)
    assert ratios.average_stock == 200_00
    assert ratios.turnover == 2
    assert ratios.days == Fraction(365, 2)
    assert ratios.sell_through == Fraction(1, 2)
    assert ratios.on_cash == Fraction(1, 2)
    assert ratios.on_stock == 3
    assert set(DEFINITIONS) == set(ratios.__dataclass_fields__) - {"average_stock"}


@given(st.integers(1, 10**9), st.integers(1, 10**9))
def test_margin_and_markup_tell_the_same_price(receipts: int, cost: int) -> None:
    left, up = margin(receipts, cost), markup(receipts, cost)
    assert left is not None
    assert up is not None
    assert cost * (1 + up) == receipts
    assert receipts * (1 - left) == cost
