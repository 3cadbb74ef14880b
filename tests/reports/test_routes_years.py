"""The pages of the years: what they say, where each line opens, what can be taken away, and that they stay quick."""

import re
from datetime import date
from functools import partial
from io import BytesIO

import pytest
from pypdf import PdfReader
from sqlalchemy.orm import Session

from app.database.unit_of_work import Ledger
from app.reports.queries.sums import period_sums
from tests.builders.big_shop import fill_big_shop
from tests.builders.reports import a_round, found, listed, sold, spent
from tests.examining_client import ExaminingClient
from tests.reports.counting import queries_of
from tests.reports.pages import rows_of, words_of

YEAR = date(2026, 1, 1), date(2026, 12, 31)


@pytest.fixture
def full(bare_client: ExaminingClient, ledger: Ledger) -> ExaminingClient:
    """A browser on a shop with every kind of row."""
    with ledger.writing() as session:
        fill_big_shop(session, 60, seed=4)
    return bare_client


def a_small_year(session: Session) -> None:
    """One piece sold for 200.00 that cost 52.50 and 6.00 in fees, one on hand at 50.00, rent of 41.50."""
    a_round(session, "Oak chest", date(2026, 9, 3), date(2026, 10, 5))
    found(session, date(2026, 11, 1), 5_000, "Pine bench")
    spent(session, None, date(2026, 11, 2), 4_150)
    session.commit()


def test_a_year_leads_from_its_stock_to_its_profit(books: tuple[ExaminingClient, Session]) -> None:
    client, session = books
    a_small_year(session)

    said = words_of(client, "/books/years/2026")

    assert "2026 so far" in said
    assert "Net receipts $200.00" in said
    assert "Cost of what sold $52.50" in said
    assert "Stock at cost $50.00 at the end" in said
    assert re.search(r"Profit on pieces \$141\.50 : show what makes Profit on pieces", said)
    assert "Profit of 2026 $100.00" in said
    assert "Piece by piece $141.50 The months together $141.50 The year, from its stock $141.50 They meet" in said
    assert "They do not meet" not in said
    assert "Figures to hand over, not tax advice; local law and a licensed preparer decide." in said
    assert words_of(client, "/books/years/this") == said


FORMS = {"/books/years/2025/worksheet", "/books/years/2025/self-employment"}
"""What stands under a year and is no line of it."""


def test_every_line_of_a_full_year_opens_to_rows_that_add_up_to_it(full: ExaminingClient, ledger: Ledger) -> None:
    page = full.get("/books/years/2025").text
    links = sorted(set(re.findall(r'href="(/books/years/2025/[a-z_-]+)"', page)) - FORMS)
    assert len(links) > 30
    with ledger.reading() as session:
        sums = period_sums(session, date(2025, 1, 1), date(2025, 12, 31))
    for link in links:
        assert "Nothing is booked" not in full.get(link).text or "deposits" in link or "written" in link, link
        key = link.rsplit("/", 1)[1].replace("-", ":")
        opened = sum(round(100 * float(row["Amount"])) for row in rows_of(full, f"{link}.csv"))
        standing = {"opening": sums.opening, "closing": sums.closing}.get(key.split(":")[0])
        if key == "pieces":
            assert opened == sums.profit_on_pieces
        elif standing is None:
            assert opened == sums.cents(key), key
        elif key != "closing:written":
            assert opened == getattr(standing, key.split(":")[1]), key


def test_a_row_of_a_line_leads_to_its_piece_and_a_row_of_the_shop_to_its_month(
    books: tuple[ExaminingClient, Session],
) -> None:
    client, session = books
    a_small_year(session)
    tag = rows_of(client, "/books/years/2026/sales.csv")[0]["Tag"]
    assert f'href="/pieces/{tag}/profit"' in client.get("/books/years/2026/sales").text
    assert "?month=2026-11" in client.get("/books/years/2026/shop").text


def test_a_long_line_is_paged_and_its_file_is_not(books: tuple[ExaminingClient, Session]) -> None:
    client, session = books
    for number in range(30):
        found(session, date(2026, 3, 1), 1_000 + number, f"Chair {number}")
    session.commit()
    page = "/books/years/2026/stock-bought"
    assert "1 to 24 of 30" in words_of(client, page)
    assert "25 to 30 of 30" in words_of(client, f"{page}?page=2")
    assert len(rows_of(client, f"{page}.csv")) == 30


@pytest.mark.parametrize(
    "path",
    [
        "/books/years/1899",
        "/books/years/99999",
        "/books/years/2026/nonsense",
        "/books/years/2026/stock",
        "/books/years/2026/sales-",
        "/books/years/2026/nonsense.csv",
        "/books/years/1899/sales",
        "/books/years/1899.pdf",
    ],
)
def test_a_year_or_a_line_that_cannot_be_is_not_found(client: ExaminingClient, path: str) -> None:
    assert client.raw.get(path).status_code == 404


def test_a_year_without_anything_says_so(client: ExaminingClient) -> None:
    assert "Nothing is booked in 2025." in words_of(client, "/books/years/2025")
    assert "Nothing is booked on this line in 2025." in words_of(client, "/books/years/2025/sales")
    assert "2026 so far" in words_of(client, "/books/years")


def test_the_list_and_the_file_of_a_year_hold_its_lines(books: tuple[ExaminingClient, Session]) -> None:
    client, session = books
    a_small_year(session)
    old = found(session, date(2025, 5, 1), 3_000, "Old stool")
    listed(session, old, date(2025, 5, 2))
    sold(session, old, date(2025, 6, 1), 4_500)
    session.commit()

    years = rows_of(client, "/books/years.csv")
    assert [(row["Year"], row["Profit"]) for row in years] == [("2026", "100.00"), ("2025", "15.00")]
    lines = {(row["Part"], row["Line"]): row["Amount"] for row in rows_of(client, "/books/years/2026.csv")}
    assert lines["Profit", "Profit of 2026"] == "100.00"
    assert lines["Stock at cost", "Closing"] == "50.00"
    assert lines["Do the sums meet?", "Profit on pieces: piece by piece"] == "141.50"


def test_a_year_on_paper_says_what_its_page_says(books: tuple[ExaminingClient, Session]) -> None:
    client, session = books
    a_small_year(session)
    answer = client.get("/books/years/2026.pdf")
    assert answer.content_type == "application/pdf"
    words = "\n".join(page.extract_text() for page in PdfReader(BytesIO(answer.data)).pages)
    lines = words.splitlines()
    assert "1 Jan 2026 to 25 Nov 2026, so far. Amounts in USD." in words
    for label, amount in (("Net receipts", "200.00"), ("Profit of 2026", "100.00"), ("Opening", "0.00")):
        assert lines[lines.index(label) + 1] == amount, label
    assert "meets" in words
    assert "differs" not in words
    assert (
        "Nothing is booked in 2023."
        in PdfReader(BytesIO(client.get("/books/years/2023.pdf").data)).pages[0].extract_text()
    )


def test_a_year_takes_as_many_queries_for_many_pieces_as_for_few(client: ExaminingClient, ledger: Ledger) -> None:
    paths = ("/books/years/2026", "/books/years")
    counts = []
    for number in (2, 12):
        with Session(ledger.engine) as session:
            for each in range(number):
                piece = found(session, date(2026, 9, 3), 4_000, f"Chest {number} {each}")
                listed(session, piece, date(2026, 9, 4))
                sold(session, piece, date(2026, 10, 5), 9_000)
            session.commit()
            counts.append([queries_of(session, partial(client.get, path)) for path in paths])
    assert counts[0] == counts[1]
