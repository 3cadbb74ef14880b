"""Selling, checking, striking out and taking back, as a browser meets it."""

from datetime import date, datetime

import pytest
from sqlalchemy import func, select

from app.database.unit_of_work import Ledger
from app.floor.actions import add_channel, correct_channel
from app.floor.queries import channels, open_listing
from app.pieces.actions import leave
from app.pieces.models import Piece
from app.pieces.queries import piece_row
from app.pieces.rules import Leaving, Stage
from app.sales.models import Sale
from tests.builders.floor import a_hold
from tests.builders.pieces import a_piece
from tests.examining_client import ExaminingClient, Page
from tests.sales.pages import Refusal, all_sales, fields_of

TODAY = date(2026, 11, 25)


def check(client: ExaminingClient, piece: Piece, **said: str) -> dict[str, str]:
    """Fill the sell form in, and give back what its check page would send on."""
    path = f"/pieces/{piece.tag}/sell"
    page = client.get(f"{path}/check", query_string={**ANSWERS, **said})
    return fields_of(page.text, f"{path}/confirm")


ANSWERS = {
    "price": "240",
    "sold_on": "2026-11-20",
    "channel": "1",
    "fees": "",
    "delivery_charged": "25",
    "delivery_paid": "18",
    "tax": "19.80",
    "buyer_name": "Ann",
    "note": "cash",
}


def test_the_sell_page_starts_with_the_asking_price_and_the_listings_channel(
    client: ExaminingClient, listed: Piece
) -> None:
    page = client.get(f"/pieces/{listed.tag}/sell").text
    assert 'value="240.00"' in page
    assert 'name="channel" value="1" checked' in page
    assert 'value="2026-11-25"' in page


def test_the_sell_page_says_who_it_is_held_for_and_does_not_stand_in_the_way(
    client: ExaminingClient, ledger: Ledger, listed: Piece
) -> None:
    with ledger.writing() as session:
        a_hold(session, listed, held_for="Bea", until=date(2026, 11, 28))
    assert "Held for Bea until 28 Nov" in client.get(f"/pieces/{listed.tag}/sell").text
    fields = check(client, listed)
    assert client.post(f"/pieces/{listed.tag}/sell/confirm", fields).status_code == 303


def test_the_check_page_shows_every_answer_the_fee_proposed_and_what_remains(
    client: ExaminingClient, ledger: Ledger, listed: Piece
) -> None:
    path = f"/pieces/{listed.tag}/sell"
    assert f'method="get" action="{path}/check"' in client.get(path).text
    page = client.get(f"{path}/check", query_string=ANSWERS).text
    for words in ("$240.00", "20 Nov 2026", "Online marketplace", "$25.00", "$18.00", "$19.80", "Ann", "cash"):
        assert words in page
    assert "proposed from what Online marketplace takes" in page
    assert "$31.50" in page
    assert "$215.50" in page
    assert "Record sale of $240.00" in page
    assert "Nothing is saved yet." in page
    for field in ANSWERS:
        assert [link for link in Page(page).links if link.startswith(f"{path}?") and link.endswith(f"#{field}")]
    assert all_sales(ledger, listed.id) == []


def test_a_fee_typed_by_hand_stands_as_typed(client: ExaminingClient, ledger: Ledger, listed: Piece) -> None:
    fields = check(client, listed, fees="12.34")
    client.post(f"/pieces/{listed.tag}/sell/confirm", fields)
    assert [sale.fees_cents for sale in all_sales(ledger, listed.id)] == [12_34]


def test_a_fee_of_nothing_typed_by_hand_is_not_proposed_over(
    client: ExaminingClient, ledger: Ledger, listed: Piece
) -> None:
    client.post(f"/pieces/{listed.tag}/sell/confirm", check(client, listed, fees="0"))
    assert [sale.fees_cents for sale in all_sales(ledger, listed.id)] == [0]


def test_without_a_channel_no_fee_is_proposed(client: ExaminingClient, ledger: Ledger, listed: Piece) -> None:
    client.post(f"/pieces/{listed.tag}/sell/confirm", check(client, listed, channel=""))
    assert [(sale.fees_cents, sale.channel_id) for sale in all_sales(ledger, listed.id)] == [(0, None)]


def test_change_leads_back_with_everything_kept_and_nothing_saved(
    client: ExaminingClient, ledger: Ledger, listed: Piece
) -> None:
    path = f"/pieces/{listed.tag}/sell"
    shown = Page(client.get(f"{path}/check", query_string=ANSWERS).text)
    page = client.get(next(link for link in shown.links if link.endswith("#price"))).text
    for value in ("240", "2026-11-20", "25", "18", "19.80", "Ann", "cash"):
        assert f'value="{value}"' in page
    assert 'name="channel" value="1" checked' in page
    assert 'name="fees" type="text" value=""' in page
    assert "There is a problem" not in page
    assert '<details class="more-facts" open>' in page
    assert all_sales(ledger, listed.id) == []


def test_a_new_price_proposes_a_new_fee(client: ExaminingClient, ledger: Ledger, listed: Piece) -> None:
    check(client, listed)
    client.post(f"/pieces/{listed.tag}/sell/confirm", check(client, listed, price="100"))
    assert [sale.fees_cents for sale in all_sales(ledger, listed.id)] == [13_30]


def test_the_sale_is_saved_as_it_was_shown_even_when_the_channel_changed_since(
    client: ExaminingClient, ledger: Ledger, listed: Piece
) -> None:
    fields = check(client, listed)
    with ledger.writing() as session:
        correct_channel(
            session,
            1,
            name="Online marketplace",
            percent_hundredths=50_00,
            fixed_cents=0,
            is_put_away=False,
            version=None,
        )
    client.post(f"/pieces/{listed.tag}/sell/confirm", fields)
    assert [sale.fees_cents for sale in all_sales(ledger, listed.id)] == [31_50]


def test_a_confirmed_sale_leads_to_its_page_and_the_page_says_what_next(
    client: ExaminingClient, ledger: Ledger, listed: Piece
) -> None:
    answer = client.post(f"/pieces/{listed.tag}/sell/confirm", check(client, listed))
    (sale,) = all_sales(ledger, listed.id)
    assert (answer.status_code, answer.location) == (303, f"/sales/{sale.id}")
    assert (sale.price_cents, sale.fees_cents, sale.tax_cents, sale.net_cents) == (240_00, 31_50, 19_80, 215_50)

    page = client.get(f"/sales/{sale.id}").text
    assert "Sold: Oak chest" in page
    assert "The sale is recorded." in page
    assert page.index("See what it earned") < page.index("What remains")
    assert "What remains after fees and delivery" in page
    assert "$215.50" in page
    assert f"/sales/{sale.id}/return" in page
    assert f"/sales/{sale.id}/strike" in page
    with ledger.reading() as session:
        assert open_listing(session, listed.id) is None


def test_pressing_save_twice_or_after_going_back_makes_one_sale(
    client: ExaminingClient, ledger: Ledger, listed: Piece
) -> None:
    fields = check(client, listed)
    path = f"/pieces/{listed.tag}/sell/confirm"
    answers = [client.post(path, fields) for _ in range(3)]
    assert {(answer.status_code, answer.location) for answer in answers} == {(303, "/sales/1")}
    assert len(all_sales(ledger, listed.id)) == 1


def test_going_back_and_changing_the_sale_after_it_was_saved_is_told_plainly(
    client: ExaminingClient, ledger: Ledger, listed: Piece
) -> None:
    fields = check(client, listed)
    path = f"/pieces/{listed.tag}/sell"
    client.post(f"{path}/confirm", fields)

    checked = client.get(f"{path}/check", query_string={**ANSWERS, "price": "300"}).text
    assert "This sale is recorded already" in checked
    assert "was sold on 20 Nov 2026 for $240.00" in checked
    assert "/sales/1" in checked
    assert "Nothing is saved yet." not in checked
    saved = client.post(f"{path}/confirm", {**fields, "price": "300"})
    assert saved.status_code == 409
    assert [sale.price_cents for sale in all_sales(ledger, listed.id)] == [240_00]


def test_the_check_page_is_fetched_anew_by_going_back_and_opens_as_the_form_without_answers(
    client: ExaminingClient, listed: Piece
) -> None:
    path = f"/pieces/{listed.tag}/sell/check"
    assert client.get(path, query_string=ANSWERS).headers["Cache-Control"] == "no-store"
    page = client.get(path).text
    assert "Sell Oak chest" in page
    assert "There is a problem" not in page
    assert client.raw.post(path).status_code in {400, 403, 405}


def test_what_is_hidden_in_the_form_is_never_taken_from_the_address(client: ExaminingClient, listed: Piece) -> None:
    said = {"submit_token": "mine", "agreed_fees": "1", "csrf_token": "x"}
    fields = check(client, listed, **said)
    assert fields["agreed_fees"] == "3150"
    assert "mine" not in fields["submit_token"]
    shown = Page(client.get(f"/pieces/{listed.tag}/sell/check", query_string={**ANSWERS, **said}).text)
    assert not [link for link in shown.links if "token" in link or "agreed" in link]


def test_a_channel_nobody_set_up_says_so_before_the_sale_is_recorded(
    client: ExaminingClient, ledger: Ledger, listed: Piece
) -> None:
    with ledger.writing() as session:
        unset = add_channel(session, name="market stall").id
    page = client.get(f"/pieces/{listed.tag}/sell").text
    assert "Fees not set yet: market stall." in page
    said = {**ANSWERS, "channel": str(unset)}
    page = client.get(f"/pieces/{listed.tag}/sell/check", query_string=said).text
    assert "no fee is set for market stall; write it if it took one" in page
    assert "Market stall" in page


def test_two_browsers_with_the_same_piece_sell_it_once(client: ExaminingClient, ledger: Ledger, listed: Piece) -> None:
    one, other = check(client, listed), check(client, listed, price="200")
    path = f"/pieces/{listed.tag}/sell/confirm"
    assert client.post(path, one).status_code == 303
    refused = client.post(path, other)
    assert refused.status_code == 422
    assert "It is sold already. Nothing of this was saved." in refused.text
    assert len(all_sales(ledger, listed.id)) == 1


REFUSALS = [
    Refusal({"price": ""}, "price", "Type what it sold for."),
    Refusal({"price": "0"}, "price", "Type what it sold for."),
    Refusal({"price": "two hundred"}, "price", "Type the amount in plain digits"),
    Refusal({"sold_on": ""}, "sold_on", "Say on which day it was sold."),
    Refusal({"sold_on": "2026-11-26"}, "sold_on", "has not come yet"),
    Refusal({"sold_on": "2026-10-31"}, "sold_on", "before the day of its last step"),
    Refusal({"sold_on": "2026-09-30"}, "sold_on", "before the day the piece was found"),
    Refusal({"fees": "265.01"}, "fees", "The fees are more than the price"),
    Refusal({"tax": "265.01"}, "tax", "The sales tax is more than"),
    Refusal({"delivery_paid": "-3"}, "delivery_paid", "never below zero"),
    Refusal({"channel": "99"}, "channel", "Choose from the channels shown."),
    Refusal({"channel": "x"}, "channel", "Choose from the channels shown."),
    Refusal({"buyer_name": "A" * 81}, "buyer_name", "Keep it to 80 at most"),
]


@pytest.mark.parametrize("refusal", REFUSALS)
def test_a_sale_that_cannot_be_is_refused_at_its_box_with_everything_kept(
    client: ExaminingClient, listed: Piece, refusal: Refusal
) -> None:
    path = f"/pieces/{listed.tag}/sell"
    answer = client.get(f"{path}/check", query_string={**ANSWERS, **refusal.said}, status=422)
    assert f'<a href="#{refusal.field}">' in answer.text
    assert refusal.words in answer.text
    assert 'value="cash"' in answer.text


@pytest.mark.parametrize("refusal", REFUSALS)
def test_confirming_looks_at_everything_again(
    client: ExaminingClient, ledger: Ledger, listed: Piece, refusal: Refusal
) -> None:
    fields = {**check(client, listed), **refusal.said}
    answer = client.post(f"/pieces/{listed.tag}/sell/confirm", fields)
    assert answer.status_code == 422
    assert f'<a href="#{refusal.field}">' in answer.text
    assert refusal.words in answer.text
    assert all_sales(ledger, listed.id) == []


def test_an_agreed_fee_that_makes_no_sense_is_proposed_anew(
    client: ExaminingClient, ledger: Ledger, listed: Piece
) -> None:
    fields = {**check(client, listed), "agreed_fees": "9" * 5000}
    client.post(f"/pieces/{listed.tag}/sell/confirm", fields)
    assert [sale.fees_cents for sale in all_sales(ledger, listed.id)] == [31_50]


@pytest.mark.parametrize("stage", [Stage.SOURCED, Stage.PREPPED, Stage.FINISHED])
def test_a_piece_that_was_never_listed_is_sold_as_found(client: ExaminingClient, ledger: Ledger, stage: Stage) -> None:
    with ledger.writing() as session:
        piece = a_piece(session, stage=stage)
    page = client.get(f"/pieces/{piece.tag}/sell").text
    assert "Sold as found" in page
    client.post(f"/pieces/{piece.tag}/sell/confirm", check(client, piece, channel=""))
    assert len(all_sales(ledger, piece.id)) == 1


def test_the_sell_page_of_a_sold_piece_leads_to_its_sale(client: ExaminingClient, sold: tuple[Piece, Sale]) -> None:
    answer = client.get(f"/pieces/{sold[0].tag}/sell", status=303)
    assert answer.location == f"/sales/{sold[1].id}"


def test_a_piece_that_left_is_not_sold(client: ExaminingClient, ledger: Ledger, now: datetime) -> None:
    with ledger.writing() as session:
        piece = a_piece(session)
        leave(session, piece.id, Leaving.SCRAPPED, on_date=TODAY, reason="", version=None, now=now)
    assert "It has left (scrapped)." in client.get(f"/pieces/{piece.tag}/sell", status=409).text
    client.get("/pieces/NOPE/sell", status=404)


def test_a_mistaken_sale_is_struck_out_with_its_reason(
    client: ExaminingClient, ledger: Ledger, sold: tuple[Piece, Sale]
) -> None:
    piece, sale = sold
    path = f"/sales/{sale.id}/strike"
    assert client.post_form(path, {"reason": " "}).status_code == 422
    answer = client.post_form(path, {"reason": "wrong piece"})
    assert (answer.status_code, answer.location) == (303, f"/sales/{sale.id}")

    page = client.get(f"/sales/{sale.id}").text
    assert "Struck-out sale of Oak chest" in page
    assert "wrong piece" in page
    assert "See what it earned" not in page
    assert f"/pieces/{piece.tag}/sell" in page
    assert "struck out already" in client.get(path, status=409).text
    with ledger.reading() as session:
        assert piece_row(session, piece.id).stage is Stage.LISTED


def test_a_channel_put_away_is_offered_while_the_piece_is_on_it(
    client: ExaminingClient, ledger: Ledger, listed: Piece
) -> None:
    with ledger.writing() as session:
        row = channels(session)[1]
        correct_channel(
            session,
            row.id,
            name=row.name,
            percent_hundredths=row.percent_hundredths,
            fixed_cents=row.fixed_cents,
            is_put_away=True,
            version=None,
        )
    assert row.name in client.get(f"/pieces/{listed.tag}/sell").text
    with ledger.reading() as session:
        assert session.scalar(select(func.count(Sale.id))) == 0
