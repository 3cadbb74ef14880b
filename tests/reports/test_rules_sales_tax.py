"""The sums of the sales tax and the threshold of a channel's statement."""

from datetime import date

import pytest

from app.reports.rules.sales_tax import (
    NO_REASON,
    Taxed,
    TaxEntry,
    by_place_and_quarter,
    quarter_of,
    tax_sum,
    taxed_how,
)
from app.reports.rules.statements import ChannelYear, Statement, is_over_threshold


def an_entry(on: date, taxed: Taxed = Taxed.BY_SHOP, place: int | None = 1, reason: str = "", **cents: int) -> TaxEntry:
    return TaxEntry("sale", 1, 1, "A1", "Chest", on, place, taxed, reason, **cents)


@pytest.mark.parametrize(("month", "quarter"), [(1, 1), (3, 1), (4, 2), (6, 2), (7, 3), (9, 3), (10, 4), (12, 4)])
def test_a_quarter_is_three_months(month: int, quarter: int) -> None:
    assert quarter_of(date(2026, month, 28)) == quarter


def test_who_collected_any_tax_says_how_a_sale_stands_to_it() -> None:
    assert taxed_how(5, 0) is Taxed.BY_SHOP
    assert taxed_how(0, 5) is Taxed.BY_CHANNEL
    assert taxed_how(0, 0) is Taxed.NOT


def test_gross_is_made_of_taxed_untaxed_and_collected_by_the_channel() -> None:
    day = date(2026, 5, 5)
    sums = tax_sum(
        [
            an_entry(day, gross=100_00, tax=8_00),
            an_entry(day, Taxed.BY_CHANNEL, gross=60_00, channel_tax=4_80),
            an_entry(day, Taxed.NOT, reason="for resale", gross=30_00),
            an_entry(day, Taxed.NOT, gross=20_00),
            an_entry(day, given_back=25_00, tax_back=2_00),
        ]
    )

    assert sums.gross == sums.by_shop + sums.by_channel + sums.not_taxed == 210_00
    assert (sums.taxable, sums.owed, sums.channel_tax) == (75_00, 6_00, 4_80)
    assert sums.reasons == (("for resale", 30_00), (NO_REASON, 20_00))


def test_places_stand_by_name_within_each_quarter_and_those_without_one_last() -> None:
    entries = [
        an_entry(date(2026, 2, 1), place=None, gross=1),
        an_entry(date(2026, 2, 1), place=2, gross=2),
        an_entry(date(2026, 2, 1), place=1, gross=3),
        an_entry(date(2026, 12, 1), place=2, gross=4),
    ]

    found = by_place_and_quarter(entries, {1: "West", 2: "East"}, "Nowhere")

    assert [(one.quarter, one.place, one.sum.gross) for one in found] == [
        (1, "East", 2),
        (1, "West", 3),
        (1, "Nowhere", 1),
        (4, "East", 4),
    ]


@pytest.mark.parametrize(
    ("gross", "payments"),
    [(20_000_00, 201), (20_000_01, 200), (20_000_00, 200)],
)
def test_one_threshold_alone_is_not_enough(gross: int, payments: int) -> None:
    assert not is_over_threshold(gross, payments)


def test_both_thresholds_passed_are() -> None:
    assert is_over_threshold(20_000_01, 201)


def test_the_difference_is_the_statement_less_the_books_and_may_be_just_the_tax_it_collected() -> None:
    told = (1, "Fair", 3, 100_00, 10_00, 0, 8_00, 0)

    assert ChannelYear(*told, None).difference is None
    assert ChannelYear(*told, Statement(118_00, "", 1)).difference == 0
    assert ChannelYear(*told, Statement(110_00, "", 1)).is_explained_by_tax
    assert not ChannelYear(*told, Statement(111_00, "", 1)).is_explained_by_tax
