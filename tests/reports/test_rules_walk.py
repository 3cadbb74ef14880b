"""The walk: which rows of a piece count in which order, and what it refuses."""

from dataclasses import replace
from datetime import date

import pytest

from app.reports.rules import LedgerError, MovementKind, RowRef, walk
from tests.reports.ledger_book import Book, move

BOUGHT = date(2026, 1, 5)
SALE_DAY = date(2026, 2, 28)
NEXT_DAY = date(2026, 3, 1)


def shown(book: Book) -> list[tuple[str, int]]:
    return [(movement.kind.value, movement.cents) for movement in walk(book.ledger)]


def test_a_sale_takes_every_cost_so_far_out_of_stock_and_names_its_rows() -> None:
    book = Book()
    price = book.cost(BOUGHT, 40_00)
    hardware = book.cost(date(2026, 2, 1), 12_50, "hardware")
    sale = book.sell(SALE_DAY, 180_00)

    sold = walk(book.ledger)[-1]

    assert (sold.kind, sold.on, sold.cents) == (MovementKind.SOLD, SALE_DAY, -52_50)
    assert sold.rows == (price.row, hardware.row)
    assert sold.source == sale


def test_each_kind_of_cost_makes_its_own_kind_of_movement() -> None:
    book, other = Book(), Book("T-2", piece_id=2)
    for kind in ("opening", "price", "premium", "tax", "hardware"):
        book.cost(BOUGHT, 1_00, kind)
    move(book, other, BOUGHT, 25)

    assert [kind for kind, _ in shown(book)] == ["opening", "bought", "bought", "bought", "cost", "moved_out"]
    assert shown(other) == [("moved_in", 25)]


def test_a_cost_on_the_day_of_the_sale_belongs_to_the_sale() -> None:
    book = Book()
    book.cost(BOUGHT, 40_00)
    book.sell(SALE_DAY, 180_00)
    book.cost(SALE_DAY, 5_00, "hardware")

    assert shown(book) == [("bought", 40_00), ("cost", 5_00), ("sold", -45_00)]


def test_a_cost_the_day_after_the_sale_is_a_late_cost_and_leaves_stock_alone() -> None:
    book = Book()
    book.cost(BOUGHT, 40_00)
    book.sell(SALE_DAY, 180_00)
    book.cost(NEXT_DAY, 5_00, "hardware")

    assert shown(book) == [("bought", 40_00), ("sold", -40_00), ("late_cost", 5_00)]
    assert walk(book.ledger)[-1].stock_change == 0


def test_a_return_puts_the_cost_of_its_sale_back_but_not_the_late_costs() -> None:
    book = Book()
    book.cost(BOUGHT, 40_00)
    sale = book.sell(SALE_DAY, 180_00)
    book.cost(NEXT_DAY, 5_00, "hardware")
    book.take_back(sale, date(2026, 3, 10), 180_00)

    assert shown(book)[-1] == ("returned", 40_00)


def test_what_comes_back_comes_before_the_costs_of_its_day() -> None:
    book = Book()
    book.cost(BOUGHT, 40_00)
    sale = book.sell(SALE_DAY, 180_00)
    book.cost(date(2026, 3, 10), 5_00, "hardware")
    book.take_back(sale, date(2026, 3, 10), 180_00)
    book.sell(date(2026, 3, 10), 170_00)

    assert shown(book)[2:] == [("returned", 40_00), ("cost", 5_00), ("sold", -45_00)]


def test_a_sale_and_its_return_on_one_day_follow_their_places_in_the_day() -> None:
    book = Book()
    book.cost(BOUGHT, 40_00)
    sale = book.sell(SALE_DAY, 180_00)
    book.take_back(sale, SALE_DAY, 180_00)
    book.leave(SALE_DAY, "kept")

    assert shown(book)[1:] == [("sold", -40_00), ("returned", 40_00), ("left", -40_00)]


def test_a_resale_costs_what_stands_in_stock_then() -> None:
    book = Book()
    book.cost(BOUGHT, 40_00)
    sale = book.sell(SALE_DAY, 180_00)
    book.cost(NEXT_DAY, 5_00, "late")
    book.take_back(sale, date(2026, 3, 10), 180_00)
    book.cost(date(2026, 3, 12), 9_00, "paint")
    book.sell(date(2026, 4, 1), 160_00)

    assert shown(book)[-1] == ("sold", -49_00)


@pytest.mark.parametrize("how", ["kept", "given_away", "scrapped"])
def test_a_piece_that_left_comes_back_at_the_cost_and_in_the_way_it_left(how: str) -> None:
    book = Book()
    book.cost(BOUGHT, 40_00)
    leaving = book.leave(SALE_DAY, how)
    book.cost(NEXT_DAY, 3_00, "paint")
    book.bring_back(leaving, date(2026, 3, 2))

    assert shown(book)[1:] == [("left", -40_00), ("late_cost", 3_00), ("back", 40_00)]
    assert [movement.how for movement in walk(book.ledger)] == ["", how, "", how]


def test_the_order_in_which_rows_are_handed_over_makes_no_difference() -> None:
    book = Book()
    book.cost(BOUGHT, 40_00)
    book.cost(BOUGHT, 2_00, "premium")
    first = book.sell(SALE_DAY, 180_00)
    book.take_back(first, SALE_DAY, 180_00)
    book.sell(SALE_DAY, 150_00)
    ledger = book.ledger

    backwards = replace(ledger, costs=ledger.costs[::-1], sales=ledger.sales[::-1])

    assert walk(backwards) == walk(ledger)


def test_a_sold_piece_cannot_be_sold_again_before_it_comes_back() -> None:
    book = Book()
    book.sell(SALE_DAY, 180_00)
    book.sell(NEXT_DAY, 190_00)

    with pytest.raises(LedgerError, match="T-1: on 1 March 2026 the piece cannot go: it is not on hand"):
        walk(book.ledger)


def test_a_sold_piece_cannot_leave() -> None:
    book = Book()
    book.sell(SALE_DAY, 180_00)
    book.leave(NEXT_DAY, "scrapped")

    with pytest.raises(LedgerError, match="cannot go"):
        walk(book.ledger)


def test_a_return_of_a_sale_nobody_knows_is_refused() -> None:
    book = Book()
    sale = book.sell(SALE_DAY, 180_00)
    book.take_back(replace(sale, row=RowRef("sale", 999)), NEXT_DAY, 180_00)

    with pytest.raises(LedgerError, match="that is not there"):
        walk(book.ledger)


def test_a_return_dated_before_its_sale_is_refused() -> None:
    book = Book()
    sale = book.sell(SALE_DAY, 180_00)
    book.take_back(sale, BOUGHT, 180_00)

    with pytest.raises(LedgerError, match="cannot come back"):
        walk(book.ledger)


def test_a_sale_cannot_come_back_twice() -> None:
    book = Book()
    sale = book.sell(SALE_DAY, 180_00)
    book.take_back(sale, NEXT_DAY, 180_00)
    book.take_back(sale, date(2026, 3, 2), 180_00)

    with pytest.raises(LedgerError, match="cannot come back"):
        walk(book.ledger)


def test_only_the_sale_that_stands_can_come_back() -> None:
    book = Book()
    first = book.sell(SALE_DAY, 180_00)
    book.take_back(first, NEXT_DAY, 180_00)
    book.sell(date(2026, 3, 2), 170_00)
    book.take_back(first, date(2026, 3, 3), 180_00)

    with pytest.raises(LedgerError, match="did not go that way"):
        walk(book.ledger)


def test_a_way_of_leaving_nobody_knows_is_refused() -> None:
    book = Book()
    book.leave(SALE_DAY, "swapped")

    with pytest.raises(LedgerError, match="not known"):
        walk(book.ledger)
