"""Cost of goods sold by specific identification, against published lots.

Source: OpenStax, *Principles of Accounting* Vol. 1 (Financial), Rice University: sec. 10.3 with the data of
sec. 10.2 (lots and named units), sec. 10.1 (one unit out of several lots), sec. 10.4 and sec. 10.5 (a closing
stock miscounted in one of two years). Whole units there are whole units of currency here.
"""

from datetime import date

import pytest

from app.basics.dates import Month
from app.reports.rules import (
    PieceLedger,
    month_profit,
    period_profit,
    piece_profit,
    stock_identity,
    stock_movement,
)
from tests.reports.ledger_book import Book, move, shop_cost

JULY = Month(2026, 7)
LOTS = [(150, date(2026, 7, 1), 21_00, "opening"), (225, date(2026, 7, 10), 27_00, "price")]
LAST_LOT = (210, date(2026, 7, 25), 33_00, "price")


def month_of_named_units() -> list[PieceLedger]:
    """Every unit is a piece: 120 of the first lot sell on the 5th, 20 more and 160 of the second on the 15th."""
    books: list[Book] = []
    for lot, (count, on, cents, kind) in enumerate([*LOTS, LAST_LOT]):
        for number in range(count):
            book = Book(f"L{lot}-{number}", on, piece_id=len(books) + 1)
            book.cost(on, cents, kind)
            books.append(book)
    for book in books[:120]:
        book.sell(date(2026, 7, 5), 36_00)
    for book in [*books[120:140], *books[150:310]]:
        book.sell(date(2026, 7, 15), 39_00)
    return [book.ledger for book in books]


def test_the_month_of_named_units_has_the_published_cost_sales_and_margin() -> None:
    profit = month_profit(month_of_named_units(), [], JULY)

    assert profit.line("cost_of_goods_sold").cents == -7_260_00
    assert profit.line("sales").cents == 11_340_00
    assert profit.gross_profit == profit.profit == 4_080_00
    assert profit.sold_count == 300


def test_the_two_days_of_sales_cost_what_is_published() -> None:
    sales = month_profit(month_of_named_units(), [], JULY).sales

    by_day = {day: sum(sale.cost_of_goods_sold for sale in sales if sale.on.day == day) for day in (5, 15)}
    assert by_day == {5: 2_520_00, 15: 4_740_00}


def test_the_stock_of_named_units_ends_as_published_and_nothing_is_lost() -> None:
    movement = stock_movement(month_of_named_units(), JULY.first, JULY.last)

    assert movement.line("opening_entered").cents + movement.line("bought").cents == 16_155_00
    assert movement.line("bought").cents == 13_005_00
    assert movement.closing == 8_895_00
    assert -movement.line("sold").cents + movement.closing == 16_155_00
    assert stock_identity(movement) == 0


@pytest.mark.parametrize(("cost", "margin"), [(21_00, 15_00), (27_00, 9_00), (33_00, 3_00)])
def test_which_unit_was_sold_and_nothing_else_decides_the_margin(cost: int, margin: int) -> None:
    books: dict[int, Book] = {}
    for number, cents in enumerate((21_00, 27_00, 33_00)):
        books[cents] = Book(f"L{number}", piece_id=number)
        books[cents].cost(date(2026, 7, 1), cents)
    books[cost].sell(date(2026, 7, 9), 36_00)
    ledgers = [book.ledger for book in books.values()]

    assert month_profit(ledgers, [], JULY).gross_profit == margin
    assert piece_profit(books[cost].ledger).profit == margin


def two_years(misplaced: int) -> list[PieceLedger]:
    """Goods sold in the first year, in the second, and still there; `misplaced` cost sits on the first.

    Bought in the second year: 9,851 closing + 7,920 sold - 8,955 opening = 8,816, our own arithmetic.
    """
    first, second, left = (Book(f"Y{number}", date(2025, 1, 1), piece_id=number) for number in (1, 2, 3))
    first.cost(date(2025, 1, 1), 7_200_00)
    second.cost(date(2025, 6, 1), 7_920_00)
    left.cost(date(2025, 7, 1), 1_035_00)
    left.cost(date(2026, 3, 1), 8_816_00)
    if misplaced:
        move(second, first, date(2025, 8, 1), misplaced)
    first.sell(date(2025, 10, 1), 11_340_00)
    second.sell(date(2026, 10, 1), 12_474_00)
    return [book.ledger for book in (first, second, left)]


@pytest.mark.parametrize(
    ("misplaced", "closing", "margins", "nets"),
    [
        (0, 8_955_00, (4_140_00, 4_554_00), (1_140_00, 1_554_00)),
        (1_500_00, 7_455_00, (2_640_00, 6_054_00), (-360_00, 3_054_00)),
    ],
)
def test_a_closing_stock_put_wrong_swings_two_years_and_cancels(
    misplaced: int, closing: int, margins: tuple[int, int], nets: tuple[int, int]
) -> None:
    ledgers = two_years(misplaced)
    expenses = [shop_cost(number, date(year, 5, 1), 3_000_00) for number, year in enumerate((2025, 2026))]
    years = [period_profit(ledgers, expenses, date(year, 1, 1), date(year, 12, 31)) for year in (2025, 2026)]

    assert stock_movement(ledgers, date(2025, 1, 1), date(2025, 12, 31)).closing == closing
    assert tuple(year.gross_profit for year in years) == margins
    assert tuple(year.profit for year in years) == nets
    assert sum(year.profit for year in years) == 2_694_00
