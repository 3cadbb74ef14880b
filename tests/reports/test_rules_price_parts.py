"""The parts of a sale price always add up to it, and each rung of the ladder lies in one of them."""

from datetime import date, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from app.reports.rules import (
    PART_WORDS,
    PREMIUM,
    PRICE,
    TAX,
    PieceProfit,
    PriceParts,
    Term,
    piece_profit,
    price_parts,
)
from tests.reports.ledger_book import Book, move

MARCH = date(2026, 3, 2)
APRIL = date(2026, 4, 11)
KINDS = [
    PRICE,
    PREMIUM,
    TAX,
    "opening",
    "moved",
    "shelf",
    "parts_off",
    "trip_cost",
    "adjusted",
    "materials",
    "hardware",
    "repair",
]
RUNGS = [
    *("delivery_charged", "refunds", "fees", "fees_back", "delivery_paid", "delivery_back", "trips", "corrected"),
    *("deposits_kept", "price", "shelf", "cost:materials", "cost:anything", "something new"),
]


def parts_of(book: Book) -> PriceParts:
    found = price_parts(piece_profit(book.ledger))
    assert found is not None
    return found


def amounts(parts: PriceParts) -> dict[str, int]:
    return {part.key: part.cents for part in parts.parts if part.cents}


def test_a_price_is_cut_into_what_it_paid_for_and_what_is_left() -> None:
    book = Book()
    for cents, kind in (
        (4_000, PRICE),
        (500, PREMIUM),
        (320, TAX),
        (1_250, "materials"),
        (830, "hardware"),
        (530, "repair"),
    ):
        book.cost(MARCH, cents, kind)
    book.sell(APRIL, 21_000, delivery=(0, 1_800), fees=630)

    parts = parts_of(book)

    assert parts.price == 21_000
    expected = {"bought": 4_820, "materials": 2_080, "other": 530, "fees": 630, "delivery": 1_800, "left": 11_140}
    assert amounts(parts) == expected
    assert [part.key for part in parts.parts] == list(PART_WORDS)


def test_a_loss_is_what_the_price_did_not_pay_for() -> None:
    book = Book()
    book.cost(MARCH, 9_000)
    book.sell(APRIL, 5_000)

    assert amounts(parts_of(book)) == {"bought": 9_000, "left": -4_000}


def test_delivery_is_what_was_paid_beyond_what_was_charged_for_it() -> None:
    book = Book()
    book.sell(APRIL, 5_000, delivery=(2_500, 1_800))

    assert amounts(parts_of(book)) == {"delivery": -700, "left": 5_700}


def test_a_piece_sold_again_shows_both_prices_and_what_was_given_back() -> None:
    book = Book()
    book.cost(MARCH, 2_000)
    first = book.sell(APRIL, 9_000, fees=270)
    book.take_back(first, APRIL + timedelta(days=7), 9_000, fees=150)
    book.sell(APRIL + timedelta(days=30), 8_000)

    parts = parts_of(book)

    assert parts.price == 17_000
    assert amounts(parts) == {"bought": 2_000, "fees": 120, "given_back": 9_000, "left": 5_880}


def test_cost_moved_from_another_piece_was_bought_with_it() -> None:
    giver, taker = Book("T-1", piece_id=1), Book("T-2", piece_id=2)
    giver.cost(MARCH, 6_000)
    move(giver, taker, MARCH, 2_500)
    taker.sell(APRIL, 5_000)

    assert amounts(parts_of(taker)) == {"bought": 2_500, "left": 2_500}


def test_what_is_not_sold_has_no_price_to_cut() -> None:
    here, kept, back = Book(), Book(), Book()
    here.cost(MARCH, 100)
    kept.leave(APRIL, "kept")
    back.take_back(back.sell(APRIL, 5_000), APRIL, 5_000)

    assert [price_parts(piece_profit(book.ledger)) for book in (here, kept, back)] == [None, None, None]


@given(
    st.lists(st.tuples(st.sampled_from(KINDS), st.integers(-5_000, 50_000))),
    st.integers(0, 100_000),
    st.tuples(*[st.integers(0, 5_000)] * 4),
    st.lists(st.tuples(st.integers(0, 60), st.integers(1, 9_000))),
)
def test_the_parts_add_up_to_the_price_to_the_cent(
    costs: list[tuple[str, int]], price: int, sale: tuple[int, ...], late: list[tuple[int, int]]
) -> None:
    book = Book()
    for kind, cents in costs:
        book.cost(MARCH, cents, kind)
    charged, paid, fees, tax = sale
    book.sell(APRIL, price, delivery=(charged, paid), fees=fees, tax=tax)
    for days, cents in late:
        book.cost(APRIL + timedelta(days=days), cents, "repair")

    parts = parts_of(book)

    assert sum(part.cents for part in parts.parts) == parts.price == price
    assert parts.left == piece_profit(book.ledger).profit


@given(st.lists(st.tuples(st.sampled_from(RUNGS), st.integers(-9_000, 9_000))), st.integers(0, 50_000))
def test_no_rung_is_left_out_whatever_it_is_called(rungs: list[tuple[str, int]], price: int) -> None:
    terms = (Term("sales", "Sale price", price, (), ()), *(Term(key, key, cents, (), ()) for key, cents in rungs))
    profit = sum(term.cents for term in terms)
    parts = price_parts(PieceProfit(1, "T", "T", "sold", terms, 0, 0, profit, profit, 0))

    assert parts is not None
    assert sum(part.cents for part in parts.parts) == price
    assert parts.left == profit


@pytest.mark.parametrize("key", ["bought", "left"])
def test_a_part_is_found_by_its_key(key: str) -> None:
    book = Book()
    book.cost(MARCH, 100)
    book.sell(APRIL, 200)
    assert parts_of(book).cents(key) == 100
