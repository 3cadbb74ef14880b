"""Properties of the books over made-up lives of pieces: sold, returned, resold, left, brought back, split."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from datetime import date, timedelta
from typing import TypeAlias

from hypothesis import given
from hypothesis import strategies as st

from app.basics.dates import Month, months_between
from app.reports.rules import (
    ADJUSTED,
    ADJUSTED_OPENING,
    CORRECTED,
    CORRECTIONS,
    SHELF_COUNT,
    PieceLedger,
    ShopCostRow,
    TableSums,
    month_profit,
    period_profit,
    piece_profit,
    prove,
    stock_at_cost,
    stock_identity,
    stock_movement,
    walk,
)
from tests.reports.ledger_book import Beside, Book, move, refund, shop_cost

START = date(2026, 1, 1)
SPAN = 150
MONTHS = months_between(Month(2026, 1), Month(2026, 12))
KINDS = ("price", "premium", "tax", "opening", "hardware", "paint")

days = st.integers(0, SPAN).map(lambda offset: START + timedelta(days=offset))
amounts = st.integers(0, 50_000)

Shop: TypeAlias = tuple[list[PieceLedger], list[ShopCostRow]]
Told: TypeAlias = tuple[list[PieceLedger], list[ShopCostRow], TableSums]


def live(draw: st.DrawFn, book: Book) -> None:
    """Lead a piece through goings and comings, several of them on one day as often as not."""
    day, gone = START, False
    for _ in range(draw(st.integers(0, 6))):
        day += timedelta(days=draw(st.sampled_from([0, 0, 1, 9, 30])))
        if gone:
            come(draw, book, day)
        elif draw(st.booleans()):
            delivery, fees, tax = (draw(amounts), draw(amounts)), draw(amounts), draw(amounts)
            book.sell(day, draw(amounts), delivery=delivery, fees=fees, tax=tax)
        else:
            book.leave(day, draw(st.sampled_from(["kept", "given_away", "scrapped"])))
        gone = not gone


def come(draw: st.DrawFn, book: Book, day: date) -> None:
    sales, leavings = book.ledger.sales, book.ledger.leavings
    if sales and (not leavings or sales[-1].seq > leavings[-1].seq):
        fees, delivery = draw(amounts), draw(amounts)
        book.take_back(sales[-1], day, draw(amounts), tax=draw(amounts), fees=fees, delivery=delivery)
    else:
        book.bring_back(leavings[-1], day)


@dataclass(frozen=True)
class Chance:
    """What an act beside the pieces is told: a piece, a day, and two amounts."""

    beside: Beside
    book: Book
    maybe: Book | None
    on: date
    cents: int
    other: int

    @property
    def signed(self) -> int:
        return self.cents - 20_000


ACTS: Sequence[Callable[[Chance], object]] = (
    lambda it: it.beside.buy(it.on, it.cents),
    lambda it: it.beside.use(it.maybe, it.on, it.signed),
    lambda it: it.beside.use(None, it.on, it.signed, kind=SHELF_COUNT),
    lambda it: it.beside.take_off(it.book, it.on, it.cents),
    lambda it: it.beside.drive(it.maybe, it.on, it.cents, it.other),
    lambda it: it.beside.fetch(it.book, it.on, it.cents),
    lambda it: it.beside.correct_distance(it.book, it.on, it.signed),
    lambda it: it.beside.take_deposit(it.book, it.on, it.cents),
    lambda it: it.beside.end_deposit(it.book, it.on, it.cents, is_kept=it.other % 2 == 0),
    lambda it: refund(it.book, it.on, it.cents, tax=it.other, fees=it.other // 2),
    lambda it: it.book.cost(it.on, it.signed, ADJUSTED),
    lambda it: it.book.cost(it.on, it.signed, ADJUSTED_OPENING),
    lambda it: it.book.at_once(
        it.on, CORRECTED, it.signed, cash_key=CORRECTIONS, cash=it.signed + it.other, tax=it.other
    ),
)


def stand_beside(draw: st.DrawFn, beside: Beside, books: Sequence[Book]) -> None:
    """The shelf, trips, deposits, refunds in part and corrections, on any day, whether the piece is here or gone."""
    for _ in range(draw(st.integers(0, 8))):
        book = draw(st.sampled_from(books))
        chance = Chance(beside, book, draw(st.sampled_from([book, None])), draw(days), draw(amounts), draw(amounts))
        draw(st.sampled_from(ACTS))(chance)


@st.composite
def told_shops(draw: st.DrawFn) -> Told:
    books = [Book(f"T-{number}", START, piece_id=number) for number in range(1, draw(st.integers(2, 4)) + 1)]
    for book in books:
        for _ in range(draw(st.integers(0, 5))):
            book.cost(draw(days), draw(st.integers(-500, 50_000)), draw(st.sampled_from(KINDS)))
        live(draw, book)
    for _ in range(draw(st.integers(0, 3))):
        giver, taker = draw(st.sampled_from(books)), draw(st.sampled_from(books))
        move(giver, taker, draw(days), draw(amounts))
    spent = [shop_cost(number, draw(days), draw(amounts)) for number in range(draw(st.integers(0, 3)))]
    beside = Beside()
    stand_beside(draw, beside, books)
    return [book.ledger for book in books], spent + beside.shop_costs, beside.tables


def shops() -> st.SearchStrategy[Shop]:
    return told_shops().map(lambda told: told[:2])


@given(told_shops())
def test_every_identity_holds_in_every_month(told: Told) -> None:
    ledgers, spent, tables = told
    findings = prove(ledgers, spent, MONTHS[0], MONTHS[-1], tables)

    assert [finding for finding in findings if not finding.holds] == []


@given(told_shops(), st.integers(0, 6), st.integers(0, 6))
def test_every_identity_holds_in_a_window_of_months(told: Told, start: int, length: int) -> None:
    ledgers, spent, tables = told
    findings = prove(ledgers, spent, MONTHS[start], MONTHS[min(start + length, 11)], tables)

    assert [finding for finding in findings if not finding.holds] == []


@given(shops())
def test_the_months_of_the_pieces_add_up_to_what_the_pieces_realised(
    shop: Shop,
) -> None:
    ledgers, spent = shop
    months = [month_profit(ledgers, spent, month) for month in MONTHS]

    assert sum(month.profit_on_pieces for month in months) == realised(ledgers)
    assert sum(month.profit for month in months) == realised(ledgers) - sum(cost.cents for cost in spent)


@given(shops())
def test_each_piece_alone_realises_the_sum_of_its_months(
    shop: Shop,
) -> None:
    for ledger in shop[0]:
        months = [month_profit([ledger], [], month).profit for month in MONTHS]
        assert sum(months) == piece_profit(ledger).realised


@given(shops())
def test_a_piece_that_is_gone_has_realised_its_profit_and_one_on_hand_what_is_not_in_stock(
    shop: Shop,
) -> None:
    for ledger in shop[0]:
        profit = piece_profit(ledger)
        assert profit.put_in == stock_at_cost([ledger], date.max)
        assert profit.realised == sum(term.cents for term in profit.terms) + profit.put_in
        assert profit.profit in {None, profit.realised}


@given(shops(), days, st.integers(0, SPAN))
def test_the_stock_identity_holds_for_any_period(shop: Shop, first: date, length: int) -> None:
    assert stock_identity(stock_movement(shop[0], first, first + timedelta(days=length))) == 0


@given(shops(), days)
def test_a_period_cut_in_two_makes_the_same_profit_and_cash(shop: Shop, cut: date) -> None:
    last = START + timedelta(days=400)
    whole = period_profit(*shop, START, last)
    parts = [period_profit(*shop, START, cut), period_profit(*shop, cut + timedelta(days=1), last)]

    assert whole.profit == sum(part.profit for part in parts)
    assert whole.cash.net == sum(part.cash.net for part in parts)
    assert whole.sold_count == sum(part.sold_count for part in parts)


@given(shops())
def test_the_order_in_which_rows_are_handed_over_makes_no_difference(
    shop: Shop,
) -> None:
    for ledger in shop[0]:
        mixed = replace(
            ledger,
            costs=ledger.costs[::-1],
            sales=ledger.sales[::-1],
            returns=ledger.returns[::-1],
            leavings=ledger.leavings[::-1],
            backs=ledger.backs[::-1],
            at_once=ledger.at_once[::-1],
        )
        assert walk(mixed) == walk(ledger)


@given(st.integers(1, 12), st.integers(0, 90_000), st.integers(1, 90_000))
def test_one_cost_moved_a_day_past_the_sale_moves_from_its_month_to_the_next(
    month_number: int, price: int, cents: int
) -> None:
    month = Month(2026, month_number)
    on_the_day, day_after = Book(), Book()
    for book, day in ((on_the_day, month.last), (day_after, month.next.first)):
        book.cost(START, price)
        book.cost(day, cents, "hardware")
        book.sell(month.last, 200_000)

    assert piece_profit(on_the_day.ledger).profit == piece_profit(day_after.ledger).profit
    assert profits(on_the_day, month) == (200_000 - price - cents, 0)
    assert profits(day_after, month) == (200_000 - price, -cents)


def profits(book: Book, month: Month) -> tuple[int, int]:
    """Profit of the month of the sale and of the month after."""
    now, after = (month_profit([book.ledger], [], each) for each in (month, month.next))
    return now.profit, after.profit


def realised(ledgers: Sequence[PieceLedger]) -> int:
    return sum(piece_profit(ledger).realised for ledger in ledgers)
