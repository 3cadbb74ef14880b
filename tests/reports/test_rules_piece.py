"""One piece: the ladder from price to profit, what it earned per hour and on the cash put in."""

from datetime import date
from fractions import Fraction

import pytest

from app.reports.rules import PieceProfit, piece_profit
from tests.reports.ledger_book import Book, move

BOUGHT = date(2026, 1, 5)
SOLD_ON = date(2026, 3, 20)


def ladder(profit: PieceProfit) -> dict[str, int]:
    return {term.key: term.cents for term in profit.terms}


def finished_chest() -> Book:
    book = Book()
    book.cost(BOUGHT, 60_00, "price")
    book.cost(BOUGHT, 6_00, "premium")
    book.cost(BOUGHT, 3_96, "tax")
    book.cost(date(2026, 2, 1), 14_00, "hardware")
    book.cost(date(2026, 2, 8), 4_50, "hardware")
    book.cost(date(2026, 2, 9), 21_00, "paint")
    return book


def test_a_sold_piece_shows_every_rung_and_their_sum_is_its_profit() -> None:
    book = finished_chest()
    book.sell(SOLD_ON, 320_00, delivery=(25_00, 18_00), fees=16_00, tax=22_40)

    profit = piece_profit(book.ledger)

    assert ladder(profit) == {
        "sales": 320_00,
        "delivery_charged": 25_00,
        "price": -60_00,
        "premium": -6_00,
        "tax": -3_96,
        "cost:hardware": -18_50,
        "cost:paint": -21_00,
        "fees": -16_00,
        "delivery_paid": -18_00,
    }
    assert (profit.state, profit.profit, profit.realised) == ("sold", 201_54, 201_54)
    assert (profit.money_in, profit.put_in) == (109_46, 0)


def test_each_rung_opens_to_its_rows() -> None:
    book = finished_chest()
    sale = book.sell(SOLD_ON, 320_00, fees=16_00)

    profit = piece_profit(book.ledger)

    hardware = tuple(cost.row for cost in book.ledger.costs if cost.kind == "hardware")
    fees, lines = profit.term("fees"), profit.term("cost:hardware")
    assert fees is not None
    assert fees.rows == (sale.row,)
    assert lines is not None
    assert (lines.label, lines.rows) == ("Hardware", hardware)
    assert profit.term("refunds") is None


def test_a_piece_on_hand_has_no_profit_yet_and_shows_what_was_put_in() -> None:
    profit = piece_profit(finished_chest().ledger)

    assert (profit.state, profit.put_in, profit.realised, profit.profit) == ("on hand", 109_46, 0, None)
    assert (profit.per_hour_cents, profit.return_on_cash) == (None, None)


def test_a_piece_that_came_back_has_realised_what_the_sale_cost() -> None:
    book = finished_chest()
    sale = book.sell(SOLD_ON, 320_00, delivery=(25_00, 18_00), fees=16_00)
    book.cost(date(2026, 3, 25), 7_00, "repair")
    book.take_back(sale, date(2026, 4, 2), 345_00, fees=10_00, delivery=3_00)

    profit = piece_profit(book.ledger)

    assert (profit.state, profit.profit, profit.put_in) == ("on hand", None, 109_46)
    assert profit.realised == -(16_00 - 10_00) - (18_00 - 3_00) - 7_00


def test_a_resold_piece_carries_both_sales_and_all_its_costs() -> None:
    book = finished_chest()
    sale = book.sell(SOLD_ON, 320_00, fees=16_00)
    book.take_back(sale, date(2026, 4, 2), 320_00)
    book.sell(date(2026, 5, 1), 280_00, fees=14_00)

    profit = piece_profit(book.ledger)

    assert profit.profit == 280_00 - 109_46 - 16_00 - 14_00
    assert (ladder(profit)["sales"], ladder(profit)["refunds"]) == (600_00, -320_00)


def test_a_kept_piece_is_neither_profit_nor_loss() -> None:
    book = finished_chest()
    book.leave(SOLD_ON, "kept")

    profit = piece_profit(book.ledger)

    assert (profit.state, profit.profit, profit.put_in) == ("kept", 0, 0)
    assert ladder(profit)["taken_out"] == 109_46
    assert profit.return_on_cash is None


def test_a_cost_on_a_kept_piece_is_a_loss() -> None:
    book = finished_chest()
    book.leave(SOLD_ON, "kept")
    book.cost(date(2026, 3, 21), 4_00, "paint")

    assert piece_profit(book.ledger).profit == -4_00


@pytest.mark.parametrize("how", ["given_away", "scrapped"])
def test_a_piece_given_away_or_scrapped_loses_its_cost(how: str) -> None:
    book = finished_chest()
    book.work(BOUGHT, 60)
    book.leave(SOLD_ON, how)

    profit = piece_profit(book.ledger)

    assert (profit.state, profit.profit, profit.return_on_cash) == (how, -109_46, Fraction(-1))
    assert profit.per_hour_cents is None


def test_a_kept_piece_brought_back_and_sold_has_nothing_taken_out() -> None:
    book = finished_chest()
    leaving = book.leave(date(2026, 3, 1), "kept")
    book.bring_back(leaving, date(2026, 3, 8))
    book.sell(SOLD_ON, 200_00)

    profit = piece_profit(book.ledger)

    assert profit.term("taken_out") is None
    assert profit.profit == 200_00 - 109_46


def test_splitting_a_set_moves_its_cost_to_the_part_that_earns_with_it() -> None:
    pair, single = Book(), Book("T-2", piece_id=2)
    pair.cost(BOUGHT, 80_01)
    move(pair, single, date(2026, 2, 1), 40_00)
    pair.sell(SOLD_ON, 100_00)
    single.sell(SOLD_ON, 90_00)

    assert ladder(piece_profit(pair.ledger)) == {"sales": 100_00, "price": -80_01, "moved": 40_00}
    assert piece_profit(pair.ledger).profit == 59_99
    assert piece_profit(single.ledger).profit == 50_00


def test_the_hour_counts_time_worked_after_the_sale_and_rounds_half_up_once() -> None:
    book = Book()
    book.cost(BOUGHT, 10_00)
    book.sell(SOLD_ON, 110_01)
    book.work(BOUGHT, 100)
    book.work(date(2026, 3, 22), 20)

    assert piece_profit(book.ledger).per_hour_cents == 50_01  # 100.01 over two hours is 50.005


def test_no_time_logged_gives_no_hour_rather_than_an_endless_one() -> None:
    book = Book()
    book.sell(SOLD_ON, 110_01)

    assert piece_profit(book.ledger).per_hour_cents is None


def test_a_loss_per_hour_is_below_zero() -> None:
    book = Book()
    book.cost(BOUGHT, 100_00)
    book.sell(SOLD_ON, 70_00)
    book.work(BOUGHT, 90)

    assert piece_profit(book.ledger).per_hour_cents == -20_00


def test_return_on_cash_is_profit_over_all_that_was_put_in() -> None:
    book = finished_chest()
    book.sell(SOLD_ON, 218_92)

    assert piece_profit(book.ledger).return_on_cash == Fraction(1)


def test_a_piece_that_cost_nothing_has_no_return_on_cash() -> None:
    book = Book()
    book.sell(SOLD_ON, 50_00)

    assert piece_profit(book.ledger).return_on_cash is None


def test_a_kind_of_cost_named_like_a_rung_stays_apart_from_it() -> None:
    book = Book()
    book.cost(BOUGHT, 9_00, "fees")
    book.sell(SOLD_ON, 50_00, fees=2_00)

    assert ladder(piece_profit(book.ledger)) == {"sales": 50_00, "cost:fees": -9_00, "fees": -2_00}
