"""Closing months: in their order, once, when over; what they said stays said; the page and the proof."""

from datetime import date, datetime

import pytest
from sqlalchemy import update
from sqlalchemy.orm import Session

from app.basics.dates import Month
from app.costs.models import CostLine
from app.database.unit_of_work import Ledger
from app.reports.actions import close_month
from app.reports.queries import closing_findings, closing_sheet, figures_of, prove_ledger
from app.sales.models import Deposit, DepositEnd
from app.sales.rules import DepositEnding
from app.shelf.models import Material, ShelfCharge, ShelfPurchase, ShelfUse
from app.shelf.rules import ChargeKind, MaterialClass, Unit
from app.shop.queries import closed_months
from app.shop.rules import CannotClose, MonthFigures
from tests.builders.closing import closed_up_to
from tests.builders.reports import came_back, found, sold, spent
from tests.examining_client import ExaminingClient, Page
from tests.reports.counting import queries_of

TODAY = date(2026, 11, 25)
AUGUST, SEPTEMBER, OCTOBER, NOVEMBER = (Month(2026, month) for month in (8, 9, 10, 11))


def a_summer(session: Session) -> None:
    """A chest bought in August for 40.00 and sold in September for 210.00; a stool for 15.00; rent of 30.00."""
    chest = found(session, date(2026, 8, 3), 4_000)
    spent(session, chest, date(2026, 9, 1), 1_250)
    sold(session, chest, date(2026, 9, 20), 21_000, fees=600, tax=1_680)
    found(session, date(2026, 9, 5), 1_500, "Stool")
    spent(session, None, date(2026, 9, 1), 3_000)


def not_holding(session: Session) -> list[str]:
    return [finding.name for finding in prove_ledger(session, TODAY) if not finding.holds]


def test_a_month_is_kept_with_the_figures_it_has(session: Session, now: datetime) -> None:
    a_summer(session)
    close_month(session, AUGUST, now=now)
    close_month(session, SEPTEMBER, now=now)
    profit = 21_000 - 4_000 - 1_250 - 600 - 3_000
    cash = 21_000 + 1_680 - 1_250 - 600 - 1_500 - 3_000
    assert [(row.month, row.figures) for row in closed_months(session)] == [
        (AUGUST, MonthFigures(profit=0, cash=-4_000, stock=4_000, shelf=0, deposits=0)),
        (SEPTEMBER, MonthFigures(profit=profit, cash=cash, stock=1_500, shelf=0, deposits=0)),
    ]
    assert not_holding(session) == []


def test_the_shelf_and_the_deposits_are_those_of_the_last_day(session: Session, now: datetime) -> None:
    piece = found(session, date(2026, 9, 5), 1_500)
    can = Material(
        name="White paint", klass=MaterialClass.PAINT, unit=Unit.ML, sheen="", note="", is_put_away=False, made_at=now
    )
    session.add(can)
    session.flush()
    for number, (day, cents, struck) in enumerate(
        ((date(2026, 9, 30), 900, False), (date(2026, 10, 1), 50, False), (date(2026, 9, 2), 7, True))
    ):
        session.add(
            ShelfPurchase(
                capture_id=f"p{number}",
                material_id=can.id,
                on_date=day,
                quantity_milli=1_000,
                price_cents=cents,
                tax_cents=30,
                bought_at="",
                note="",
                made_at=now,
                struck_at=now if struck else None,
                struck_reason="twice" if struck else None,
            )
        )
    use = ShelfUse(
        capture_id="u",
        material_id=can.id,
        piece_id=piece.id,
        on_date=date(2026, 9, 30),
        quantity_milli=10,
        note="",
        made_at=now,
    )
    session.add(use)
    session.flush()
    session.add(
        ShelfCharge(
            material_id=can.id,
            kind=ChargeKind.USE,
            use_id=use.id,
            piece_id=piece.id,
            on_date=date(2026, 9, 30),
            quantity_milli=10,
            short_milli=0,
            cents=200,
        )
    )
    taken = Deposit(
        capture_id="d",
        piece_id=piece.id,
        payer="a neighbour",
        on_date=date(2026, 9, 30),
        amount_cents=5_000,
        note="",
        made_at=now,
    )
    session.add(taken)
    session.flush()
    for day, cents in ((date(2026, 9, 30), 1_000), (date(2026, 10, 1), 4_000)):
        session.add(
            DepositEnd(
                deposit_id=taken.id, how=DepositEnding.REFUNDED, on_date=day, cents=cents, reason="", made_at=now
            )
        )
    session.flush()
    september = figures_of(session, SEPTEMBER)
    assert (september.shelf, september.deposits) == (900 + 30 - 200, 4_000)
    assert (figures_of(session, OCTOBER).shelf, figures_of(session, OCTOBER).deposits) == (900 + 30 - 200 + 80, 0)
    closed_up_to(session, OCTOBER)
    assert [(name, left, right) for name, left, right in closing_findings(session) if left != right] == []


@pytest.mark.parametrize(
    ("month", "words"),
    [
        (NOVEMBER, "is not over yet"),
        (SEPTEMBER, "Close August 2026 first"),
        (Month(2026, 7), "Close August 2026 first"),
    ],
)
def test_a_month_that_runs_or_is_not_in_line_is_refused(
    session: Session, now: datetime, month: Month, words: str
) -> None:
    a_summer(session)
    with pytest.raises(CannotClose, match=words):
        close_month(session, month, now=now)
    assert closed_months(session) == []


def test_a_month_closes_once(session: Session, now: datetime) -> None:
    a_summer(session)
    close_month(session, AUGUST, now=now)
    with pytest.raises(CannotClose, match="closed already"):
        close_month(session, AUGUST, now=now)
    assert [row.month for row in closed_months(session)] == [AUGUST]


def test_books_without_a_row_have_no_month_to_close(session: Session, now: datetime) -> None:
    with pytest.raises(CannotClose, match="Nothing is booked yet"):
        close_month(session, OCTOBER, now=now)
    assert closing_sheet(session, TODAY).following is None


def test_the_next_month_in_line_is_shown_with_its_figures(session: Session) -> None:
    a_summer(session)
    sheet = closing_sheet(session, TODAY)
    assert (sheet.following, sheet.is_over, sheet.figures) == (AUGUST, True, figures_of(session, AUGUST))
    closed_up_to(session, OCTOBER)
    sheet = closing_sheet(session, TODAY)
    assert (sheet.following, sheet.is_over) == (NOVEMBER, False)
    assert [row.month for row in sheet.closed] == [OCTOBER, SEPTEMBER, AUGUST]


def test_the_proof_notices_a_row_that_was_changed_behind_a_closed_month(session: Session) -> None:
    a_summer(session)
    closed_up_to(session, SEPTEMBER)
    assert not_holding(session) == []
    session.execute(update(CostLine).where(CostLine.amount_cents == 3_000).values(amount_cents=2_900))
    assert not_holding(session) == [
        "Profit of September 2026, as closed and as the rows say",
        "Cash in minus cash out of September 2026, as closed and as the rows say",
    ]


def test_what_happens_after_the_closing_leaves_it_alone(session: Session) -> None:
    chest = found(session, date(2026, 8, 3), 4_000)
    sale = sold(session, chest, date(2026, 9, 20), 21_000)
    closed_up_to(session, OCTOBER)
    before = [figures_of(session, row.month) for row in closed_months(session)]
    came_back(session, sale, date(2026, 11, 3), 21_000)
    spent(session, chest, date(2026, 11, 4), 500)
    assert [figures_of(session, row.month) for row in closed_months(session)] == before
    assert not_holding(session) == []


def test_more_closed_months_take_no_more_queries_to_prove(session: Session) -> None:
    a_summer(session)
    closed_up_to(session, AUGUST)
    few = queries_of(session, lambda: closing_findings(session))
    closed_up_to(session, OCTOBER)
    assert queries_of(session, lambda: closing_findings(session)) == few


def test_months_are_closed_from_their_page_one_after_the_other(client: ExaminingClient, ledger: Ledger) -> None:
    page = client.get("/books/close").text
    assert "Nothing is booked yet" in page
    with ledger.writing() as session:
        a_summer(session)
    page = client.get("/books/close").text
    assert "Close August 2026" in page
    assert "cannot be opened again" in page
    assert client.post_form("/books/close", {"agreed": "y"}).location == "/books/close"
    page = client.get("/books/close").text
    assert "August 2026 is closed." in page
    assert "Close September 2026" in page
    assert "31 Aug" in client.get("/books").text
    assert "nothing in it changes any more" in client.get("/books/months/2026-08").text
    assert "nothing in it changes any more" not in client.get("/books/months/2026-09").text
    rows = client.raw.get("/books/close.csv").text.splitlines()
    assert rows[1].startswith("2026-08,")
    assert rows[1].endswith(",0.00,-40.00,40.00,0.00,0.00")


def test_two_browsers_that_close_the_same_month_close_it_once(client: ExaminingClient, ledger: Ledger) -> None:
    with ledger.writing() as session:
        a_summer(session)
    first, second = (Page(client.get("/books/close").text).forms[0]["fields"] for _ in range(2))
    assert client.post("/books/close", {**first, "agreed": "y"}).status_code == 303
    answer = client.post("/books/close", {**second, "agreed": "y"})
    assert answer.status_code == 422
    assert "August 2026 is closed already." in answer.text
    with ledger.reading() as session:
        assert [row.month for row in closed_months(session)] == [AUGUST]


@pytest.mark.parametrize("month", ["2026-11", "2026-09", "nonsense", "", "2026-08\x00"])
def test_a_month_named_by_hand_is_refused(client: ExaminingClient, ledger: Ledger, month: str) -> None:
    with ledger.writing() as session:
        a_summer(session)
    assert client.post_form("/books/close", {"month": month, "agreed": "y"}).status_code == 422
    with ledger.reading() as session:
        assert closed_months(session) == []


def test_a_tap_alone_closes_nothing(client: ExaminingClient, ledger: Ledger) -> None:
    with ledger.writing() as session:
        found(session, date(2026, 10, 3), 40_00)

    answer = client.post_form("/books/close", {})

    assert answer.status_code == 422
    assert "Say that you have looked at the figures." in answer.text
    with ledger.reading() as session:
        assert closed_months(session) == []
