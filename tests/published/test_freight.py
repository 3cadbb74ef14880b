"""Freight in belongs to the goods, freight out does not, against a published example.

Source: OpenStax, *Principles of Accounting* Vol. 1 (Financial), sec. 6.5. The profit on the sale (2,580) and the
share of each unit to the cent are our own arithmetic on its figures.
"""

from datetime import date

import pytest

from app.basics.dates import Month
from app.basics.money import split_exactly
from app.reports.rules import (
    TRIP,
    PieceLedger,
    month_profit,
    piece_profit,
    stock_at_cost,
    stock_identity,
    stock_movement,
)
from tests.reports.ledger_book import Book

MARCH = Month(2026, 3)
BOUGHT = date(2026, 3, 2)


def brought_home(fetched_as: str) -> list[PieceLedger]:
    """Thirty units at 80, and 1,000 to bring them in, shared over the thirty."""
    ledgers = []
    for number, share in enumerate(split_exactly(1_000_00, [1] * 30), start=1):
        book = Book(f"T-{number}", BOUGHT, piece_id=number)
        book.cost(BOUGHT, 80_00)
        book.cost(BOUGHT, share, fetched_as)
        ledgers.append(book.ledger)
    return ledgers


@pytest.mark.parametrize("fetched_as", ["pick-up", TRIP])
def test_bringing_goods_in_raises_their_cost_to_the_published_stock(fetched_as: str) -> None:
    """Paid to somebody as a cost line, or a trip of one's own at actual cost: the goods cost the same."""
    ledgers = brought_home(fetched_as)

    assert stock_at_cost(ledgers, MARCH.last) == 3_400_00
    assert sorted(stock_at_cost([ledger], MARCH.last) for ledger in ledgers) == [113_33] * 20 + [113_34] * 10
    assert month_profit(ledgers, [], MARCH).profit == 0


def delivered() -> list[PieceLedger]:
    """Thirty units that cost 60 sell at 150; the seller pays 120, 4 for each, to deliver them."""
    ledgers = []
    for number in range(1, 31):
        book = Book(f"T-{number}", BOUGHT, piece_id=number)
        book.cost(BOUGHT, 60_00)
        book.sell(date(2026, 3, 9), 150_00, delivery=(0, 4_00))
        ledgers.append(book.ledger)
    return ledgers


def test_delivering_to_the_buyer_is_a_selling_cost_and_no_cost_of_the_goods() -> None:
    profit = month_profit(delivered(), [], MARCH)

    assert profit.line("sales").cents == 4_500_00
    assert profit.line("cost_of_goods_sold").cents == -1_800_00
    assert profit.line("delivery_paid").cents == -120_00
    assert (profit.gross_profit, profit.profit) == (2_700_00, 2_580_00)
    assert sum(piece_profit(ledger).realised for ledger in delivered()) == 2_580_00


def test_what_was_delivered_left_stock_without_the_delivery() -> None:
    movement = stock_movement(delivered(), MARCH.first, MARCH.last)

    assert (movement.line("sold").cents, movement.closing, stock_identity(movement)) == (-1_800_00, 0, 0)
