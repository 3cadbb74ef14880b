"""Pages of costs: adding from a phone, reading by piece and month, striking out, taking away."""

import csv
import re
from collections.abc import Mapping
from datetime import date, timedelta
from io import BytesIO, StringIO
from typing import Any

import pytest
from werkzeug.datastructures import FileStorage

from app.costs.actions import strike_cost
from app.costs.queries import costs_of, shop_costs
from app.costs.rules import CostKind
from app.database.unit_of_work import Ledger
from app.desk.actions import split_set
from app.desk.rules import SplitBy, WishedPart, WishedSplit
from app.pieces.actions import leave
from app.pieces.rules import Leaving
from tests.builders.costs import a_cost
from tests.builders.photos import photo_bytes
from tests.builders.pieces import NOW, a_piece
from tests.builders.sales import a_sold_piece
from tests.examining_client import ExaminingClient, Page

WHOLE = {
    "amount": "12.50",
    "kind": "hardware",
    "on_date": "2026-11-20",
    "bought_at": "hardware store",
    "note": "six pulls",
}


@pytest.fixture
def tag(ledger: Ledger, client: ExaminingClient) -> str:  # noqa: ARG001
    with ledger.writing() as session:
        return a_piece(session, title="Oak chest").tag


def amounts(ledger: Ledger, piece_id: int | None = 1) -> list[int]:
    with ledger.reading() as session:
        rows = shop_costs(session) if piece_id is None else costs_of(session, piece_id)
    return [row.amount_cents for row in rows]


def sent(client: ExaminingClient, path: str, said: Mapping[str, Any]) -> str:
    """What the page says to a cost that is refused."""
    answer = client.post_form(path, said)
    assert answer.status_code == 422
    return answer.text


def test_amount_and_kind_are_enough(client: ExaminingClient, tag: str, ledger: Ledger) -> None:
    page = client.get(f"/pieces/{tag}/costs/new").text
    first = re.search(r"<(?:input|select|textarea)(?![^>]*type=\"hidden\")[^>]*>", page)
    assert first is not None
    assert 'name="amount"' in first[0]
    today = re.search(r'name="on_date"[^>]*value="([^"]*)"', page)
    assert today is not None
    answer = client.post_form(f"/pieces/{tag}/costs/new", {"amount": "12.50", "kind": "materials", "on_date": today[1]})
    assert answer.status_code == 303
    with ledger.reading() as session:
        row = costs_of(session, 1)[0]
    assert (row.amount_cents, row.kind, row.on_date) == (1250, CostKind.MATERIALS, date(2026, 11, 25))


def test_a_cost_shows_on_the_pieces_page_with_its_total(client: ExaminingClient, tag: str) -> None:
    client.post_form(f"/pieces/{tag}/costs/new", WHOLE)
    client.post_form(f"/pieces/{tag}/costs/new", {**WHOLE, "amount": "7"})
    page = client.get(f"/pieces/{tag}/costs").text
    for words in ("Hardware", "hardware store", "six pulls", "20 Nov 2026", "$12.50", "$19.50"):
        assert words in page


def test_the_same_form_sent_twice_is_one_cost(client: ExaminingClient, tag: str, ledger: Ledger) -> None:
    page = Page(client.get(f"/pieces/{tag}/costs/new").text)
    hidden = next(form["fields"] for form in page.forms if form["method"] == "post")
    for _ in range(2):
        answer = client.post(f"/pieces/{tag}/costs/new", {**hidden, **WHOLE})
        assert answer.status_code == 303
    assert amounts(ledger) == [1250]


@pytest.mark.parametrize(
    ("wrong", "words"),
    [
        ({"amount": ""}, "Type what it cost."),
        ({"amount": "0"}, "Type what it cost."),
        ({"amount": "   "}, "Type what it cost."),
        ({"amount": "-5"}, "Amounts here are never below zero"),
        ({"amount": "12,50"}, "Write the amount with a point"),
        ({"amount": "99999999999"}, "Type an amount of at most"),
        ({"kind": ""}, "Choose what it was for."),
        ({"kind": "rent"}, "Not a valid choice"),
        ({"on_date": ""}, "Say on which day it was paid."),
        ({"on_date": "2026-11-26"}, "26 November 2026 has not come yet."),
        ({"on_date": "2023-12-31"}, "before the day your books begin"),
        ({"on_date": "2026-02-30"}, "There is no 30 February"),
        ({"bought_at": "x" * 81}, "81 characters long"),
        ({"note": "x" * 201}, "201 characters long"),
    ],
)
def test_bad_words_are_told_at_their_field_and_the_rest_is_kept(
    client: ExaminingClient, tag: str, ledger: Ledger, wrong: dict[str, str], words: str
) -> None:
    page = sent(client, f"/pieces/{tag}/costs/new", {**WHOLE, **wrong})
    field = next(iter(wrong))
    assert re.search(rf'id="{field}-error">.*?{re.escape(words)}', page)
    assert "<title>Error: " in page
    for name, said in {**WHOLE, **wrong}.items():
        if name != "kind":
            assert re.search(rf'name="{name}"[^>]*value="{re.escape(said)}"', page), name
    if field in {"on_date", "bought_at", "note"}:
        assert '<details class="more-facts" open>' in page
    assert amounts(ledger) == []


def test_a_receipt_is_kept_and_can_be_opened(client: ExaminingClient, tag: str) -> None:
    receipt = FileStorage(BytesIO(photo_bytes()), filename="receipt.jpg")
    client.post_form(f"/pieces/{tag}/costs/new", {**WHOLE, "receipt": receipt})
    link = re.search(r'href="(/photos/\d+/large)"', client.get(f"/pieces/{tag}/costs").text)
    assert link is not None
    assert client.get(link[1]).content_type == "image/webp"


def test_a_receipt_that_is_no_photo_is_refused_at_its_field(client: ExaminingClient, tag: str, ledger: Ledger) -> None:
    receipt = FileStorage(BytesIO(b"%PDF-1.7"), filename="receipt.pdf")
    page = sent(client, f"/pieces/{tag}/costs/new", {**WHOLE, "receipt": receipt})
    assert re.search(r'id="receipt-error">.*?not a readable photo', page)
    assert 'value="six pulls"' in page
    assert "Choose the photo again" in page
    assert amounts(ledger) == []


def test_a_piece_that_has_left_says_where_the_cost_counts(client: ExaminingClient, tag: str, ledger: Ledger) -> None:
    with ledger.writing() as session:
        leave(session, 1, Leaving.KEPT, on_date=date(2026, 11, 2), reason="", version=None, now=NOW)
    assert "This piece has left." in client.get(f"/pieces/{tag}/costs/new").text
    client.post_form(f"/pieces/{tag}/costs/new", WHOLE)
    assert amounts(ledger) == [1250]


def test_a_sold_piece_says_where_the_cost_counts(client: ExaminingClient, ledger: Ledger) -> None:
    with ledger.writing() as session:
        tag = a_sold_piece(session)[0].tag
    assert "This piece is sold." in client.get(f"/pieces/{tag}/costs/new").text
    client.post_form(f"/pieces/{tag}/costs/new", WHOLE)
    assert amounts(ledger) == [1250]


def test_a_shop_cost_shows_in_its_month(client: ExaminingClient, ledger: Ledger) -> None:
    said = {"amount": "300", "kind": "rent", "on_date": "2026-10-01"}
    answer = client.post_form("/costs/new", said)
    assert answer.location == "/costs?month=2026-10"
    assert "$300.00" in client.get(answer.location).text
    present = client.get("/costs").text
    assert "No shop costs in November 2026." in present
    assert 'href="/costs?month=2026-10"' in present
    assert amounts(ledger, None) == [30_000]


def test_a_month_that_is_none_shows_the_present_one(client: ExaminingClient) -> None:
    assert "Shop costs, November 2026" in client.get("/costs?month=2026-13").text


def test_months_lead_no_further_than_there_is_something(client: ExaminingClient) -> None:
    page = client.get("/costs").text
    assert "month=2026-10" not in page
    assert "month=2026-12" not in page


def test_earlier_places_are_offered(client: ExaminingClient, ledger: Ledger) -> None:
    with ledger.writing() as session:
        a_cost(session, bought_at="hardware store")
    assert '<option value="hardware store">' in client.get("/costs/new").text


def test_striking_a_cost_says_who_took_a_share_of_it_along(client: ExaminingClient, ledger: Ledger) -> None:
    with ledger.writing() as session:
        pair = a_piece(session, count=2, price_cents=0)
        shared = a_cost(session, pair.id, amount_cents=500_00, on_date=date(2026, 11, 2))
        parts = (WishedPart("", 1), WishedPart("", 1))
        wished = WishedSplit(parts, SplitBy.EACH, date(2026, 11, 3))
        _, other = split_set(session, pair.id, wished, now=NOW + timedelta(minutes=1))
        later = a_cost(session, pair.id, on_date=date(2026, 11, 2), now=NOW + timedelta(minutes=2))
    assert f"what {other.tag} took along of it stays there" in client.get(f"/costs/{shared.id}/strike").text
    assert "took along" not in client.get(f"/costs/{later.id}/strike").text


def test_striking_out_asks_for_a_reason_and_keeps_the_line_in_sight(
    client: ExaminingClient, tag: str, ledger: Ledger
) -> None:
    with ledger.writing() as session:
        line_id = a_cost(session, 1, note="six pulls").id
    path = f"/costs/{line_id}/strike"
    assert "stays in sight" in client.get(path).text
    assert "Say why it is struck out" in sent(client, path, {"reason": "  "})
    answer = client.post_form(path, {"reason": "entered twice"})
    assert answer.location == f"/pieces/{tag}/costs"
    page = client.get(answer.location).text
    assert re.search(r'<tr[^>]*class="is-struck".*?six pulls.*?Struck out: entered twice', page, re.DOTALL)
    assert "$0.00" in page


@pytest.mark.usefixtures("tag")
def test_a_struck_line_cannot_be_struck_again_from_an_old_page(client: ExaminingClient, ledger: Ledger) -> None:
    with ledger.writing() as session:
        line_id = a_cost(session, 1).id
    path = f"/costs/{line_id}/strike"
    token = re.search(r'name="csrf_token" value="([^"]+)"', client.get(path).text)
    assert token is not None
    with ledger.writing() as session:
        strike_cost(session, line_id, reason="entered twice", now=NOW)
    answer = client.post(path, {"csrf_token": token[1], "reason": "again"})
    assert answer.status_code == 422
    assert "struck out already: entered twice" in answer.text
    assert "<form" not in client.get(path).text.partition("<main")[2]


def test_costs_are_taken_away_with_what_was_struck_out(client: ExaminingClient, tag: str, ledger: Ledger) -> None:
    with ledger.writing() as session:
        wrong = a_cost(session, 1, note="=1+1")
        strike_cost(session, wrong.id, reason="entered twice", now=NOW)
        a_cost(session, 1, amount_cents=700)
        a_cost(session, None, kind=CostKind.RENT, on_date=date(2026, 10, 1))
    header, counting, struck = csv.reader(StringIO(client.get(f"/pieces/{tag}/costs.csv").text))
    assert dict(zip(header, counting, strict=True))["Amount"] == "7.00"
    told = dict(zip(header, struck, strict=True))
    assert (told["Struck out because"], told["Note"], told["Tag"]) == ("entered twice", "'=1+1", tag)
    assert len(client.get("/costs.csv?month=2026-11").text.splitlines()) == 1
    assert len(client.get("/costs.csv").text.splitlines()) == 2


def test_what_is_not_there_is_not_found(client: ExaminingClient) -> None:
    for path in ("/pieces/ZZZ/costs", "/pieces/ZZZ/costs.csv", "/pieces/ZZZ/costs/new", "/costs/99/strike"):
        client.get(path, status=404)


def test_more_costs_take_no_more_queries(client: ExaminingClient, tag: str, ledger: Ledger) -> None:
    pages = (f"/pieces/{tag}/costs", "/costs", f"/pieces/{tag}/costs/new")
    before = {}
    for path in pages:
        client.get(path)
        before[path] = client.queries
    with ledger.writing() as session:
        for number in range(12):
            a_cost(session, 1, bought_at=f"place {number}")
            a_cost(session, None, kind=CostKind.TOOLS)
    for path in pages:
        client.get(path)
        assert client.queries == before[path], path
