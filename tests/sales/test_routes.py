"""Selling, checking, striking out and taking back, as a browser meets it."""

from datetime import date, datetime
from typing import Any, NamedTuple

import pytest
from sqlalchemy import func, select

from app.database.unit_of_work import Ledger
from app.floor.actions import correct_channel
from app.floor.queries import channels, open_listing
from app.pieces.actions import leave
from app.pieces.models import Piece
from app.pieces.queries import piece_row
from app.pieces.rules import Leaving, Stage
from app.sales.actions import strike_sale
from app.sales.models import Sale
from app.sales.queries import SaleRow, sales_of
from tests.builders.floor import a_channel, a_hold, a_listed_piece
from tests.builders.pieces import a_piece
from tests.builders.sales import a_return, a_sale, a_sold_piece
from tests.examining_client import ExaminingClient, Page

TODAY = date(2026, 11, 25)


@pytest.fixture
def listed(ledger: Ledger, client: ExaminingClient) -> Piece:  # noqa: ARG001
    """A chest on the floor at 240, through a channel that takes 13 % and 30 cents."""
    with ledger.writing() as session:
        channel = a_channel(session, "Online marketplace", percent_hundredths=13_00, fixed_cents=30)
        a_channel(session, "Local classifieds")
        return a_listed_piece(session, channel_ids=[channel.id])


@pytest.fixture
def sold(ledger: Ledger, client: ExaminingClient) -> tuple[Piece, Sale]:  # noqa: ARG001
    """A piece sold for 240 with tax, fees and delivery."""
    with ledger.writing() as session:
        money = {
            "delivery_charged_cents": 25_00,
            "delivery_paid_cents": 18_00,
            "fees_cents": 31_20,
            "tax_cents": 19_80,
        }
        return a_sold_piece(session, sale=money)


def hidden(client: ExaminingClient, path: str) -> dict[str, str]:
    """The hidden fields of the form on a page that posts to that page."""
    return fields_of(client.get(path).text, path)


def fields_of(html: str, action: str) -> dict[str, str]:
    found: dict[str, str] = next(form["fields"] for form in Page(html).forms if form["action"] == action)
    return found


def all_sales(ledger: Ledger, piece_id: int) -> list[SaleRow]:
    with ledger.reading() as session:
        return sales_of(session, piece_id)


def check(client: ExaminingClient, piece: Piece, **said: str) -> dict[str, str]:
    """Fill the sell form in, and give back what its check page would send on."""
    path = f"/pieces/{piece.tag}/sell"
    answer = client.post(path, {**hidden(client, path), **ANSWERS, **said})
    assert answer.status_code == 200, answer.text
    return fields_of(answer.text, f"{path}/confirm")


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
    assert "Held for Bea until the end of 28 Nov" in client.get(f"/pieces/{listed.tag}/sell").text
    fields = check(client, listed)
    assert client.post(f"/pieces/{listed.tag}/sell/confirm", fields).status_code == 303


def test_the_check_page_shows_every_answer_the_fee_proposed_and_what_remains(
    client: ExaminingClient, ledger: Ledger, listed: Piece
) -> None:
    path = f"/pieces/{listed.tag}/sell"
    page = client.post(path, {**hidden(client, path), **ANSWERS}).text
    for words in ("$240.00", "20 Nov 2026", "Online marketplace", "$25.00", "$18.00", "$19.80", "Ann", "cash"):
        assert words in page
    assert "proposed from what Online marketplace takes" in page
    assert "$31.50" in page
    assert "$215.50" in page
    assert "Record sale of $240.00" in page
    assert "Nothing is saved yet." in page
    for field in ANSWERS:
        assert f'name="change" value="{field}" formaction="{path}#{field}"' in page
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
    fields = check(client, listed)
    page = client.post(f"/pieces/{listed.tag}/sell", {**fields, "change": "price"}).text
    for value in ("240", "2026-11-20", "25", "18", "19.80", "Ann", "cash"):
        assert f'value="{value}"' in page
    assert 'name="channel" value="1" checked' in page
    assert 'name="fees" type="text" value=""' in page
    assert "There is a problem" not in page
    assert fields_of(page, f"/pieces/{listed.tag}/sell")["submit_token"] == fields["submit_token"]
    assert all_sales(ledger, listed.id) == []


def test_a_new_price_proposes_a_new_fee(client: ExaminingClient, ledger: Ledger, listed: Piece) -> None:
    first = check(client, listed)
    path = f"/pieces/{listed.tag}/sell"
    back = fields_of(client.post(path, {**first, "change": "price"}).text, path)
    page = client.post(path, {**back, **ANSWERS, "price": "100"}).text
    client.post(f"{path}/confirm", fields_of(page, f"{path}/confirm"))
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
    assert "See what it earned" in page
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

    checked = client.post(path, {**fields, "price": "300"})
    assert checked.status_code == 422
    assert "It is sold already." in checked.text
    assert "/sales/1" in checked.text
    saved = client.post(f"{path}/confirm", {**fields, "price": "300"})
    assert saved.status_code == 409
    assert [sale.price_cents for sale in all_sales(ledger, listed.id)] == [240_00]


def test_two_browsers_with_the_same_piece_sell_it_once(client: ExaminingClient, ledger: Ledger, listed: Piece) -> None:
    one, other = check(client, listed), check(client, listed, price="200")
    path = f"/pieces/{listed.tag}/sell/confirm"
    assert client.post(path, one).status_code == 303
    refused = client.post(path, other)
    assert refused.status_code == 422
    assert "It is sold already. Nothing of this was saved." in refused.text
    assert len(all_sales(ledger, listed.id)) == 1


class Refusal(NamedTuple):
    """What is told wrong, the box at fault and the words beside it."""

    said: dict[str, str]
    field: str
    words: str


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
    answer = client.post(path, {**hidden(client, path), **ANSWERS, **refusal.said})
    assert answer.status_code == 422
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


def test_a_return_is_shown_once_more_before_it_counts(
    client: ExaminingClient, ledger: Ledger, sold: tuple[Piece, Sale]
) -> None:
    piece, sale = sold
    path = f"/sales/{sale.id}/return"
    start = client.get(path).text
    assert 'value="265.00"' in start
    assert 'value="19.80"' in start
    told = {
        **fields_of(start, path),
        "returned_on": "2026-11-23",
        "reason": "did not fit",
        "refund": "200",
        "tax_refunded": "16",
        "fees_back": "31.20",
        "delivery_back": "",
        "to_stage": "prepped",
    }
    page = client.post(path, told)
    assert page.status_code == 200
    for words in ("23 Nov 2026", "did not fit", "$200.00", "$16.00", "$31.20", "Nothing", "Prepped"):
        assert words in page.text
    assert all_sales(ledger, piece.id)[0].came_back is None

    carried = fields_of(page.text, path)
    back = client.post(path, {**carried, "change": "refund"}).text
    assert 'value="200"' in back
    assert "There is a problem" not in back
    answers = [client.post(path, {**carried, "agreed": "yes"}) for _ in range(2)]
    assert {(answer.status_code, answer.location) for answer in answers} == {(303, f"/sales/{sale.id}")}

    (row,) = all_sales(ledger, piece.id)
    assert row.came_back is not None
    assert (row.came_back.refund_cents, row.came_back.fees_back_cents) == (200_00, 31_20)
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
@pytest.mark.parametrize("go_on", [{}, {"agreed": "yes"}])
def test_a_return_that_cannot_be_is_refused_at_its_box(
    client: ExaminingClient, sold: tuple[Piece, Sale], go_on: dict[str, str], refusal: Refusal
) -> None:
    path = f"/sales/{sold[1].id}/return"
    whole = {"returned_on": "2026-11-23", "reason": "did not fit", "refund": "1", "to_stage": "finished"}
    answer = client.post(path, {**hidden(client, path), **whole, **refusal.said, **go_on})
    assert answer.status_code == 422
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
        "265.00,19.80,0.00,0.00"
    )
    assert client.get("/sales.csv?month=2026-10").text.splitlines() == [header]


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
