"""The estimate of self-employment tax: its floor, its unknown years, its rounding."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from app.reports.rules import SelfEmploymentTax, self_employment_tax
from app.reports.rules.self_employment import DOLLAR


def estimate(profit: int, year: int = 2025, **more: int | bool) -> SelfEmploymentTax:
    found = self_employment_tax(profit, year, **more)  # type: ignore[arg-type]
    assert found is not None
    return found


def test_a_year_whose_wage_base_is_not_known_has_no_estimate() -> None:
    assert self_employment_tax(50_000_00, 2017) is None
    assert self_employment_tax(50_000_00, 2027) is None


def test_below_four_hundred_of_net_earnings_nothing_is_due() -> None:
    # Of 433.13 there remain 399.995..., of 433.14 there remain 400.004...
    assert estimate(433_13).tax == 0
    assert estimate(433_14).tax == 61_20


@pytest.mark.parametrize("profit", [0, -5_000_00])
def test_no_profit_makes_no_tax(profit: int) -> None:
    tax = estimate(profit)

    assert (tax.net_earnings, tax.tax, tax.half, tax.is_below_floor) == (0, 0, 0, True)


def test_wages_above_the_base_leave_the_medicare_part_alone() -> None:
    tax = estimate(50_000_00, other_wages=200_000_00)

    assert (tax.social_security, tax.medicare) == (0, tax.tax)
    assert tax.tax == 1_339_08


def test_half_of_it_is_said_too() -> None:
    assert estimate(65_700_00).half == 4_641_56
    assert estimate(65_700_00, whole_dollars=True).half == 4_642_00


@given(st.integers(-(10**9), 10**10), st.integers(0, 10**10))
def test_dollars_and_cents_differ_by_a_dollar_or_two_at_most_and_parts_add_up(profit: int, wages: int) -> None:
    exact, whole = estimate(profit, other_wages=wages), estimate(profit, other_wages=wages, whole_dollars=True)

    for tax in (exact, whole):
        assert tax.social_security + tax.medicare == tax.tax
        assert 0 <= tax.tax <= max(tax.net_earnings, 0)
    if exact.is_below_floor == whole.is_below_floor:
        assert abs(exact.tax - whole.tax) <= 2 * DOLLAR
