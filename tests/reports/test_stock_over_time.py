"""The stock over time is, at every month's end, what was owned then."""

from datetime import date, timedelta

from hypothesis import given
from hypothesis import strategies as st
from sqlalchemy.orm import Session

from app.basics.dates import Month, months_between
from app.reports.queries import piece_ledgers, stock_sheet
from app.reports.rules import PieceLedger, stock_at_cost, stock_at_ends
from tests.builders.reports import a_round, came_back, found
from tests.examining_client import ExaminingClient
from tests.reports.counting import a_shop_of
from tests.reports.ledger_book import Book

START = date(2025, 1, 10)
MONTHS = months_between(Month(2025, 1), Month(2025, 12))
TODAY = date(2025, 12, 20)


def owned(ledgers: list[PieceLedger], months: list[Month], today: date) -> tuple[int, ...]:
    return tuple(stock_at_cost(ledgers, min(month.last, today)) for month in months)


@given(
    st.lists(
        st.tuples(
            st.integers(0, 400),
            st.integers(1, 90_000),
            st.one_of(st.none(), st.integers(0, 120)),
            st.one_of(st.none(), st.integers(0, 60)),
            st.lists(st.integers(0, 200), max_size=3),
        ),
        max_size=8,
    )
)
def test_told_backwards_from_the_walk_it_is_what_was_owned(
    pieces: list[tuple[int, int, int | None, int | None, list[int]]],
) -> None:
    ledgers = []
    for number, (day, cents, sold, back, spent) in enumerate(pieces):
        book = Book(f"T-{number}", piece_id=number + 1)
        on = START + timedelta(days=day)
        book.cost(on, cents)
        for later in spent:
            book.cost(on + timedelta(days=later), 700, "repair")
        if sold is not None:
            sale = book.sell(on + timedelta(days=sold), 10_000)
            if back is not None:
                book.take_back(sale, sale.on + timedelta(days=back), 10_000)
        ledgers.append(book.ledger)

    assert stock_at_ends(ledgers, MONTHS, TODAY) == owned(ledgers, MONTHS, TODAY)


def test_the_page_shows_at_most_two_years_and_ends_today(session: Session) -> None:
    today = date(2026, 11, 25)
    found(session, date(2024, 1, 5), 5_000, "Old bookcase")
    came_back(session, a_round(session, "Chest", date(2025, 3, 1), date(2025, 6, 2)), date(2026, 2, 3), 20_000)
    a_shop_of(session, 3)

    sheet = stock_sheet(session, Month(2026, 11), today)

    months = [month for month, _ in sheet.over_time]
    assert (months[0], months[-1], len(months)) == (Month(2024, 12), Month(2026, 11), 24)
    assert tuple(cents for _, cents in sheet.over_time) == owned(piece_ledgers(session), months, today)
    assert sheet.over_time[-1][1] == sheet.cents


def test_the_page_carries_the_chart_and_its_table(client: ExaminingClient, session: Session) -> None:
    found(session, date(2026, 9, 5), 5_000)
    session.commit()

    page = client.get("/books/stock").text

    assert page.count('class="chart-step"') == 3
    assert page.count('class="chart-edge"') == 3
    assert "The numbers: Stock at cost over time" in page
    assert 'href="/books/stock?month=2026-09#moved">$50.00</a>' in page


def test_an_empty_shop_has_nothing_to_draw_yet(client: ExaminingClient) -> None:
    assert "Stock at cost over time: nothing yet." in client.get("/books/stock").text
