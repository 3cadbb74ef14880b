"""Places of sales tax and the tax of a sale, as a browser meets them."""

from datetime import date

import pytest

from app.database.unit_of_work import Ledger
from app.pieces.models import Piece
from app.sales.actions import add_tax_rate, correct_tax_place, strike_tax_rate
from app.sales.models import TaxPlace
from app.sales.queries import tax_places
from app.sales.rules import TaxBasis
from tests.builders.pieces import NOW, a_piece
from tests.builders.sales import a_sale, a_tax_place
from tests.examining_client import ExaminingClient, Page
from tests.sales.pages import Refusal, all_sales, fields_of

TOLD = {
    "price": "240",
    "sold_on": "2026-11-20",
    "channel": "1",
    "delivery_charged": "25",
    "tax_place": "1",
    "tax_by": "shop",
    "tax": "",
    "untaxed_reason": "",
}


@pytest.fixture
def place(ledger: Ledger, listed: Piece) -> TaxPlace:  # noqa: ARG001
    """A place with a rate of 8.25 percent."""
    with ledger.writing() as session:
        return a_tax_place(session)


def sell(client: ExaminingClient, piece: Piece, **said: str) -> str:
    """Fill the sell form in, confirm, and give back the page that asked once more."""
    path = f"/pieces/{piece.tag}/sell"
    page = client.get(f"{path}/check", query_string={**TOLD, **said}).text
    assert client.post(f"{path}/confirm", fields_of(page, f"{path}/confirm")).status_code == 303
    return page


def test_without_a_place_the_sell_page_asks_for_the_amount_alone(client: ExaminingClient, listed: Piece) -> None:
    page = client.get(f"/pieces/{listed.tag}/sell").text
    assert "Where the tax is for" not in page
    assert "Who collects the tax" not in page
    assert "Deposits to apply" not in page
    assert page.count('name="tax"') == 1


def test_an_empty_box_is_worked_out_on_the_check_page_and_saved_as_shown(
    client: ExaminingClient, ledger: Ledger, listed: Piece, place: TaxPlace
) -> None:
    page = sell(client, listed)
    assert "$21.86, collected by the shop" in page
    assert "worked out at 8.25%, on the sale as a whole, delivery taxed too" in page
    (sale,) = all_sales(ledger, listed.id)
    assert (sale.tax_cents, sale.channel_tax_cents) == (21_86, 0)
    assert (sale.tax_place_id, sale.tax_rate_ppm, sale.tax_basis) == (place.id, 82_500, TaxBasis.INVOICE)
    shown = client.get(f"/sales/{sale.id}").text
    assert "Ottermarch, at 8.25%" in shown
    row = client.get("/sales.csv").text.splitlines()[1]
    assert row.endswith("0.00,0.00,0.00,Ottermarch,8.25,0.00,")


@pytest.mark.usefixtures("place")
def test_tax_typed_stands_as_typed(client: ExaminingClient, ledger: Ledger, listed: Piece) -> None:
    assert "as you typed" in sell(client, listed, tax="20")
    assert [sale.tax_cents for sale in all_sales(ledger, listed.id)] == [20_00]


@pytest.mark.usefixtures("place")
def test_tax_the_channel_collects_stays_out_of_what_the_shop_owes(
    client: ExaminingClient, ledger: Ledger, listed: Piece
) -> None:
    page = sell(client, listed, tax_by="channel")
    assert "$21.86, collected by the channel" in page
    (sale,) = all_sales(ledger, listed.id)
    assert (sale.tax_cents, sale.channel_tax_cents) == (0, 21_86)
    assert "which hands it on" in client.get(f"/sales/{sale.id}").text


@pytest.mark.usefixtures("place")
def test_nobody_collects_and_says_why(client: ExaminingClient, ledger: Ledger, listed: Piece) -> None:
    page = sell(client, listed, tax_by="nobody", untaxed_reason="resale certificate")
    assert "None: resale certificate" in page
    (sale,) = all_sales(ledger, listed.id)
    assert (sale.tax_cents, sale.untaxed_reason, sale.tax_place) == (0, "resale certificate", "Ottermarch")


@pytest.mark.usefixtures("place")
@pytest.mark.parametrize(
    "refusal",
    [
        Refusal({"tax_place": "9"}, "tax_place", "Choose from the places shown."),
        Refusal({"tax_by": "someone"}, "tax_by", "Choose who collects the tax."),
        Refusal({"tax_by": "nobody", "tax": "5"}, "tax", "Nobody collects it"),
        Refusal({"untaxed_reason": "exempt"}, "untaxed_reason", "yet it is collected"),
        Refusal({"tax_by": "channel", "channel": ""}, "channel", "Choose the channel that collects"),
        Refusal({"tax_by": "channel", "tax_place": ""}, "tax", "Choose the place, or type"),
        Refusal({"tax": "265.01"}, "tax", "The sales tax is more than"),
    ],
)
def test_tax_that_cannot_be_is_refused_at_its_box_before_and_after_the_check(
    client: ExaminingClient, ledger: Ledger, listed: Piece, refusal: Refusal
) -> None:
    path = f"/pieces/{listed.tag}/sell"
    checked = client.get(f"{path}/check", query_string={**TOLD, **refusal.said}, status=422)
    carried = fields_of(client.get(f"{path}/check", query_string=TOLD).text, f"{path}/confirm")
    saved = client.post(f"{path}/confirm", {**carried, **refusal.said})
    assert saved.status_code == 422
    for answer in (checked, saved):
        assert f'<a href="#{refusal.field}">' in answer.text
        assert refusal.words in answer.text
    assert all_sales(ledger, listed.id) == []


def test_a_day_before_the_first_rate_is_a_gap_said_at_the_place(
    client: ExaminingClient, ledger: Ledger, listed: Piece
) -> None:
    with ledger.writing() as session:
        a_tax_place(session, from_date=date(2026, 11, 21))
    path = f"/pieces/{listed.tag}/sell/check"
    page = client.get(path, query_string=TOLD, status=422).text
    assert "There is no rate for Ottermarch on 20 November 2026 yet." in page
    client.get(path, query_string={**TOLD, "sold_on": "2026-11-21"})
    client.get(path, query_string={**TOLD, "tax": "5"})


def test_the_sale_is_saved_at_the_rate_that_was_shown_even_when_it_changed_since(
    client: ExaminingClient, ledger: Ledger, listed: Piece, place: TaxPlace
) -> None:
    path = f"/pieces/{listed.tag}/sell"
    fields = fields_of(client.get(f"{path}/check", query_string=TOLD).text, f"{path}/confirm")
    with ledger.writing() as session:
        add_tax_rate(session, place.id, from_date=date(2026, 11, 1), rate_ppm=90_000, now=NOW)
        correct_tax_place(session, place.id, name=place.name, basis=TaxBasis.ITEM, is_put_away=False, version=None)
    assert client.post(f"{path}/confirm", fields).status_code == 303
    (sale,) = all_sales(ledger, listed.id)
    assert (sale.tax_cents, sale.tax_rate_ppm, sale.tax_basis) == (21_86, 82_500, TaxBasis.INVOICE)


@pytest.mark.usefixtures("place")
@pytest.mark.parametrize("lost", ["", "82500", "82500 somehow", "x invoice", "9999999 item", "٣ item"])
def test_a_rate_lost_or_made_up_on_the_way_is_looked_up_again(
    client: ExaminingClient, ledger: Ledger, listed: Piece, lost: str
) -> None:
    path = f"/pieces/{listed.tag}/sell"
    fields = fields_of(client.get(f"{path}/check", query_string=TOLD).text, f"{path}/confirm")
    assert client.post(f"{path}/confirm", {**fields, "agreed_rate": lost}).status_code == 303
    assert [sale.tax_rate_ppm for sale in all_sales(ledger, listed.id)] == [82_500]


def test_the_place_of_the_last_sale_is_chosen_at_the_start(
    client: ExaminingClient, ledger: Ledger, listed: Piece, place: TaxPlace
) -> None:
    path = f"/pieces/{listed.tag}/sell"
    assert 'name="tax_place" value="" checked' in client.get(path).text
    with ledger.writing() as session:
        a_sale(session, a_piece(session), tax_place_id=place.id)
    assert 'name="tax_place" value="1" checked' in client.get(path).text
    with ledger.writing() as session:
        a_tax_place(session, "Mill End")
        correct_tax_place(session, place.id, name=place.name, basis=place.basis, is_put_away=True, version=None)
    page = client.get(path).text
    assert "Ottermarch" not in page
    assert 'name="tax_place" value="" checked' in page


def test_a_place_is_added_with_its_rate_put_right_and_put_away(client: ExaminingClient, ledger: Ledger) -> None:
    assert "No place yet." in client.get("/settings/sales-tax").text
    said = {"name": "Ottermarch", "rate": "8.875", "from_date": "2026-01-01", "basis": "item"}
    added = client.post_form("/settings/sales-tax", said)
    assert (added.status_code, added.location) == (303, "/settings/sales-tax")
    shown = client.get("/settings/sales-tax").text
    for words in ("Ottermarch", "8.875%", "On each item by itself"):
        assert words in shown
    path = "/settings/sales-tax/1"
    put_away = client.post_form(path, {"name": "Otter county", "basis": "invoice", "put_away": "y"})
    assert put_away.status_code == 303
    assert "put away" in client.get("/settings/sales-tax").text
    assert client.get("/settings/sales-tax.csv").text.splitlines() == [
        'Place,Rounded,Put away,"Rate, percent",From,Struck out because',
        "Otter county,On the sale as a whole,yes,8.875,2026-01-01,",
    ]
    with ledger.reading() as session:
        assert tax_places(session) == []


@pytest.mark.parametrize(
    ("said", "words"),
    [
        ({"name": ""}, "Give the place a name"),
        ({"name": "OTTERmarch"}, "There is a place of that name already."),
        ({"rate": ""}, "Type the rate; 0 where nothing is due."),
        ({"rate": "100.0001"}, "Type a percentage from 0 to 100"),
        ({"rate": "8,25"}, "Write the percentage with a point"),
        ({"rate": "8.12345"}, "at most 4 digits"),
        ({"basis": "guess"}, "Choose what the tax is rounded on."),
        ({"from_date": ""}, "Say from which day on."),
    ],
)
def test_a_place_that_cannot_be_is_refused_whole(
    client: ExaminingClient, ledger: Ledger, place: TaxPlace, said: dict[str, str], words: str
) -> None:
    whole = {"name": "Mill End", "rate": "0", "from_date": "2026-01-01", "basis": "invoice"}
    answer = client.post_form("/settings/sales-tax", {**whole, **said})
    assert answer.status_code == 422
    assert words in answer.text
    with ledger.reading() as session:
        assert [row.name for row in tax_places(session)] == [place.name]


def test_a_rate_of_nothing_is_a_rate(client: ExaminingClient, ledger: Ledger, listed: Piece) -> None:
    with ledger.writing() as session:
        a_tax_place(session, rate_ppm=0)
    assert "worked out at 0%" in sell(client, listed)


def test_a_rate_is_added_and_struck_out_and_sales_keep_their_tax(
    client: ExaminingClient, ledger: Ledger, listed: Piece, place: TaxPlace
) -> None:
    sell(client, listed)
    path = f"/settings/sales-tax/{place.id}"
    said = {"rate": "9", "from_date": "2026-12-01"}
    assert client.post_form(f"{path}/rate", said).location == path
    again = client.post_form(f"{path}/rate", said)
    assert again.status_code == 422
    assert "is there already" in again.text
    shown = client.get(path).text
    assert "until 1 Dec 2026" in shown
    strike = next(link for link in Page(shown).links if link.endswith("/strike"))
    assert client.post_form(strike, {"reason": " "}).status_code == 422
    assert client.post_form(strike, {"reason": "next year"}).location == path
    assert "Struck out: next year" in client.get(path).text
    assert "This rate was struck out" in client.get(strike).text
    with ledger.reading() as session:
        (row,) = tax_places(session)
        assert (row.rate_on(date(2026, 12, 2)), len(row.rates)) == (82_500, 2)
    assert [sale.tax_cents for sale in all_sales(ledger, listed.id)] == [21_86]


def test_a_place_changed_elsewhere_shows_both_versions(
    client: ExaminingClient, ledger: Ledger, place: TaxPlace
) -> None:
    path = f"/settings/sales-tax/{place.id}"
    fields = fields_of(client.get(path).text, path)
    with ledger.writing() as session:
        correct_tax_place(session, place.id, name="Otter county", basis=place.basis, is_put_away=False, version=None)
    answer = client.post(path, {**fields, "name": "Ottermarch town", "basis": "item"})
    assert answer.status_code == 409
    assert "<dt>Name</dt><dd>Otter county</dd>" in answer.text
    assert 'value="Ottermarch town"' in answer.text


def test_places_and_rates_nobody_made_are_not_found(client: ExaminingClient) -> None:
    for path in ("/settings/sales-tax/9", "/settings/sales-tax/9/rate", "/settings/sales-tax/rates/9/strike"):
        client.get(path, status=404)


def test_the_list_of_places_asks_no_more_queries_for_more_of_them(client: ExaminingClient, ledger: Ledger) -> None:
    with ledger.writing() as session:
        a_tax_place(session)
    client.get("/settings/sales-tax")
    few = client.queries
    with ledger.writing() as session:
        for number in range(12):
            place = a_tax_place(session, f"Place {number}")
            rate = add_tax_rate(session, place.id, from_date=date(2026, 5, 1), rate_ppm=number, now=NOW)
            strike_tax_rate(session, rate.id, reason="wrong", now=NOW)
    client.get("/settings/sales-tax")
    assert client.queries == few
