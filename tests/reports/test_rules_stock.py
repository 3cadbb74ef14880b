"""The stock at cost: its list, its movement, and the identity between the two routes."""

from datetime import date

import pytest

from app.reports.rules import StockMovement, stock_at_cost, stock_identity, stock_list, stock_movement
from app.reports.rules.stock import stock_of_steps
from app.reports.rules.walk import steps_between
from tests.reports.ledger_book import Book, move

JANUARY = (date(2026, 1, 1), date(2026, 1, 31))
FEBRUARY = (date(2026, 2, 1), date(2026, 2, 28))


def figures(movement: StockMovement) -> dict[str, int]:
    return {line.key: line.cents for line in movement.lines if line.cents}


def busy_shop() -> list[Book]:
    chest, table, mirror = (Book(f"T-{number}", piece_id=number) for number in (1, 2, 3))
    chest.cost(date(2026, 1, 1), 30_00, "opening")
    table.cost(date(2026, 1, 10), 50_00)
    mirror.cost(date(2026, 1, 12), 8_00)
    table.cost(date(2026, 2, 1), 11_00, "paint")
    move(table, mirror, date(2026, 2, 2), 5_00)
    sale = table.sell(date(2026, 2, 10), 150_00)
    table.take_back(sale, date(2026, 2, 15), 150_00)
    mirror.leave(date(2026, 2, 20), "scrapped")
    chest.sell(date(2026, 2, 21), 99_00)
    chest.cost(date(2026, 2, 25), 4_00, "repair")
    return [chest, table, mirror]


def test_the_movement_leads_from_the_opening_to_the_closing_stock() -> None:
    movement = stock_movement([book.ledger for book in busy_shop()], *FEBRUARY)

    assert (movement.opening, movement.closing) == (88_00, 56_00)
    assert figures(movement) == {
        "cost_lines": 11_00,
        "returned": 56_00,
        "sold": -86_00,
        "scrapped": -13_00,
    }
    assert stock_identity(movement) == 0


def test_what_was_owned_when_the_shop_began_is_entered_on_its_own_line() -> None:
    movement = stock_movement([book.ledger for book in busy_shop()], *JANUARY)

    assert (movement.opening, figures(movement), movement.closing) == (
        0,
        {"opening_entered": 30_00, "bought": 58_00},
        88_00,
    )


def test_moves_between_pieces_show_both_sides_and_net_to_zero() -> None:
    line = stock_movement([book.ledger for book in busy_shop()], *FEBRUARY).line("moved")

    assert (line.cents, [part.cents for part in line.parts]) == (0, [-5_00, 5_00])


@pytest.mark.parametrize("how", ["kept", "given_away", "scrapped"])
def test_a_piece_that_left_and_was_brought_back_shows_on_both_lines(how: str) -> None:
    book = Book()
    book.cost(date(2026, 1, 10), 50_00)
    book.bring_back(book.leave(date(2026, 2, 3), how), date(2026, 2, 9))

    movement = stock_movement([book.ledger], *FEBRUARY)

    assert figures(movement) == {how: -50_00, "brought_back": 50_00}
    assert (movement.closing, stock_identity(movement)) == (50_00, 0)


def test_a_movement_that_missed_a_step_does_not_meet_its_closing_stock() -> None:
    ledgers = [book.ledger for book in busy_shop()]
    whole = stock_movement(ledgers, *FEBRUARY)
    without_the_sale = [step for step in steps_between(ledgers, *FEBRUARY) if step.movement.kind != "sold"]

    short = stock_of_steps(without_the_sale, whole.opening, whole.closing, *FEBRUARY)

    assert stock_identity(short) == 86_00


def test_the_stock_list_names_what_is_on_hand_dearest_first() -> None:
    listed = stock_list([book.ledger for book in busy_shop()], date(2026, 2, 9))

    assert [(piece.tag, piece.cents) for piece in listed] == [("T-2", 56_00), ("T-1", 30_00), ("T-3", 13_00)]


def test_a_sold_piece_is_off_the_list_from_the_day_of_its_sale_to_the_day_it_comes_back() -> None:
    ledgers = [book.ledger for book in busy_shop()]

    tags = {day: "T-2" in [piece.tag for piece in stock_list(ledgers, date(2026, 2, day))] for day in (9, 10, 14, 15)}

    assert tags == {9: True, 10: False, 14: False, 15: True}


def test_a_piece_that_cost_nothing_is_listed_once_it_is_sourced() -> None:
    ledger = Book(sourced_on=date(2026, 1, 5)).ledger

    assert stock_list([ledger], date(2026, 1, 4)) == ()
    assert [piece.cents for piece in stock_list([ledger], date(2026, 1, 5))] == [0]


def test_a_late_cost_never_enters_the_stock_even_when_the_piece_comes_back() -> None:
    book = Book()
    book.cost(date(2026, 1, 10), 50_00)
    sale = book.sell(date(2026, 1, 20), 90_00)
    book.cost(date(2026, 1, 25), 4_00, "repair")
    book.take_back(sale, date(2026, 1, 31), 90_00)

    assert stock_at_cost([book.ledger], date(2026, 1, 31)) == 50_00
    assert stock_identity(stock_movement([book.ledger], *JANUARY)) == 0


def test_the_list_adds_up_to_the_stock_at_cost() -> None:
    ledgers = [book.ledger for book in busy_shop()]

    for day in (date(2026, 1, 11), date(2026, 2, 9), date(2026, 2, 28)):
        assert sum(piece.cents for piece in stock_list(ledgers, day)) == stock_at_cost(ledgers, day)
