"""Days to sale from few sales, the unsold named beside them, and what has sat too long."""

from datetime import date, timedelta
from fractions import Fraction

import pytest

from app.reports.rules import UNSOLD_NOTE, ListedPiece, days_to_sale, sitting_too_long
from tests.reports.ledger_book import Book

START = date(2026, 1, 1)
TODAY = date(2026, 6, 30)


def sold_after(number: int, days: int) -> Book:
    book = Book(f"T-{number}", START, piece_id=number, listed_on=START + timedelta(days=1))
    book.sell(START + timedelta(days=days), 100_00)
    return book


@pytest.mark.parametrize(
    ("days", "median"),
    [([10, 3, 40], Fraction(10)), ([10, 3, 40, 15], Fraction(25, 2)), ([7], Fraction(7))],
)
def test_the_median_is_exact_for_odd_and_even_counts(days: list[int], median: Fraction) -> None:
    ledgers = [sold_after(number, each).ledger for number, each in enumerate(days)]

    spread = days_to_sale(ledgers, TODAY).from_sourced

    assert (spread.median, spread.shortest, spread.longest) == (median, min(days), max(days))
    assert spread.sold_count == len(days)


def test_listing_has_its_own_days() -> None:
    days = days_to_sale([sold_after(1, 10).ledger], TODAY)

    assert days.from_sourced.median == Fraction(10)
    assert days.from_listed.median == Fraction(9)


def test_a_piece_sold_without_being_listed_counts_from_its_sourcing_only() -> None:
    book = Book(sourced_on=START)
    book.sell(date(2026, 1, 8), 40_00)

    days = days_to_sale([book.ledger], TODAY)

    assert (days.from_sourced.sold_count, days.from_listed.sold_count) == (1, 0)


def test_fewer_than_three_sales_are_not_enough_yet() -> None:
    ledgers = [sold_after(number, 10).ledger for number in range(3)]

    assert days_to_sale(ledgers[:2], TODAY).from_sourced.not_enough_yet
    assert not days_to_sale(ledgers, TODAY).from_sourced.not_enough_yet


def test_nothing_sold_has_no_median_and_no_range() -> None:
    spread = days_to_sale([], TODAY).from_sourced

    assert (spread.median, spread.shortest, spread.longest, spread.not_enough_yet) == (None, None, None, True)


def test_the_unsold_are_named_with_their_days_so_far_and_kept_out_of_the_median() -> None:
    slow = Book("T-9", date(2026, 1, 1), piece_id=9)
    slower = Book("T-8", date(2025, 12, 1), piece_id=8)

    spread = days_to_sale([slow.ledger, slower.ledger, sold_after(1, 10).ledger], TODAY).from_sourced

    assert [(piece.tag, piece.days) for piece in spread.unsold] == [("T-8", 211), ("T-9", 180)]
    assert spread.median == Fraction(10)
    assert spread.sold_count == 1
    assert "longer" in UNSOLD_NOTE


def test_looked_at_on_an_earlier_day_nothing_found_or_listed_since_is_in_it() -> None:
    ledger = sold_after(1, 10).ledger

    before_it_was_found = days_to_sale([ledger], START - timedelta(days=1))
    before_it_was_listed = days_to_sale([ledger], START)

    assert before_it_was_found.from_sourced.unsold == before_it_was_found.from_listed.unsold == ()
    assert (before_it_was_listed.from_sourced.unsold_count, before_it_was_listed.from_listed.unsold) == (1, ())


def test_a_returned_piece_is_unsold_again() -> None:
    book = sold_after(1, 10)
    book.take_back(book.ledger.sales[0], date(2026, 2, 1), 100_00)

    spread = days_to_sale([book.ledger], TODAY).from_sourced

    assert (spread.sold, [piece.days for piece in spread.unsold]) == ((), [180])


def test_a_resold_piece_counts_to_the_sale_that_stands() -> None:
    book = sold_after(1, 10)
    book.take_back(book.ledger.sales[0], date(2026, 2, 1), 100_00)
    book.sell(date(2026, 3, 2), 90_00)

    assert days_to_sale([book.ledger], TODAY).from_sourced.median == 60


@pytest.mark.parametrize("how", ["kept", "given_away", "scrapped"])
def test_a_piece_that_left_is_neither_sold_nor_unsold(how: str) -> None:
    book = Book()
    book.leave(date(2026, 2, 1), how)

    spread = days_to_sale([book.ledger], TODAY).from_sourced

    assert (spread.sold, spread.unsold) == ((), ())


def test_what_was_for_sale_for_as_many_days_as_the_threshold_sits_too_long_longest_first() -> None:
    listed = [
        ListedPiece(tag, f"Piece {tag}", TODAY - timedelta(days=days), 100_00)
        for tag, days in [("T-1", 59), ("T-2", 60), ("T-3", 200), ("T-4", 60)]
    ]

    sitting = sitting_too_long(listed, 60, TODAY)

    assert [(each.piece.tag, each.days) for each in sitting] == [("T-3", 200), ("T-2", 60), ("T-4", 60)]
