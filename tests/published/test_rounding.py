"""Rounding half-up, against published rules and examples.

Sources, by test: the whole-dollar rule of the IRS (Publication 17 and the Form 1040 instructions) and its
older wording at https://www.deseretnews.com/article/35413/ROUND-OFF-WHEN-COMPUTING-TAXES.html; Iowa
Department of Revenue, http://www.iowa.gov/tax/1040EI/GenInfo/02Rounding.html; Streamlined Sales and Use
Tax Agreement section 324 with OpenStax, Principles of Accounting volume 1, section 12.1; python/cpython,
Doc/tutorial/stdlib2.rst and Doc/library/decimal.rst;
https://gist.github.com/sailfish009/c4a1987027a98e1110cc195d26e3c136; M. Birgen, The Mathematics of
Democracy, mbirgen/MathofDemocracy, ptx/sec_rounding.ptx.
"""

from decimal import ROUND_HALF_EVEN, Decimal

import pytest

from app.basics.money import half_up, parse_money, percent_of


def cents(amount: str) -> int:
    """Minor units of an amount that may have more than two decimals."""
    return half_up(Decimal(amount) * 100)


@pytest.mark.parametrize(("amount", "whole"), [("1.39", 1), ("2.50", 3), ("19.21", 19), ("19.50", 20)])
def test_whole_dollars_go_up_from_fifty_cents_as_the_irs_rounds(amount: str, whole: int) -> None:
    assert half_up(Decimal(amount)) == whole
    assert half_up(-Decimal(amount)) == -whole


@pytest.mark.parametrize(("amount", "whole"), [("129.49", 129), ("235.50", 236)])
def test_whole_dollars_come_out_as_iowa_prints_them(amount: str, whole: int) -> None:
    assert half_up(Decimal(amount)) == whole


def test_items_are_added_with_their_cents_and_rounded_once_as_iowa_prints_it() -> None:
    items = [parse_money("5,000.55"), parse_money("18,500.73")]

    assert half_up(Decimal(sum(items)) / 100) == 23_501
    assert sum(half_up(Decimal(item) / 100) for item in items) == 23_502


def test_eight_percent_of_fifty_is_the_tax_openstax_prints() -> None:
    assert percent_of(50_00, 8_00) == 4_00


def test_tax_goes_up_when_the_third_decimal_exceeds_four() -> None:
    # The rule is the Agreement's; the two amounts are our own.
    assert percent_of(1_50, 7_00) == 11
    assert percent_of(1_07, 7_00) == 7


def test_seventy_cents_and_five_percent_is_seventy_four_as_the_python_tutorial_prints() -> None:
    assert cents(str(Decimal("0.70") * Decimal("1.05"))) == 74
    assert percent_of(70, 105_00) == 74


@pytest.mark.parametrize(("amount", "rounded"), [("0.125", 13), ("2.675", 268)])
def test_an_exact_half_cent_goes_up_as_printed(amount: str, rounded: int) -> None:
    assert cents(amount) == rounded


@pytest.mark.parametrize(("value", "half_even", "ours"), [("1.5", 2, 2), ("2.5", 2, 3), ("3.5", 4, 4)])
def test_we_part_from_the_decimal_library_only_where_half_even_goes_down(value: str, half_even: int, ours: int) -> None:
    assert int(Decimal(value).quantize(Decimal(1), ROUND_HALF_EVEN)) == half_even
    assert half_up(Decimal(value)) == ours


def test_rounding_late_keeps_what_rounding_early_loses() -> None:
    # The workbook prints both results; 600 is the multiplier that they share.
    assert cents(str(Decimal("141.4869") * 600)) == 84_892_14
    assert cents("141.4869") * 600 == 84_894_00
