"""The pages of corrections: from a row in a closed month to its correction and back, and striking one out."""

from datetime import date
from uuid import uuid4

import pytest
from sqlalchemy import select

from app.basics.dates import Month
from app.costs.models import Adjustment
from app.database.unit_of_work import Ledger
from app.pieces.models import Piece, Purchase
from app.pieces.queries import haul_sheet
from tests.builders.closing import a_correction, closed_up_to
from tests.builders.costs import a_cost
from tests.builders.pieces import a_haul, a_piece
from tests.builders.rows import a_refund, a_shelf_purchase, a_trip
from tests.builders.sales import a_return, a_sale
from tests.examining_client import ExaminingClient, Page

DAY = date(2026, 10, 10)
TODAY = {"on_date": "2026-11-25"}


@pytest.fixture
def piece(ledger: Ledger, client: ExaminingClient) -> Piece:  # noqa: ARG001 - the shop is set up first
    """A chest for 40.00 with a cost of 12.50, both of October, which is closed."""
    with ledger.writing() as session:
        made = a_piece(session, bought_on=DAY)
        a_cost(session, made.id, on_date=DAY)
        closed_up_to(session, Month(2026, 10))
    return made


def kept(ledger: Ledger) -> list[int]:
    with ledger.reading() as session:
        return list(session.scalars(select(Adjustment.cents).order_by(Adjustment.id)))


def test_a_closed_row_leads_to_its_correction_and_the_correction_back(
    client: ExaminingClient, ledger: Ledger, piece: Piece
) -> None:
    here = "/corrections/cost_line/1"
    assert here in client.get("/costs/1/strike").text
    assert "/costs/1/strike" not in client.get(f"/pieces/{piece.tag}/costs").text
    page = client.get(here).text
    assert "It says $12.50" in page
    answer = client.post_form(here, {**TODAY, "should_be_cost": "10", "reason": "misread the receipt"})
    assert answer.location == here
    assert kept(ledger) == [-250]
    page = client.get(here).text
    assert "It says $12.50, with corrections $10.00." in page
    costs = client.get(f"/pieces/{piece.tag}/costs").text
    assert "corrected by −$2.50" in costs
    assert "Corrections of closed months" in costs
    listed = client.get("/corrections").text
    assert here in listed
    assert "Cost of 10 Oct 2026" in listed
    rows = client.raw.get("/corrections.csv").text.splitlines()
    assert rows[1].startswith(f"2026-11-25,{piece.tag},Oak chest,Cost,2026-10-10,Cost of the piece,-2.50,misread")


@pytest.mark.usefixtures("piece")
def test_two_devices_correct_one_row_and_the_second_is_told(client: ExaminingClient, ledger: Ledger) -> None:
    here = "/corrections/cost_line/1"
    first, second = (Page(client.get(here).text).forms[0]["fields"] for _ in range(2))
    assert client.post(here, {**first, **TODAY, "should_be_cost": "10", "reason": "misread"}).status_code == 303

    answer = client.post(here, {**second, **TODAY, "should_be_cost": "9", "reason": "half was mine"})

    assert answer.status_code == 409
    assert "was changed after you opened this page" in answer.text
    assert "half was mine" in answer.text
    assert kept(ledger) == [-250]


def test_what_was_typed_is_kept_where_it_is_refused(client: ExaminingClient, ledger: Ledger, piece: Piece) -> None:
    here = "/corrections/cost_line/1"
    for fields, words in (
        ({"should_be_cost": "10", "reason": ""}, "Say what was wrong"),
        ({"should_be_cost": "-10", "reason": "misread"}, "never below zero"),
        ({"should_be_cost": "x", "reason": "misread"}, "plain digits"),
        ({"should_be_cost": "", "reason": "misread"}, "Nothing changes by this"),
        ({"should_be_cost": "12.50", "reason": "misread"}, "Nothing changes by this"),
        ({"should_be_cost": "10", "reason": "misread", "on_date": "2026-10-31"}, "October 2026 is closed"),
        ({"should_be_cost": "10", "reason": "misread", "on_date": "2026-12-01"}, "has not come yet"),
        ({"should_be_cost": "10", "reason": "misread", "on_date": "2026-02-30"}, "There is no 30 February"),
    ):
        answer = client.post_form(here, {**TODAY, **fields})
        assert answer.status_code == 422
        assert words in answer.text
        assert f'value="{fields["reason"]}"' in answer.text
    assert kept(ledger) == []
    assert piece.tag in client.get(here).text


def test_a_form_sent_twice_corrects_once(client: ExaminingClient, ledger: Ledger, piece: Piece) -> None:  # noqa: ARG001
    here = "/corrections/cost_line/1"
    fields = Page(client.get(here).text).forms[0]["fields"]
    fields |= {**TODAY, "should_be_cost": "10", "reason": "misread"}
    assert [client.post(here, fields).status_code for _ in range(2)] == [303, 303]
    assert kept(ledger) == [-250]


def test_the_struck_pages_of_closed_rows_offer_no_form(client: ExaminingClient, ledger: Ledger, piece: Piece) -> None:
    with ledger.reading() as session:
        purchase_id = session.scalars(select(Purchase.id)).one()
    for path in (f"/pieces/{piece.tag}/paid", "/costs/1/strike"):
        page = client.get(path)
        assert "in a month that is closed" in page.text
        assert not [form for form in Page(page.text).forms if form["method"] == "post"]
    assert f"/corrections/purchase/{purchase_id}" in client.get(f"/pieces/{piece.tag}/paid").text
    assert "Correct what was paid to nothing" in client.get(f"/pieces/{piece.tag}/strike").text


def test_a_closed_row_changed_by_its_address_is_refused(client: ExaminingClient, ledger: Ledger, piece: Piece) -> None:
    token = Page(client.get("/find").text).forms[0]["fields"]["csrf_token"]
    with ledger.reading() as session:
        version = session.get_one(Piece, piece.id).version
    said = {"csrf_token": token, "reason": "wrong", "version": str(version)}
    for path, more in (
        ("/costs/1/strike", {}),
        (f"/pieces/{piece.tag}/paid", {"paid": "1", "source": ""}),
        (f"/pieces/{piece.tag}/strike", {}),
        (f"/pieces/{piece.tag}/dates", {"sourced_on": "2026-10-11"}),
        (f"/pieces/{piece.tag}/leave", {"how": "kept", "on_date": "2026-10-12"}),
        (f"/pieces/{piece.tag}/costs/new", {"amount": "5", "kind": "hardware", "on_date": "2026-10-12"}),
        ("/find", {"form": "chest", "source": "", "paid": "5", "bought_on": "2026-10-12"}),
    ):
        answer = client.post(path, {**said, **more, "submit_token": str(uuid4())})
        assert answer.status_code == 422, path
        text = " ".join(answer.text.split())
        assert "is closed" in text or "Costs still count on it" in text, path


def test_the_haul_of_a_closed_month_offers_the_correction_of_each_share(
    client: ExaminingClient, ledger: Ledger
) -> None:
    with ledger.writing() as session:
        haul = a_haul(session, bought_on=DAY)
        closed_up_to(session, Month(2026, 10))
        shares = haul_sheet(session, haul.id).shares
    for path in (f"/hauls/{haul.id}", f"/hauls/{haul.id}/correct"):
        page = client.get(path).text
        assert "bought in October 2026, which is closed" in page
        for share in shares:
            assert f"/corrections/purchase/{share.purchase.id}" in page


def test_every_sort_of_row_has_its_page(client: ExaminingClient, ledger: Ledger) -> None:
    with ledger.writing() as session:
        piece = a_piece(session, bought_on=DAY)
        sale = a_sale(session, piece, sold_on=DAY)
        a_return(session, sale, returned_on=DAY)
        a_refund(session, a_sale(session, a_piece(session, bought_on=DAY), sold_on=DAY), DAY)
        a_cost(session, on_date=DAY)
        bought, trip = a_shelf_purchase(session, DAY), a_trip(session, DAY, (piece, a_piece(session, bought_on=DAY)))
        closed_up_to(session, Month(2026, 10))
    homes = {
        "purchase": f"/pieces/{piece.tag}/paid",
        "sale": "/sales/1",
        "sale_return": "/sales/1",
        "sale_refund": "/sales/2",
        "cost_line": "/costs?month=2026-10",
        "shelf_purchase": f"/shelf/{bought.material_id}",
        "trip": f"/trips/{trip.id}",
    }
    for table, home in homes.items():
        page = client.get(f"/corrections/{table}/1").text
        assert f'href="{home}"' in page, table
        assert ">Correct it<" in page, table
    client.get("/corrections/purchase/99", status=404)
    client.get("/corrections/piece/1", status=404)


def test_a_row_of_an_open_month_shows_where_to_put_it_right(client: ExaminingClient, ledger: Ledger) -> None:
    with ledger.writing() as session:
        piece = a_piece(session)
    page = client.get("/corrections/purchase/1").text
    assert "Its month is open" in page
    assert f"/pieces/{piece.tag}/paid" in page
    assert ">Correct it<" not in page


def test_a_correction_is_struck_out_from_its_page_once(client: ExaminingClient, ledger: Ledger, piece: Piece) -> None:
    with ledger.writing() as session:
        row = a_correction(session, "cost_line", 1, cost=1_000)[0]
    path = f"/corrections/{row.id}/strike"
    assert path in client.get("/corrections").text
    first, second = (Page(client.get(path).text).forms[0]["fields"] for _ in range(2))
    assert client.post(path, {**first, "reason": ""}).status_code == 422
    assert client.post(path, {**first, "reason": "wrong row"}).location == "/corrections/cost_line/1"
    answer = client.post(path, {**second, "reason": "wrong row too"})
    assert answer.status_code == 422
    assert "struck out already: wrong row" in answer.text
    page = client.get("/corrections/cost_line/1").text
    assert "It says $12.50" in page
    assert "wrong row" in page
    assert "corrected by" not in client.get(f"/pieces/{piece.tag}/costs").text
    client.get("/corrections/99/strike", status=404)


def test_no_corrections_yet_says_so_and_many_take_no_more_queries(client: ExaminingClient, ledger: Ledger) -> None:
    assert "No corrections." in client.get("/corrections").text
    with ledger.writing() as session:
        line = a_cost(session, on_date=DAY)
        closed_up_to(session, Month(2026, 10))
        a_correction(session, "cost_line", line.id, shop_cost=1)
    client.get("/corrections")
    few = client.queries
    with ledger.writing() as session:
        for cents in range(2, 40):
            a_correction(session, "cost_line", line.id, shop_cost=cents)
    page = client.get("/corrections").text
    assert client.queries == few
    assert "1 to 24 of 39" in page
