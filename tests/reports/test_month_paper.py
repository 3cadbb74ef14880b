"""A month on paper says what its page says, and its sums are those of the rows."""

from dataclasses import replace
from datetime import date
from io import BytesIO

from pypdf import PdfReader
from sqlalchemy.orm import Session

from app.basics.quantities import Units
from app.shop.actions import correct_shop
from tests.builders.reports import NOW, a_round, came_back, found, listed, sold, spent
from tests.conftest import SHOP
from tests.examining_client import ExaminingClient

SOLD_ON = date(2026, 10, 5)


def paper(client: ExaminingClient, month: str = "2026-10") -> list[str]:
    """The words of each page of the month."""
    answer = client.get(f"/books/months/{month}.pdf")
    assert answer.content_type == "application/pdf"
    assert answer.headers["Content-Disposition"] == f'attachment; filename="month-{month}.pdf"'
    return [page.extract_text() for page in PdfReader(BytesIO(answer.data)).pages]


def sheet_width(client: ExaminingClient) -> int:
    (page,) = PdfReader(BytesIO(client.get("/books/months/2026-10.pdf").data)).pages
    return int(page.mediabox.width)


def test_the_ladder_the_cash_the_costs_and_the_sales_stand_on_it(client: ExaminingClient, session: Session) -> None:
    a_round(session, "Oak chest", date(2026, 9, 3), SOLD_ON)
    spent(session, None, SOLD_ON, 4_150, note="first half")
    session.commit()

    (page,) = paper(client)

    assert "Bent Nail Workshop" in page
    assert "1 Oct 2026 to 31 Oct 2026. Amounts in USD." in page
    lines = page.splitlines()
    for label, amount in (
        ("Sale prices", "200.00"),
        ("Cost of what sold", "\u221252.50"),
        ("Selling fees", "\u22126.00"),
        ("Profit on pieces", "141.50"),
        ("Profit of October 2026", "100.00"),
        ("Received from buyers", "200.00"),
        ("Cash in minus cash out", "152.50"),
    ):
        assert lines[lines.index(label) + 1] == amount, label
    assert "Rent, first half" in page
    assert "Oak chest" in page
    assert "Figures to hand over, not tax advice" in page
    assert "Page 1 of 1" in page


def test_a_long_month_goes_over_pages_and_its_sales_add_up(client: ExaminingClient, session: Session) -> None:
    prices = [10_000 + 137 * number for number in range(70)]
    for number, price in enumerate(prices):
        piece = found(session, date(2026, 9, 1), 2_000, f"Chest number {number}")
        listed(session, piece, date(2026, 9, 2))
        sold(session, piece, SOLD_ON, price)
    session.commit()

    pages = paper(client)

    assert len(pages) > 2
    assert f"{sum(prices) / 100:,.2f}" in pages[-1]
    assert all(sum(f"Chest number {number}\n" in page for page in pages) == 1 for number in range(70))
    assert all(f"Page {number} of {len(pages)}" in page for number, page in enumerate(pages, start=1))


def test_a_sale_that_came_back_says_so(client: ExaminingClient, session: Session) -> None:
    sale = a_round(session, "Oak chest", date(2026, 9, 3), SOLD_ON)
    came_back(session, sale, date(2026, 11, 2), 20_000)
    session.commit()

    assert "Oak chest (came back)" in paper(client)[0]


def test_a_month_without_rows_says_so_and_the_present_one_says_until_when(client: ExaminingClient) -> None:
    (page,) = paper(client, "2026-11")
    assert "Nothing is booked in November 2026." in page
    assert "1 Nov 2026 to 25 Nov 2026, so far. Amounts in USD." in page


def test_what_is_no_month_is_not_found(client: ExaminingClient) -> None:
    client.get("/books/months/2026-13.pdf", status=404)


def test_the_sheet_follows_the_units_of_the_shop(client: ExaminingClient, session: Session) -> None:
    assert sheet_width(client) == 612
    correct_shop(session, replace(SHOP, units=Units.METRIC, version=1), now=NOW)
    session.commit()
    assert sheet_width(client) == 595


def test_the_page_of_the_month_leads_to_its_paper(client: ExaminingClient, session: Session) -> None:
    a_round(session, "Oak chest", date(2026, 9, 3), SOLD_ON)
    session.commit()
    assert 'href="/books/months/2026-10.pdf"' in client.get("/books/months/2026-10").text
