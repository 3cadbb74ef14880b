"""Write-downs: what a piece will bring, what must change, and when one ends."""

from datetime import date

import pytest
from hypothesis import given
from hypothesis import strategies as st

from app.reports.rules import RowRef, WriteDownRow, net_realisable, stock_of_piece, write_down_needed
from app.reports.rules.writing_down import Valuation, change_needed, valued
from tests.reports.ledger_book import Book

YEAR_END = date(2026, 12, 31)
CENTS = st.integers(0, 10**7)


def a_row(number: int, on: date, cents: int, net: int) -> WriteDownRow:
    return WriteDownRow(RowRef("write_down", number), 1, on, cents, net)


def value_of(book: Book, rows: list[WriteDownRow], day: date) -> Valuation:
    return valued(book.ledger, rows, stock_of_piece(book.ledger, day), day)


def test_what_a_piece_will_bring_is_its_price_less_finishing_and_selling() -> None:
    assert net_realisable(80_00, 15_00, 5_00) == 60_00
    assert net_realisable(10_00, 15_00) == -5_00


def test_no_amount_of_it_may_be_below_zero() -> None:
    for amounts in ((-1, 0, 0), (1, -1, 0), (1, 0, -1)):
        with pytest.raises(ValueError, match="never below zero"):
            net_realisable(*amounts)


def test_nothing_is_written_down_by_more_than_it_cost() -> None:
    assert write_down_needed(30_00, -5_00) == 30_00
    assert write_down_needed(-1_00, 0) == 0


@given(CENTS, CENTS, CENTS, CENTS)
def test_a_piece_goes_down_and_up_but_never_above_its_cost(cost: int, first: int, second: int, third: int) -> None:
    written = 0
    for net in (first, second, third):
        written += change_needed(cost, net, written)
        assert cost - written == min(cost, net)
        assert written >= 0


def test_a_reversal_gives_back_what_was_written_down_and_no_more() -> None:
    assert change_needed(50_00, 900_00, 20_00) == -20_00


def test_a_write_down_ends_when_the_piece_goes_and_does_not_come_back_with_it() -> None:
    book = Book()
    book.cost(date(2026, 1, 10), 50_00)
    rows = [a_row(1, date(2026, 2, 1), 30_00, 20_00)]
    sale = book.sell(date(2026, 3, 1), 25_00)
    book.take_back(sale, date(2026, 4, 1), 25_00)

    assert value_of(book, rows, date(2026, 1, 31)) == Valuation(50_00, 0, None)
    assert value_of(book, rows, date(2026, 2, 28)) == Valuation(50_00, 30_00, 20_00)
    assert value_of(book, rows, date(2026, 3, 15)) == Valuation(0, 0, None)
    assert value_of(book, rows, date(2026, 4, 1)) == Valuation(50_00, 0, None)


def test_a_piece_that_left_and_was_brought_back_stands_at_cost_again() -> None:
    book = Book()
    book.cost(date(2026, 1, 10), 50_00)
    book.bring_back(book.leave(date(2026, 3, 1), "kept"), date(2026, 5, 1))
    rows = [a_row(1, date(2026, 2, 1), 30_00, 20_00), a_row(2, date(2026, 6, 1), 10_00, 40_00)]

    assert value_of(book, rows, YEAR_END) == Valuation(50_00, 10_00, 40_00)


def test_a_later_cost_on_a_piece_written_down_asks_for_another_look() -> None:
    book = Book()
    book.cost(date(2026, 1, 10), 50_00)
    rows = [a_row(1, date(2026, 2, 1), 30_00, 20_00)]
    book.cost(date(2026, 7, 1), 8_00, "materials")

    value = value_of(book, rows, YEAR_END)

    assert (value.lower, value.change) == (28_00, 8_00)
