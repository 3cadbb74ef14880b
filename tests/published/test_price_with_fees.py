"""What a fee in percent takes off a price, against published examples.

Sources: OpenStax, *Principles of Accounting* Vol. 1 (Financial), sec. 9.1 (card sales with a fee: 300 at 5 %;
1,790 and 1,120 at 3 %; 1,200 at 4 %; the couches' exercise, whose answer is our own arithmetic); a web page on
fees, https://cal57.calculator.city/flatfix-calculator.html (103.30 at 2.9 % and 0.30, a weak source whose
arithmetic was checked); an exercise of a marketing text,
https://www.studymode.com/essays/Pricing-Break-Even-And-Marginal-Analysis-1302138.html (60 less 20 % less 15 %).
"""

from datetime import date

import pytest

from app.basics.dates import Month
from app.basics.money import percent_of
from app.reports.rules import month_profit, piece_profit
from tests.reports.ledger_book import Book

SOLD_ON = date(2026, 3, 9)


@pytest.mark.parametrize(
    ("price", "percent_hundredths", "fee", "received"),
    [
        (300_00, 5_00, 15_00, 285_00),
        (1_790_00, 3_00, 53_70, 1_736_30),
        (1_120_00, 3_00, 33_60, 1_086_40),
        (1_200_00, 4_00, 48_00, 1_152_00),
    ],
)
def test_a_card_sale_brings_the_price_less_the_published_fee(
    price: int, percent_hundredths: int, fee: int, received: int
) -> None:
    book = Book()
    book.sell(SOLD_ON, price, fees=percent_of(price, percent_hundredths))

    profit = month_profit([book.ledger], [], Month(2026, 3))

    assert profit.line("fees").cents == -fee
    assert profit.profit == profit.cash.net == received


def test_the_fee_lowers_the_profit_of_the_piece_and_not_its_cost() -> None:
    book = Book()
    book.cost(date(2026, 2, 1), 150_00)
    book.sell(SOLD_ON, 300_00, fees=percent_of(300_00, 5_00))

    (sale,) = month_profit([book.ledger], [], Month(2026, 3)).sales

    assert (sale.cost_of_goods_sold, sale.fees, sale.profit) == (150_00, 15_00, 135_00)
    assert piece_profit(book.ledger).profit == 135_00


@pytest.mark.parametrize(("price", "received"), [(103_30, 100_00), (103_29, 99_99)])
def test_a_percentage_and_a_fixed_fee_leave_what_is_published(price: int, received: int) -> None:
    book = Book()
    book.sell(SOLD_ON, price, fees=percent_of(price, 2_90) + 30)

    assert piece_profit(book.ledger).profit == received


def test_two_couches_sold_by_card_leave_the_difference() -> None:
    books = [Book(f"T-{number}", piece_id=number) for number in (1, 2)]
    for book in books:
        book.cost(date(2026, 2, 1), 1_700_00)
        book.sell(SOLD_ON, 2_450_00, fees=percent_of(2_450_00, 3_50))

    profit = month_profit([book.ledger for book in books], [], Month(2026, 3))

    assert (profit.line("sales").cents, profit.line("fees").cents) == (4_900_00, -171_50)
    assert profit.net_receipts + profit.line("fees").cents == 4_728_50
    assert profit.line("cost_of_goods_sold").cents == -3_400_00


def test_one_share_of_the_price_after_another_leaves_the_published_amounts() -> None:
    after_the_first = 60_00 - percent_of(60_00, 20_00)

    assert after_the_first == 48_00
    assert after_the_first - percent_of(after_the_first, 15_00) == 40_80
