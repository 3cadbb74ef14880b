"""What an hour earned: per piece, per month of sale, and over all."""

from datetime import date

from app.basics.dates import Month
from app.reports.rules import HOURS_NOTE, return_on_time
from tests.reports.ledger_book import Book


def sold(number: int, on: date, profit: int, minutes: int) -> Book:
    book = Book(f"T-{number}", piece_id=number)
    book.sell(on, profit)
    if minutes:
        book.work(date(2026, 1, 10), minutes)
    return book


def test_a_month_is_its_sold_pieces_profit_over_all_the_time_ever_logged_on_them() -> None:
    books = [
        sold(1, date(2026, 2, 3), 100_00, 120),
        sold(2, date(2026, 2, 27), 20_00, 60),
        sold(3, date(2026, 3, 1), 90_00, 60),
    ]

    returned = return_on_time(book.ledger for book in books)

    assert [(each.month, each.rate.per_hour_cents) for each in returned.months] == [
        (Month(2026, 2), 40_00),
        (Month(2026, 3), 90_00),
    ]
    assert (returned.together.profit_cents, returned.together.minutes) == (210_00, 240)
    assert returned.together.per_hour_cents == 52_50


def test_pieces_come_best_paid_hour_first_and_those_without_time_last() -> None:
    day = date(2026, 2, 3)
    books = [sold(1, day, 10_00, 60), sold(2, day, 500_00, 0), sold(3, day, 30_00, 60)]

    returned = return_on_time(book.ledger for book in books)

    assert [(each.tag, each.per_hour_cents) for each in returned.pieces] == [
        ("T-3", 30_00),
        ("T-1", 10_00),
        ("T-2", None),
    ]


def test_a_piece_without_time_cannot_lift_the_rate_of_the_others() -> None:
    day = date(2026, 2, 3)

    rate = return_on_time([sold(1, day, 10_00, 60).ledger, sold(2, day, 500_00, 0).ledger]).together

    assert (rate.per_hour_cents, rate.timed_count, rate.untimed_count) == (10_00, 1, 1)
    assert "left out" in HOURS_NOTE


def test_no_time_at_all_gives_no_rate() -> None:
    returned = return_on_time([sold(1, date(2026, 2, 3), 10_00, 0).ledger])

    assert (returned.together.per_hour_cents, returned.months[0].rate.per_hour_cents) == (None, None)


def test_only_a_sale_that_stands_counts() -> None:
    came_back = sold(1, date(2026, 2, 3), 100_00, 60)
    came_back.take_back(came_back.ledger.sales[0], date(2026, 2, 9), 100_00)
    kept = Book("T-2", piece_id=2)
    kept.work(date(2026, 1, 10), 60)
    kept.leave(date(2026, 2, 3), "kept")

    returned = return_on_time([came_back.ledger, kept.ledger])

    assert (returned.pieces, returned.months) == ((), ())


def test_a_resold_piece_counts_in_the_month_of_the_sale_that_stands() -> None:
    book = sold(1, date(2026, 2, 3), 100_00, 60)
    book.take_back(book.ledger.sales[0], date(2026, 2, 9), 100_00)
    book.sell(date(2026, 4, 1), 80_00)

    returned = return_on_time([book.ledger])

    assert [(each.month, each.rate.per_hour_cents) for each in returned.months] == [(Month(2026, 4), 80_00)]
