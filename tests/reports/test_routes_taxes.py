"""The pages for the taxes: what each says, where each figure opens, what is asked again, and the lists to take away."""

import re
from datetime import date

import pytest
from flask import Flask
from sqlalchemy.orm import Session

from app.costs.rules import CostKind
from app.reports.actions.writing_down import strike_write_down
from app.sales.models import Sale
from app.shop.models import Shop
from tests.builders.floor import a_channel
from tests.builders.reports import NOW, came_back, found, listed, sold, spent
from tests.builders.taxes import a_statement, a_tax_place, a_write_down, closed, taxed_in
from tests.examining_client import ExaminingClient
from tests.reports.counting import a_shop_of
from tests.reports.pages import rows_of, said, words_of

FOUND = date(2026, 9, 1)
SOLD = date(2026, 11, 5)
PAGES = (
    "/books/years/2026/worksheet",
    "/books/years/2026/worksheet?lower=1",
    "/books/years/2024/worksheet",
    "/books/years/2026/worksheet/36",
    "/books/years/2026/worksheet/31",
    "/books/years/2026/self-employment",
    "/books/sales-tax",
    "/books/sales-tax/rows",
    "/books/statements/2026",
    "/books/write-downs",
)
HAND_OVER = "Figures to hand over, not tax advice; local law and a licensed preparer decide."

Books = tuple[ExaminingClient, Session]


def a_sale(session: Session, cents: int = 100_00, *, tax: int = 0, title: str = "Oak chest") -> Sale:
    return sold(session, found(session, FOUND, 40_00, title), SOLD, cents, fees=5_00, tax=tax)


@pytest.mark.parametrize("path", PAGES)
def test_every_page_says_what_it_is_not_and_opens_on_empty_books(client: ExaminingClient, path: str) -> None:
    assert HAND_OVER in words_of(client, path)


def test_the_books_lead_to_every_one_of_them(books: Books) -> None:
    client, session = books
    a_sale(session)
    session.commit()

    links = client.get("/books").text

    for path in ("years/2025/worksheet", "years/2025/self-employment", "sales-tax", "statements/2025", "write-downs"):
        assert f'href="/books/{path}"' in links


def test_the_worksheet_says_each_line_and_meets_the_books(books: Books) -> None:
    client, session = books
    a_sale(session)
    spent(session, None, SOLD, 7_00, kind=CostKind.ADVERTISING)
    session.commit()

    text = words_of(client, "/books/years/2026/worksheet")

    assert "1 Taken in from sales" in text
    assert "8 Advertising $7.00" in text
    assert "Profit in the books $48.00 Line 31 $48.00" in text
    assert "Check every line on the form of 2026" in text
    assert "not explained" not in text.lower()
    assert "Lines 1 to 7 are confirmed" in words_of(client, "/books/years/2024/worksheet")


def test_a_line_opens_to_its_rows_and_a_row_to_its_piece(books: Books) -> None:
    client, session = books
    chest = found(session, FOUND, 40_00, "Oak chest")
    spent(session, None, SOLD, 7_00, kind=CostKind.TOOLS, note="Clamps")
    session.commit()

    assert 'href="/books/years/2026/worksheet/36"' in client.get("/books/years/2026/worksheet").text
    bought = client.get("/books/years/2026/worksheet/36").text
    assert f'href="/pieces/{chest.tag}/profit"' in bought
    assert "All 1 $40.00" in said(bought)
    supplies = client.get("/books/years/2026/worksheet/22").text
    assert "Clamps" in supplies
    assert 'href="/costs?month=2026-11"' in supplies
    assert "depreciated" in supplies
    assert rows_of(client, "/books/years/2026/worksheet/22.csv")[0]["Amount"] == "7.00"


def test_a_sum_opens_to_the_lines_that_make_it(books: Books) -> None:
    client, session = books
    a_sale(session)
    session.commit()

    text = client.get("/books/years/2026/worksheet/5").text

    assert "Line 3: Line 1 less line 2 $100.00" in said(text)
    assert "Line 4: Cost of goods sold, from line 42 −$40.00" in said(text)
    assert 'href="/books/years/2026/worksheet/4"' in text


def test_a_long_line_has_pages_and_its_parts_can_be_chosen(books: Books) -> None:
    client, session = books
    for number in range(45):
        spent(session, found(session, FOUND, 1_00, f"Stool {number}"), FOUND, 50)
    session.commit()

    first = words_of(client, "/books/years/2026/worksheet/36")

    assert "1 to 40 of 45" in first
    assert "41 to 45 of 45" in words_of(client, "/books/years/2026/worksheet/36?page=2&part=stock:bought")
    assert "Paint and materials" in words_of(client, "/books/years/2026/worksheet/38?part=unheard-of")
    assert len(rows_of(client, "/books/years/2026/worksheet/36.csv")) == 45


@pytest.mark.parametrize(
    "path",
    [
        "/books/years/2027/worksheet",
        "/books/years/0/worksheet",
        "/books/years/99999/worksheet",
        "/books/years/2026/worksheet/99",
        "/books/years/2026/worksheet/99.csv",
        "/books/years/9999999999999999999/self-employment",
        "/books/statements/0",
        "/books/statements/2026/999",
        "/books/statements/123456789/0",
        "/write-downs/999/strike",
        "/pieces/ZZZ/write-down",
    ],
)
def test_what_is_not_there_is_not_found(client: ExaminingClient, path: str) -> None:
    client.get(path, status=404)


def test_the_estimate_takes_wages_and_rounds_as_asked(books: Books) -> None:
    client, session = books
    sold(session, found(session, FOUND, 0), SOLD, 65_700_00)
    session.commit()

    exact = words_of(client, "/books/years/2026/self-employment")
    whole = words_of(client, "/books/years/2026/self-employment?whole=y")
    capped = words_of(client, "/books/years/2026/self-employment?other_wages=184,500")

    assert "an estimate" in exact
    assert "Estimate $9,283.11" in exact
    assert "Estimate $9,284.00" in whole
    assert "on at most $0.00 $0.00" in capped
    assert "not a number" not in exact


def test_wages_that_cannot_be_read_are_asked_again(books: Books) -> None:
    client, session = books
    sold(session, found(session, FOUND, 0), SOLD, 65_700_00)
    session.commit()

    page = client.get("/books/years/2026/self-employment?other_wages=12,50").text

    assert 'value="12,50"' in page
    assert "Write the amount with a point" in page


def test_a_year_whose_base_is_not_known_and_another_currency_have_no_estimate(books: Books) -> None:
    client, session = books
    assert "is not known here, so there is no estimate" in words_of(client, "/books/years/2017/self-employment")
    shop = session.get_one(Shop, 1)
    shop.currency = "EUR"
    session.commit()

    assert "So no figure stands here" in words_of(client, "/books/years/2026/self-employment")
    assert "your shop keeps its books in EUR. It may not apply to you." in words_of(
        client, "/books/years/2026/worksheet"
    )
    assert "is not known here. Look it up" in words_of(client, "/books/statements/2026")


def test_the_sales_tax_stands_by_quarter_and_place_and_opens_to_its_rows(books: Books) -> None:
    client, session = books
    county = a_tax_place(session)
    sale = taxed_in(session, a_sale(session, tax=8_00), county)
    came_back(session, sale, date(2026, 11, 9), 50_00, tax=4_00)
    taxed_in(session, a_sale(session, 30_00, title="Stool"), None, reason="for resale")
    session.commit()

    text = words_of(client, "/books/sales-tax?year=2026")

    assert "Harbour county Price and delivery $100.00 Taxed by you $100.00 Given back of that −$50.00" in text
    assert "Tax you collected $8.00 Tax given back −$4.00 You owe $4.00" in text
    assert "Not taxed for resale −$30.00" in text
    assert f"quarter=4&amp;place={county.id}" in client.get("/books/sales-tax").text
    rows = rows_of(client, f"/books/sales-tax/rows.csv?year=2026&quarter=4&place={county.id}")
    assert [(row["Row"], row["Tax you collected"], row["Tax given back"]) for row in rows] == [
        ("Sale", "8.00", "0.00"),
        ("Came back", "0.00", "4.00"),
    ]
    (county_row, none_row) = rows_of(client, "/books/sales-tax.csv?year=2026")
    assert (county_row["Tax you owe"], none_row["Not taxed"]) == ("4.00", "30.00")


@pytest.mark.parametrize("query", ["year=abc", "year=0", "year=99999", "quarter=9", "place=x", "quarter=" + "9" * 30])
def test_an_odd_question_about_sales_tax_gets_an_answer(client: ExaminingClient, query: str) -> None:
    client.get(f"/books/sales-tax?{query}")
    client.get(f"/books/sales-tax/rows?{query}")


def test_a_statement_is_entered_and_its_difference_shown(books: Books) -> None:
    client, session = books
    fair = a_channel(session, "the fair")
    a_sale(session).channel_id = fair.id
    session.commit()
    path = f"/books/statements/2026/{fair.id}"

    answer = client.post_form(path, {"gross": "120", "note": "letter"})

    assert answer.status_code == 303
    assert "Its statement says letter $120.00 Difference $20.00" in words_of(client, path)
    assert "The fair 1 payment $100.00 $120.00 $20.00" in words_of(client, "/books/statements/2026")
    assert rows_of(client, "/books/statements/2026.csv")[0]["Difference"] == "20.00"
    assert rows_of(client, f"/books/statements/2026/{fair.id}.csv")[0]["In all"] == "100.00"


def test_two_devices_on_one_statement_see_both_versions(books: Books) -> None:
    client, session = books
    fair = a_channel(session, "the fair")
    a_statement(session, fair.id, 120_00)
    session.commit()
    path = f"/books/statements/2026/{fair.id}"

    clash = client.post_form(path, {"gross": "99", "version": "0"})

    assert clash.status_code == 409
    assert "120.00" in clash.text
    assert 'value="99"' in clash.text
    assert "Type the total of the statement." in client.post_form(path, {"gross": ""}).text
    assert client.post_form("/books/statements/2027/1", {"gross": "5"}, from_page=path, action=path).status_code == 303


def test_a_statement_of_a_year_to_come_is_refused(books: Books) -> None:
    client, session = books
    fair = a_channel(session, "the fair")
    session.commit()

    refused = client.post_form(f"/books/statements/2031/{fair.id}", {"gross": "5"})

    assert refused.status_code == 422
    assert "2031 has not come yet" in refused.text


def test_a_write_down_is_worked_out_before_it_is_saved(books: Books) -> None:
    client, session = books
    chest = found(session, FOUND, 50_00)
    session.commit()
    path = f"/pieces/{chest.tag}/write-down"
    told = {"price_expected": "40", "finish": "8", "sell": "2", "on_date": "2026-11-20", "reason": "cracked"}

    looked = client.post_form(path, {**told, "look": "yes"})

    assert looked.status_code == 303
    shown = words_of(client, looked.headers["Location"])
    assert "It will bring price less finishing and selling $30.00" in shown
    assert "To write down $20.00" in shown
    saved = client.post_form(looked.headers["Location"].partition("#")[0], told, action=path)
    assert saved.status_code == 303
    assert "Written down $20.00" in words_of(client, saved.headers["Location"])
    listed_there = rows_of(client, "/books/write-downs.csv?on=2026-11-25")
    assert [(row["Written down"], row["Lower of the two"]) for row in listed_there] == [("20.00", "30.00")]


def test_a_refused_write_down_keeps_what_was_typed(books: Books) -> None:
    client, session = books
    chest = found(session, FOUND, 50_00)
    session.commit()
    told = {"price_expected": "60", "finish": "", "sell": "", "on_date": "2026-11-20", "reason": "hope"}

    refused = client.post_form(f"/pieces/{chest.tag}/write-down", told)

    assert refused.status_code == 422
    assert "need not be written down" in refused.text
    assert 'value="60"' in refused.text
    assert 'value="hope"' in refused.text


def test_the_list_opens_at_last_years_end_until_that_is_closed(books: Books) -> None:
    client, session = books
    low = found(session, date(2025, 10, 1), 50_00, "Cracked chest")
    listed(session, low, date(2025, 10, 2), 20_00)
    session.commit()

    assert "on 31 Dec 2025" in words_of(client, "/books/write-downs")
    assert "asked below cost" in words_of(client, "/books/write-downs")
    assert "on 25 Nov 2026" in words_of(client, "/books/write-downs?on=2099-01-01")
    closed(session, "2025-12")
    session.commit()
    assert "on 25 Nov 2026" in words_of(client, "/books/write-downs")


def test_a_mistake_is_struck_out_once_and_stays_in_sight(books: Books) -> None:
    client, session = books
    row = a_write_down(session, found(session, FOUND, 50_00))
    session.commit()
    path = f"/write-downs/{row.id}/strike"

    answer = client.post_form(path, {"reason": "wrong piece"})

    assert answer.status_code == 303
    assert "Struck out: wrong piece" in words_of(client, answer.headers["Location"])
    assert "This was struck out on" in words_of(client, path)
    with pytest.raises(AssertionError, match="no form"):
        client.post_form(path, {"reason": "again"})


def test_a_write_down_in_a_closed_month_offers_no_striking(books: Books) -> None:
    client, session = books
    chest = found(session, FOUND, 50_00)
    row = a_write_down(session, chest, on=date(2026, 10, 31))
    closed(session, "2026-10")
    session.commit()
    path = f"/write-downs/{row.id}/strike"

    page = words_of(client, path)

    assert "in a month that is closed, so it stays as it is" in page
    token = re.findall(r'name="csrf_token" value="([^"]+)"', client.get(f"/pieces/{chest.tag}/write-down").text)
    refused = client.post(path, {"csrf_token": token[0], "reason": "sneaky", "submit_token": "x"})
    assert refused.status_code == 422
    session.refresh(row)
    assert row.struck_at is None


def test_pages_ask_as_many_queries_for_many_rows_as_for_few(books: Books, app: Flask) -> None:  # noqa: ARG001
    client, session = books
    a_shop_of(session, 2)
    row = a_write_down(session, found(session, FOUND, 50_00))
    strike_write_down(session, row.id, reason="twice", now=NOW)
    a_write_down(session, found(session, FOUND, 50_00))
    session.commit()
    counts = {}
    for path in PAGES:
        client.get(path)
        counts[path] = client.queries
    a_shop_of(session, 6)
    a_write_down(session, found(session, FOUND, 50_00))
    session.commit()
    for path in PAGES:
        client.get(path)
        assert client.queries == counts[path], path
