"""The rows beside a piece's own costs: what each does on hand, once gone, and after coming back."""

from datetime import date

import pytest

from app.basics.dates import Month
from app.costs.rules import AdjustedPart
from app.reports.rules import (
    ADJUSTED,
    ADJUSTED_OPENING,
    CORRECTED,
    CORRECTIONS,
    MATERIALS,
    PARTS_OFF,
    SHELF_COUNT,
    TRIP,
    Finding,
    MonthProfit,
    TableSums,
    effect_of,
    month_profit,
    piece_profit,
    prove,
    stock_identity,
    stock_movement,
    stock_of_piece,
    walk,
)
from app.reports.rules.ownership import realised_by
from tests.reports.ledger_book import Beside, Book, refund

BOUGHT = date(2026, 1, 5)
HERE = date(2026, 1, 20)
SOLD_ON = date(2026, 2, 10)
GONE = date(2026, 2, 15)
BACK_ON = date(2026, 3, 2)
AGAIN = date(2026, 3, 9)
JANUARY, FEBRUARY, MARCH = Month(2026, 1), Month(2026, 2), Month(2026, 3)

INTO_STOCK = {
    MATERIALS: ("materials", "materials_used"),
    PARTS_OFF: ("parts_off", "parts_off"),
    TRIP: ("trip", "trips"),
    ADJUSTED: ("adjusted", "corrected"),
    ADJUSTED_OPENING: ("adjusted_opening", "corrected"),
}


def chest() -> Book:
    book = Book()
    book.cost(BOUGHT, 40_00)
    return book


def figures(profit: MonthProfit) -> dict[str, int]:
    return {line.key: line.cents for line in profit.lines if line.cents}


def cash(profit: MonthProfit) -> dict[str, int]:
    return {line.key: line.cents for line in profit.cash.lines if line.cents}


def failing(findings: list[Finding]) -> list[str]:
    return [finding.name for finding in findings if not finding.holds]


@pytest.mark.parametrize(("kind", "shown"), INTO_STOCK.items())
@pytest.mark.parametrize("cents", [7_50, -7_50])
def test_on_hand_it_is_part_of_the_stock_on_a_line_of_its_own(kind: str, shown: tuple[str, str], cents: int) -> None:
    book, (movement, line) = chest(), shown
    book.cost(HERE, cents, kind)

    moved = stock_movement([book.ledger], JANUARY.first, JANUARY.last)

    assert [(step.kind.value, step.stock_change) for step in walk(book.ledger)][1:] == [(movement, cents)]
    assert (moved.line(line).cents, moved.closing, stock_identity(moved)) == (cents, 40_00 + cents, 0)
    assert (piece_profit(book.ledger).put_in, piece_profit(book.ledger).is_only_cost) == (40_00 + cents, True)


@pytest.mark.parametrize("kind", INTO_STOCK)
def test_while_it_is_gone_it_is_a_late_cost_of_its_own_month_and_stays_one(kind: str) -> None:
    book = chest()
    sale = book.sell(SOLD_ON, 100_00)
    book.cost(GONE, 7_50, kind)
    book.take_back(sale, BACK_ON, 100_00)

    assert figures(month_profit([book.ledger], [], FEBRUARY))["late_costs"] == -7_50
    assert piece_profit(book.ledger).put_in == stock_of_piece(book.ledger, BACK_ON) == 40_00
    assert piece_profit(book.ledger).realised == realised_by(book.ledger, BACK_ON) == -7_50


@pytest.mark.parametrize("kind", INTO_STOCK)
def test_once_it_is_back_it_is_part_of_the_stock_again(kind: str) -> None:
    book = chest()
    sale = book.sell(SOLD_ON, 100_00)
    book.take_back(sale, BACK_ON, 100_00)
    book.cost(BACK_ON, 7_50, kind)

    assert stock_of_piece(book.ledger, BACK_ON) == 47_50


@pytest.mark.parametrize(
    ("kind", "paid"),
    [
        (MATERIALS, {}),
        (PARTS_OFF, {}),
        (ADJUSTED_OPENING, {}),
        (TRIP, {"trips": -7_50}),
        (ADJUSTED, {"corrections": -7_50}),
    ],
)
def test_only_what_was_paid_is_in_the_cash(kind: str, paid: dict[str, int]) -> None:
    book = Book()
    book.cost(HERE, 7_50, kind)

    assert cash(month_profit([book.ledger], [], JANUARY)) == paid


def test_parts_taken_off_lower_what_the_piece_cost() -> None:
    book, beside = chest(), Beside()
    beside.take_off(book, HERE, 6_00)
    book.sell(SOLD_ON, 100_00)

    profit = piece_profit(book.ledger)

    assert (profit.profit, profit.money_in) == (66_00, 34_00)
    term = profit.term(PARTS_OFF)
    assert term is not None
    assert (term.label, term.cents, term.is_cost) == ("Parts taken off", 6_00, True)


@pytest.mark.parametrize("on", [HERE, GONE, BACK_ON])
def test_a_trip_at_the_rate_is_an_expense_at_once_and_never_in_stock(on: date) -> None:
    book, beside = chest(), Beside()
    sale = book.sell(SOLD_ON, 100_00)
    book.take_back(sale, BACK_ON, 100_00)
    before = stock_of_piece(book.ledger, on)
    beside.drive(book, on, 9_43, tolls=2_00)

    month = month_profit([book.ledger], [], Month.of(on))

    assert stock_of_piece(book.ledger, on) == before
    assert (month.line("trips").cents, month.cash.line("trips").cents) == (-11_43, -2_00)
    assert piece_profit(book.ledger).realised == realised_by(book.ledger, AGAIN) == -11_43
    assert piece_profit(book.ledger).money_in == 40_00


def test_a_piece_on_hand_that_was_driven_for_shows_more_than_what_was_put_in() -> None:
    book, beside = chest(), Beside()
    beside.drive(book, HERE, 9_43)

    profit = piece_profit(book.ledger)

    assert (profit.put_in, profit.realised, profit.profit, profit.is_only_cost) == (40_00, -9_43, None, False)
    assert sum(term.cents for term in profit.terms) + profit.put_in == profit.realised


def test_a_trip_to_fetch_and_a_trip_at_the_rate_are_two_rungs() -> None:
    book, beside = chest(), Beside()
    beside.fetch(book, HERE, 5_00)
    beside.drive(book, HERE, 9_43)

    terms = {term.key: (term.label, term.cents) for term in piece_profit(book.ledger).terms}

    assert (terms[TRIP], terms["trips"]) == (("Trips to fetch it", -5_00), ("Trips", -9_43))


def test_a_refund_in_part_counts_in_its_month_and_leaves_the_piece_sold() -> None:
    book = chest()
    book.sell(SOLD_ON, 100_00, fees=5_00, tax=8_00)
    refund(book, BACK_ON, 10_00, tax=80, fees=50)

    march = month_profit([book.ledger], [], MARCH)

    assert figures(march) == {"refunds": -10_00, "fees_back": 50}
    assert cash(march) == {"refunded": -10_80, "fees_back": 50}
    assert (march.tax.cents, march.net_receipts, march.returned_count) == (-80, -10_00, 0)
    assert month_profit([book.ledger], [], FEBRUARY).profit == 55_00
    assert (piece_profit(book.ledger).state, piece_profit(book.ledger).profit) == ("sold", 45_50)


def test_a_refund_in_part_and_a_return_share_a_rung() -> None:
    book = chest()
    sale = book.sell(SOLD_ON, 100_00)
    refund(book, GONE, 10_00)
    book.take_back(sale, BACK_ON, 90_00)

    refunds = piece_profit(book.ledger).term("refunds")

    assert refunds is not None
    assert refunds.amounts == (-90_00, -10_00)
    assert piece_profit(book.ledger).realised == 0


def test_a_deposit_is_cash_and_owed_until_it_is_kept() -> None:
    book, beside = chest(), Beside()
    beside.take_deposit(book, HERE, 30_00)
    beside.end_deposit(book, GONE, 20_00, is_kept=False)
    beside.end_deposit(book, AGAIN, 10_00, is_kept=True)

    january, february, march = (month_profit([book.ledger], [], month) for month in (JANUARY, FEBRUARY, MARCH))

    assert (january.profit, cash(january)) == (0, {"deposits": 30_00, "bought": -40_00})
    assert (february.profit, cash(february)) == (0, {"deposits": -20_00})
    assert (figures(march), cash(march)) == ({"deposits_kept": 10_00}, {})
    assert piece_profit(book.ledger).realised == 10_00


def test_an_applied_deposit_and_the_whole_price_are_the_cash_of_the_sale() -> None:
    book, beside = chest(), Beside()
    beside.take_deposit(book, HERE, 30_00)
    book.sell(SOLD_ON, 100_00)
    beside.end_deposit(book, SOLD_ON, 30_00, is_kept=False)

    assert month_profit([book.ledger], [], FEBRUARY).cash.net == 70_00


def test_what_counts_at_once_comes_last_in_its_day_and_hides_no_sale() -> None:
    book, beside = chest(), Beside()
    beside.drive(book, SOLD_ON, 9_43)
    book.leave(SOLD_ON, "kept")
    beside.drive(book, SOLD_ON, 1_00)

    assert [step.kind.value for step in walk(book.ledger)] == ["bought", "left", "at_once", "at_once"]
    taken_out = piece_profit(book.ledger).term("taken_out")
    assert taken_out is not None
    assert taken_out.cents == 40_00
    assert (piece_profit(book.ledger).state, piece_profit(book.ledger).profit) == ("kept", -10_43)


@pytest.mark.parametrize(
    ("part", "table", "effect"),
    [
        (AdjustedPart.PRICE, "sale", (5, 5, 0)),
        (AdjustedPart.DELIVERY_CHARGED, "sale", (5, 5, 0)),
        (AdjustedPart.DELIVERY_PAID, "sale", (-5, -5, 0)),
        (AdjustedPart.FEES, "sale", (-5, -5, 0)),
        (AdjustedPart.TAX, "sale", (0, 5, 5)),
        (AdjustedPart.REFUND, "sale_return", (-5, -5, 0)),
        (AdjustedPart.TAX, "sale_return", (0, -5, -5)),
        (AdjustedPart.FEES, "sale_refund", (5, 5, 0)),
        (AdjustedPart.DELIVERY_PAID, "sale_return", (5, 5, 0)),
        (AdjustedPart.MILEAGE, "trip", (-5, 0, 0)),
        (AdjustedPart.TRIP, "trip", (-5, -5, 0)),
        (AdjustedPart.SHOP_COST, "cost_line", (-5, -5, 0)),
        (AdjustedPart.SHOP_COST, "shelf_use", (-5, 0, 0)),
        (AdjustedPart.COST, "cost_line", (-5, -5, 0)),
        (AdjustedPart.COST, "shelf_use", (-5, 0, 0)),
        (AdjustedPart.OPENING, "purchase", (-5, 0, 0)),
    ],
)
def test_a_correction_works_as_the_amount_it_corrects(
    part: AdjustedPart, table: str, effect: tuple[int, int, int]
) -> None:
    assert effect_of(part, 5, table) == effect


def test_every_part_that_may_be_corrected_has_its_effect() -> None:
    assert all(effect_of(part, 1, "sale") != (0, 0, 0) for part in AdjustedPart)


def test_a_correction_of_a_sale_counts_in_the_open_month_on_its_own_line() -> None:
    book = chest()
    book.sell(SOLD_ON, 100_00)
    book.at_once(AGAIN, CORRECTED, -4_00, cash_key=CORRECTIONS, cash=-4_32, tax=-32)

    march = month_profit([book.ledger], [], MARCH)

    assert (figures(march), cash(march), march.tax.cents) == ({"corrected": -4_00}, {"corrections": -4_32}, -32)
    assert piece_profit(book.ledger).profit == 56_00


def a_shop_with_a_shelf() -> tuple[Beside, Book]:
    beside, book = Beside(), chest()
    beside.buy(BOUGHT, 50_00)
    beside.use(book, HERE, 12_00)
    beside.use(None, HERE, 3_00)
    beside.use(None, GONE, -1_00, kind=SHELF_COUNT)
    beside.take_off(book, HERE, 6_00)
    beside.drive(None, HERE, 4_00, tolls=1_00)
    return beside, book


def test_what_is_bought_for_the_shelf_is_paid_and_no_cost_until_it_is_used() -> None:
    beside, _ = a_shop_with_a_shelf()

    january = month_profit([], beside.shop_costs, JANUARY)

    assert (january.shop_costs.cents, len(january.shop_costs.parts)) == (-8_00, 2)
    assert cash(january) == {"shelf": -50_00, "trips": -1_00}
    assert month_profit([], beside.shop_costs, FEBRUARY).profit == 1_00


def test_the_shelf_deposits_and_trips_are_told_twice_in_every_month() -> None:
    beside, book = a_shop_with_a_shelf()

    findings = prove([book.ledger], beside.shop_costs, JANUARY, FEBRUARY, beside.tables)

    assert failing(findings) == []
    shelf = [finding.left for finding in findings if finding.name.startswith("The shelf at cost")]
    assert shelf == [50_00 - 12_00 - 3_00 + 6_00, 50_00 - 12_00 - 3_00 + 6_00 + 1_00]


FAULTS = {
    "shelf": ["Profit and cash, January 2026", "The shelf at cost, January 2026", "The shelf at cost, February 2026"],
    "deposits": [
        "Profit and cash, January 2026",
        "Deposits owed to buyers, January 2026",
        "Deposits owed to buyers, February 2026",
    ],
    "trips": ["Trips and the shares of them, January 2026"],
    "parts_off": ["Parts off pieces and on the shelf, January 2026"],
    "unpaid": ["Profit and cash, January 2026"],
}


@pytest.mark.parametrize(("series", "names"), FAULTS.items())
def test_a_table_that_says_another_thing_than_the_rows_is_found(series: str, names: list[str]) -> None:
    beside, book = a_shop_with_a_shelf()
    getattr(beside, series)[HERE] += 1

    findings = prove([book.ledger], beside.shop_costs, JANUARY, FEBRUARY, beside.tables)

    assert sorted(failing(findings)) == sorted(names)


def test_a_piece_with_impossible_rows_leaves_the_shelf_and_the_cash_proven() -> None:
    beside, book = a_shop_with_a_shelf()
    broken = Book("T-9", piece_id=9)
    beside.use(broken, HERE, 2_00)
    beside.drive(broken, HERE, 3_00)
    beside.take_deposit(broken, HERE, 4_00)
    broken.sell(HERE, 10_00)
    broken.sell(HERE, 10_00)

    findings = prove([book.ledger, broken.ledger], beside.shop_costs, JANUARY, FEBRUARY, beside.tables)

    assert failing(findings) == ["Pieces whose rows cannot have happened in their order"]


def test_a_shop_with_nothing_beside_its_pieces_needs_no_tables() -> None:
    assert failing(prove([chest().ledger], [], JANUARY, FEBRUARY)) == []
    assert TableSums().shelf == {}
