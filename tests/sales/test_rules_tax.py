"""Which rate holds, what is worked out and what stands as typed, and who collects it."""

from datetime import date

import pytest
from hypothesis import given
from hypothesis import strategies as st

from app.basics.errors import RuleError
from app.sales.rules import (
    DatedRate,
    PlaceOfTax,
    TaxBasis,
    TaxBy,
    TaxOfSale,
    TaxSaid,
    rate_on,
    tax_of_items,
    tax_of_sale,
)

DAY = date(2026, 11, 20)
PLACE = PlaceOfTax(3, "Ottermarch", 82_500, TaxBasis.INVOICE)
NO_RATE = PlaceOfTax(3, "Ottermarch", None, TaxBasis.INVOICE)


def test_the_newest_rate_that_has_begun_holds() -> None:
    rates = [DatedRate(date(2026, 7, 1), 82_500), DatedRate(date(2026, 1, 1), 80_000)]
    days = (date(2025, 12, 31), date(2026, 1, 1), date(2026, 6, 30), date(2026, 7, 1))
    assert [rate_on(day, rates) for day in days] == [None, 80_000, 80_000, 82_500]


def test_an_empty_box_is_worked_out_at_the_rate_of_the_place() -> None:
    kept = tax_of_sale(TaxSaid(TaxBy.SHOP, PLACE), 240_00, 25_00, DAY)
    assert kept == TaxOfSale(21_86, 0, 3, 82_500, TaxBasis.INVOICE, "", is_worked_out=True)


def test_what_is_typed_stands_as_typed() -> None:
    kept = tax_of_sale(TaxSaid(TaxBy.SHOP, PLACE, typed_cents=19_80), 240_00, 25_00, DAY)
    assert (kept.tax_cents, kept.rate_ppm, kept.is_worked_out) == (19_80, 82_500, False)
    assert tax_of_sale(TaxSaid(TaxBy.SHOP, PLACE, typed_cents=0), 240_00, 0, DAY).tax_cents == 0


def test_tax_the_channel_collects_is_never_the_shops() -> None:
    kept = tax_of_sale(TaxSaid(TaxBy.CHANNEL, PLACE), 100_00, 0, DAY)
    assert (kept.tax_cents, kept.channel_tax_cents) == (0, 8_25)


def test_nobody_collects_and_the_reason_stays() -> None:
    kept = tax_of_sale(TaxSaid(TaxBy.NOBODY, PLACE, untaxed_reason="resale certificate"), 100_00, 0, DAY)
    assert kept == TaxOfSale(place_id=3, untaxed_reason="resale certificate")


def test_without_a_place_it_is_what_was_typed() -> None:
    assert tax_of_sale(TaxSaid(TaxBy.SHOP, None, typed_cents=1_98), 24_00, 0, DAY) == TaxOfSale(1_98)
    assert tax_of_sale(TaxSaid(TaxBy.SHOP, None), 24_00, 0, DAY) == TaxOfSale()


@pytest.mark.parametrize(
    ("said", "field", "words"),
    [
        (TaxSaid(TaxBy.SHOP, NO_RATE), "tax_place", "no rate for Ottermarch on 20 November 2026"),
        (TaxSaid(TaxBy.NOBODY, PLACE, typed_cents=1), "tax", "Nobody collects it"),
        (TaxSaid(TaxBy.SHOP, PLACE, untaxed_reason="exempt"), "untaxed_reason", "yet it is collected"),
        (TaxSaid(TaxBy.CHANNEL, None), "tax", "Choose the place, or type"),
    ],
)
def test_what_contradicts_itself_is_refused_at_its_field(said: TaxSaid, field: str, words: str) -> None:
    with pytest.raises(RuleError, match=words) as refusal:
        tax_of_sale(said, 240_00, 0, DAY)
    assert refusal.value.field == field


def test_a_place_without_a_rate_takes_what_is_typed() -> None:
    kept = tax_of_sale(TaxSaid(TaxBy.SHOP, NO_RATE, typed_cents=5_00), 240_00, 0, DAY)
    assert kept == TaxOfSale(5_00, place_id=3)


@pytest.mark.parametrize(("items", "rate"), [([-1], 1), ([1], -1), ([1], 1_000_001)])
def test_tax_of_what_cannot_be_is_refused(items: list[int], rate: int) -> None:
    with pytest.raises(ValueError, match="Tax is worked out"):
        tax_of_items(items, rate, TaxBasis.ITEM)


@given(st.lists(st.integers(0, 10**7), max_size=8), st.integers(0, 1_000_000))
def test_the_two_bases_differ_by_less_than_a_cent_an_item(items: list[int], rate: int) -> None:
    by_item, as_whole = (tax_of_items(items, rate, basis) for basis in TaxBasis)
    assert abs(by_item - as_whole) <= len(items)
    assert 0 <= as_whole <= sum(items)
