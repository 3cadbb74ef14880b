"""What comes after a sale, as a browser meets it: returns, mistakes, the list of sales."""

from datetime import date, datetime
from typing import Any

import pytest

from app.database.unit_of_work import Ledger
from app.pieces.models import Piece
from app.pieces.queries import piece_row
from app.pieces.rules import Stage
from app.sales.actions import strike_sale
from app.sales.models import Sale
from tests.builders.sales import a_return, a_sale, a_sold_piece
from tests.examining_client import ExaminingClient, Page
from tests.sales.pages import Refusal, all_sales, fields_of


def test_a_return_is_shown_once_more_before_it_counts(
    client: ExaminingClient, ledger: Ledger, sold: tuple[Piece, Sale]
) -> None:
    piece, sale = sold
    path = f"/sales/{sale.id}/return"
    start = client.get(path).text
    assert 'value="265.00"' in start
    assert 'value="19.80"' in start
    assert f'method="get" action="{path}/check"' in start
    told = {
        "returned_on": "2026-11-23",
        "reason": "did not fit",
        "refund": "200",
        "tax_refunded": "16",
        "fees_back": "31.20",
        "delivery_back": "",
        "to_stage": "prepped",
    }
    page = client.get(f"{path}/check", query_string=told)
    assert page.headers["Cache-Control"] == "no-store"
    for words in ("23 Nov 2026", "did not fit", "$200.00", "$16.00", "$31.20", "Nothing", "Prepped"):
        assert words in page.text
    assert all_sales(ledger, piece.id)[0].came_back is None

    carried = fields_of(page.text, path)
    back = client.get(next(link for link in Page(page.text).links if link.endswith("#refund"))).text
    assert 'value="200"' in back
    assert "There is a problem" not in back
    answers = [client.post(path, carried) for _ in range(2)]
    assert {(answer.status_code, answer.location) for answer in answers} == {(303, f"/sales/{sale.id}")}

    (row,) = all_sales(ledger, piece.id)
    assert row.came_back is not None
    assert (row.came_back.refund_cents, row.came_back.fees_back_cents) == (200_00, 31_20)
    again = client.get(f"{path}/check", query_string=told).text
    assert "This return is recorded already" in again
    assert "with $200.00 refunded" in again
    shown = client.get(f"/sales/{sale.id}").text
    assert "The piece came back on 23 Nov 2026." in shown
    assert "Sell it again" in shown
    with ledger.reading() as session:
        assert piece_row(session, piece.id).stage is Stage.PREPPED


@pytest.mark.parametrize(
    "refusal",
    [
        Refusal({"refund": "265.01"}, "refund", "The refund is more than"),
        Refusal({"tax_refunded": "19.81"}, "tax_refunded", "The tax given back is more"),
        Refusal({"fees_back": "31.21"}, "fees_back", "The fees given back are more"),
        Refusal({"delivery_back": "18.01"}, "delivery_back", "The delivery recovered is more"),
        Refusal({"returned_on": "2026-11-19"}, "returned_on", "before the day of the sale"),
        Refusal({"returned_on": "2026-11-26"}, "returned_on", "has not come yet"),
        Refusal({"reason": ""}, "reason", "Say why it came back"),
        Refusal({"to_stage": "listed"}, "to_stage", "Choose where the piece stands now."),
        Refusal({"to_stage": "gone"}, "to_stage", "Choose where the piece stands now."),
    ],
)
def test_a_return_that_cannot_be_is_refused_at_its_box(
    client: ExaminingClient, sold: tuple[Piece, Sale], refusal: Refusal
) -> None:
    path = f"/sales/{sold[1].id}/return"
    whole = {"returned_on": "2026-11-23", "reason": "did not fit", "refund": "1", "to_stage": "finished"}
    checked = client.get(f"{path}/check", query_string={**whole, **refusal.said}, status=422)
    carried = fields_of(client.get(f"{path}/check", query_string=whole).text, path)
    saved = client.post(path, {**carried, **refusal.said})
    assert saved.status_code == 422
    for answer in (checked, saved):
        assert f'<a href="#{refusal.field}">' in answer.text
        assert refusal.words in answer.text


def test_a_mistaken_return_is_struck_out_and_the_sale_counts_again(
    client: ExaminingClient, ledger: Ledger, sold: tuple[Piece, Sale]
) -> None:
    piece, sale = sold
    with ledger.writing() as session:
        back = a_return(session, sale)
    assert "came back from this sale already" in client.get(f"/sales/{sale.id}/return", status=409).text
    assert "Strike out the return first" in client.get(f"/sales/{sale.id}/strike", status=409).text

    path = f"/returns/{back.id}/strike"
    answer = client.post_form(path, {"reason": "another piece"})
    assert (answer.status_code, answer.location) == (303, f"/sales/{sale.id}")
    page = client.get(f"/sales/{sale.id}").text
    assert "<s>Came back on 23 Nov 2026</s>" in page
    assert "another piece" in page
    assert all_sales(ledger, piece.id)[0].stands
    assert "struck out already" in client.get(path, status=409).text


def test_pages_of_sales_and_returns_nobody_made_are_not_found(client: ExaminingClient) -> None:
    for path in ("/sales/99", "/sales/99/strike", "/sales/99/return", "/returns/99/strike"):
        client.get(path, status=404)


def test_every_sale_of_a_piece_is_shown_with_the_struck_one_in_sight(
    client: ExaminingClient, ledger: Ledger, sold: tuple[Piece, Sale], now: datetime
) -> None:
    piece, sale = sold
    with ledger.writing() as session:
        strike_sale(session, sale.id, reason="wrong price", now=now)
        again = a_sale(session, session.get_one(Piece, piece.id), price_cents=230_00)
    page = client.get(f"/sales/{again.id}").text
    assert "Every sale of this piece" in page
    assert 'class="is-struck"' in page
    assert "Struck out: wrong price" in page


def test_without_a_sale_the_list_leads_to_the_floor(client: ExaminingClient) -> None:
    page = client.get("/sales").text
    assert "Nothing was sold yet." in page
    assert "sales.csv" not in page


def test_the_list_is_narrowed_to_a_month_and_says_what_came_back_in_it(client: ExaminingClient, ledger: Ledger) -> None:
    with ledger.writing() as session:
        early: dict[str, Any] = {"bought_on": date(2026, 9, 1), "listed_on": date(2026, 9, 2)}
        _piece, sale = a_sold_piece(
            session, title="Ash desk", sold_on=date(2026, 10, 31), sale_price_cents=100_00, **early
        )
        a_return(session, sale, returned_on=date(2026, 11, 2), reason="wobbles")
        a_sold_piece(session, title="Elm stool", sold_on=date(2026, 11, 3), sale_price_cents=50_00)

    everything = client.get("/sales").text
    assert everything.index("Elm stool") < everything.index("Ash desk")
    assert "2 sales that count" in everything
    assert "$150.00" in everything

    november = client.get("/sales?month=2026-11").text
    assert "Sales in November 2026" in november
    assert "1 sale that counts" in november
    assert "Came back in November 2026" in november
    assert "wobbles" in november
    assert client.get("/sales?month=2026-13").text.count("2 sales that count") == 1
    assert "Nothing was sold in" in client.get("/sales?month=2020-01").text


def test_struck_sales_are_listed_and_not_added_up(
    client: ExaminingClient, ledger: Ledger, sold: tuple[Piece, Sale], now: datetime
) -> None:
    with ledger.writing() as session:
        strike_sale(session, sold[1].id, reason="typed twice", now=now)
    page = client.get("/sales").text
    assert "Struck out: typed twice" in page
    assert "0 sales that count" in page


def test_a_long_list_comes_in_pages_and_asks_no_more_queries(client: ExaminingClient, ledger: Ledger) -> None:
    with ledger.writing() as session:
        a_sold_piece(session, title="First bench")
    client.get("/sales")
    few = client.queries
    with ledger.writing() as session:
        for number in range(44):
            a_sold_piece(session, title=f"Bench {number}", sold_on=date(2026, 11, 21))
    page = client.get("/sales").text
    assert client.queries == few
    assert "1 to 40 of 45" in page
    assert "page=2" in page
    assert "First bench" in client.get("/sales?page=2").text
    assert "41 to 45 of 45" in client.get("/sales?page=99").text
    assert "1 to 40 of 45" in client.get("/sales?page=x").text


def test_sales_are_taken_away_as_csv_with_what_counts_and_what_came_back(
    client: ExaminingClient, ledger: Ledger, sold: tuple[Piece, Sale]
) -> None:
    with ledger.writing() as session:
        a_return(session, sold[1], refund_cents=265_00, tax_refunded_cents=19_80)
    header, row = client.get("/sales.csv").text.splitlines()
    assert header.startswith("Sale,Tag,Piece,Sold on,Sold through,Price")
    assert row == (
        f"1,{sold[0].tag},Oak chest,2026-11-20,,240.00,25.00,18.00,31.20,215.80,19.80,,,yes,,2026-11-23,"
        "265.00,19.80,0.00,0.00,0.00,0.00,0.00,,,0.00,"
    )
    assert client.get("/sales.csv?month=2026-10").text.splitlines() == [header]
