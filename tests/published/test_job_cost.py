"""The cost sheet of one job, and three jobs with work in hand, against published examples.

Source: OpenStax, *Principles of Accounting* Vol. 2 (Managerial), secs. 4.3 to 4.5, job MAC001 and three jobs
together. The gross profit of the job (1,069) is our own arithmetic; the overhead rate is 2.50 per unit of labour,
as the text and its 165 say (the alternative text of its picture prints another).
"""

from datetime import date

from app.basics.dates import Month
from app.basics.money import percent_of
from app.reports.rules import PieceLedger, month_profit, piece_profit, stock_identity, stock_movement
from tests.reports.ledger_book import Book

MARCH = Month(2026, 3)
ON = date(2026, 3, 4)
OVERHEAD = 250_00  # hundredths of a percent of the labour: 2.50 for each 1.00


def job() -> Book:
    book = Book()
    for count, each in [(1, 300_00), (2, 50_00), (1, 60_00), (1, 60_00), (12, 10_00), (40, 1_50)]:
        book.cost(ON, count * each, "materials")
    for hours, rate in [(1, 15_00), (1, 15_00), (2, 18_00)]:
        book.cost(ON, hours * rate, "labour")
    labour = sum(cost.cents for cost in book.ledger.costs if cost.kind == "labour")
    book.cost(ON, percent_of(labour, OVERHEAD), "overhead")
    return book


def test_the_cost_sheet_of_one_job_has_the_published_rungs_and_total() -> None:
    profit = piece_profit(job().ledger)

    assert {term.key: -term.cents for term in profit.terms} == {
        "cost:materials": 700_00,
        "cost:labour": 66_00,
        "cost:overhead": 165_00,
    }
    assert (profit.put_in, profit.money_in, profit.profit) == (931_00, 931_00, None)


def test_the_job_sold_at_the_published_price_makes_the_difference() -> None:
    book = job()
    book.sell(date(2026, 3, 20), 2_000_00)

    assert piece_profit(book.ledger).profit == 1_069_00
    assert month_profit([book.ledger], [], MARCH).line("cost_of_goods_sold").cents == -931_00


def three_jobs() -> list[PieceLedger]:
    """1,000 in hand, 2,681 spent in the month; what is still in hand at its end stands at 1,025.

    The text gives the totals of the three jobs; how they fall on the two finished ones is our own.
    """
    first, second, unfinished = (Book(f"J-{number}", piece_id=number) for number in (1, 2, 3))
    first.cost(date(2026, 2, 20), 1_000_00)
    first.cost(ON, 656_00, "materials")
    second.cost(ON, 454_00, "materials")
    second.cost(ON, 156_00, "labour")
    second.cost(ON, percent_of(156_00, OVERHEAD), "overhead")
    unfinished.cost(ON, 290_00, "materials")
    unfinished.cost(ON, 210_00, "labour")
    unfinished.cost(ON, percent_of(210_00, OVERHEAD), "overhead")
    for book in (first, second):
        book.sell(date(2026, 3, 20), 3_000_00)
    return [book.ledger for book in (first, second, unfinished)]


def test_three_jobs_move_the_published_cost_out_and_leave_the_rest_in_hand() -> None:
    ledgers = three_jobs()
    movement = stock_movement(ledgers, MARCH.first, MARCH.last)
    spent = {kind: spent_on(ledgers, kind) for kind in ("materials", "labour", "overhead")}

    assert spent == {"materials": 1_400_00, "labour": 366_00, "overhead": 915_00}
    assert (movement.opening, movement.line("cost_lines").cents) == (1_000_00, 2_681_00)
    assert (movement.line("sold").cents, movement.closing) == (-2_656_00, 1_025_00)
    assert stock_identity(movement) == 0


def spent_on(ledgers: list[PieceLedger], kind: str) -> int:
    return sum(cost.cents for ledger in ledgers for cost in ledger.costs if cost.kind == kind)
