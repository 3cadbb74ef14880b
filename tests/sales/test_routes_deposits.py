"""Deposits as a browser meets them: taken at the hold, applied at the sale, given back, kept, struck out."""

from datetime import datetime

import pytest

from app.database.unit_of_work import Ledger
from app.pieces.models import Piece
from app.sales.queries import deposit_by_id, standing_deposits
from app.sales.rules import DepositEnding
from tests.builders.floor import a_hold, a_listed_piece
from tests.builders.pieces import a_piece
from tests.builders.sales import a_deposit, a_deposit_end
from tests.examining_client import ExaminingClient, Page
from tests.sales.pages import all_sales, fields_of

TOLD = {"price": "240", "sold_on": "2026-11-20", "channel": "", "tax_by": "shop"}


def test_a_hold_leads_on_to_its_deposit_with_the_name_kept(
    client: ExaminingClient, ledger: Ledger, listed: Piece
) -> None:
    path = f"/pieces/{listed.tag}/hold"
    held = client.post_form(path, {"held_for": "Bea", "until": "2026-11-30", "deposit": "yes"})
    assert (held.status_code, held.location) == (303, f"/pieces/{listed.tag}/deposit")
    page = client.get(held.location).text
    assert 'value="Bea"' in page
    answer = client.post_form(held.location, {"payer": "Bea", "amount": "50", "on_date": "2026-11-25", "note": "cash"})
    assert answer.status_code == 303
    shown = client.get(answer.location).text
    for words in ("Deposit of Bea", "$50.00", "cash", "25 Nov 2026", "Still owed"):
        assert words in shown
    assert "Deposit of $50.00 from Bea" in client.get(f"/pieces/{listed.tag}").text
    with ledger.reading() as session:
        assert [row.left_cents for row in standing_deposits(session, listed.id)] == [50_00]


def test_a_hold_without_a_deposit_leads_back_to_the_piece(client: ExaminingClient, listed: Piece) -> None:
    held = client.post_form(f"/pieces/{listed.tag}/hold", {"held_for": "Bea", "until": "2026-11-30"})
    assert held.location == f"/pieces/{listed.tag}"


def test_a_deposit_sent_twice_is_taken_once(client: ExaminingClient, ledger: Ledger, listed: Piece) -> None:
    path = f"/pieces/{listed.tag}/deposit"
    fields = fields_of(client.get(path).text, path)
    said = {**fields, "payer": "Ann", "amount": "50", "on_date": "2026-11-25"}
    assert [client.post(path, said).status_code for _ in range(2)] == [303, 303]
    with ledger.reading() as session:
        assert len(standing_deposits(session, listed.id)) == 1


@pytest.mark.parametrize(
    ("said", "words"),
    [
        ({"payer": ""}, "Say who paid it."),
        ({"amount": ""}, "Type how much was paid."),
        ({"amount": "0"}, "Type how much was paid."),
        ({"amount": "-5"}, "never below zero"),
        ({"on_date": "2026-11-26"}, "has not come yet"),
        ({"on_date": "2026-09-01"}, "before the day the piece was found"),
    ],
)
def test_a_deposit_that_cannot_be_keeps_what_was_typed(
    client: ExaminingClient, listed: Piece, said: dict[str, str], words: str
) -> None:
    whole = {"payer": "Ann", "amount": "50", "on_date": "2026-11-25", "note": "in an envelope"}
    answer = client.post_form(f"/pieces/{listed.tag}/deposit", {**whole, **said})
    assert answer.status_code == 422
    assert words in answer.text
    assert 'value="in an envelope"' in answer.text


def test_the_sale_applies_the_deposits_that_stand(client: ExaminingClient, ledger: Ledger, listed: Piece) -> None:
    with ledger.writing() as session:
        deposit = a_deposit(session, listed)
    path = f"/pieces/{listed.tag}/sell"
    start = client.get(path).text
    assert f'name="deposits" value="{deposit.id}" checked' in start
    assert "$50.00 from Ann, 10 Nov" in start
    left_over = client.get(f"{path}/check", query_string=TOLD, status=422).text
    assert "A deposit of Ann would be left over." in left_over
    assert f'name="deposits" value="{deposit.id}">' in left_over
    page = client.get(f"{path}/check", query_string={**TOLD, "deposits": str(deposit.id)}).text
    assert "Still to collect" in page
    assert "$190.00" in page
    assert any(link.endswith("#deposits") and f"deposits={deposit.id}" in link for link in Page(page).links)
    done = client.post(f"{path}/confirm", fields_of(page, f"{path}/confirm"))
    assert done.status_code == 303
    sold = client.get(done.location).text
    assert "deposit of Ann: $50.00" in sold
    assert "Applied to the sale: $50.00" in client.get(f"/deposits/{deposit.id}").text
    assert "stands again" in client.get(f"{done.location}/strike").text
    client.post_form(f"{done.location}/strike", {"reason": "wrong price"})
    with ledger.reading() as session:
        assert deposit_by_id(session, deposit.id).left_cents == 50_00


def test_a_deposit_taken_while_the_sale_was_checked_stops_it(
    client: ExaminingClient, ledger: Ledger, listed: Piece
) -> None:
    path = f"/pieces/{listed.tag}/sell"
    fields = fields_of(client.get(f"{path}/check", query_string=TOLD).text, f"{path}/confirm")
    with ledger.writing() as session:
        a_deposit(session, listed)
    answer = client.post(f"{path}/confirm", fields)
    assert answer.status_code == 422
    assert "would be left over" in answer.text
    assert all_sales(ledger, listed.id) == []
    fields["deposits"] = "99"
    assert client.post(f"{path}/confirm", fields).status_code == 422


def test_a_deposit_is_given_back_in_part_and_the_rest_kept(
    client: ExaminingClient, ledger: Ledger, listed: Piece
) -> None:
    with ledger.writing() as session:
        deposit = a_deposit(session, listed)
    path = f"/deposits/{deposit.id}/end"
    assert 'value="50.00"' in client.get(path).text
    day = {"on_date": "2026-11-20"}
    assert "Choose whether it is given back or kept." in client.post_form(path, {"amount": "20", **day}).text
    assert "more than is left" in client.post_form(path, {"how": "refunded", "amount": "50.01", **day}).text
    assert "Say why it is kept" in client.post_form(path, {"how": "kept", "amount": "20", **day}).text
    client.post_form(path, {"how": "refunded", "amount": "20", **day})
    client.post_form(path, {"how": "kept", "amount": "30", "reason": "as agreed", **day})
    page = client.get(f"/deposits/{deposit.id}").text
    for words in ("Given back: $20.00", "Kept: $30.00", "as agreed"):
        assert words in page
    assert "Nothing is left" in client.get(path).text
    with ledger.reading() as session:
        kept = next(end for end in deposit_by_id(session, deposit.id).ends if end.how is DepositEnding.KEPT)
    answer = client.post_form(f"/deposits/ends/{kept.id}/strike", {"reason": "it was given back, too"})
    assert answer.location == f"/deposits/{deposit.id}"
    assert "Struck out: it was given back, too" in client.get(answer.location).text
    assert "It was struck out on" in client.get(f"/deposits/ends/{kept.id}/strike").text


def test_a_deposit_nobody_paid_is_struck_out(client: ExaminingClient, ledger: Ledger, listed: Piece) -> None:
    with ledger.writing() as session:
        deposit = a_deposit(session, listed)
    path = f"/deposits/{deposit.id}/strike"
    assert client.post_form(path, {"reason": ""}).status_code == 422
    assert client.post_form(path, {"reason": "typed twice"}).status_code == 303
    assert "This deposit does not count." in client.get(f"/deposits/{deposit.id}").text
    assert "It was struck out on" in client.get(path).text
    assert "Struck out: typed twice" in client.get("/deposits").text


def test_all_deposits_are_listed_with_what_is_owed_and_ask_no_more_queries(
    client: ExaminingClient, ledger: Ledger, now: datetime
) -> None:
    assert "No deposit stands." in client.get("/deposits").text
    with ledger.writing() as session:
        a_deposit_end(session, a_deposit(session, a_piece(session), payer="Bea"), cents=20_00)
        a_deposit_end(session, a_deposit(session, a_piece(session), payer="Cal", note="=1+1"))
    page = client.get("/deposits").text
    few = client.queries
    assert "$30.00" in page
    assert "1 deposit stands" in page
    lines = client.get("/deposits.csv").text.splitlines()
    assert len(lines) == 5
    assert ",Bea,2026-11-10,50.00,,30.00," in lines[3]
    assert "Given back,2026-11-20,20.00,,Changed their mind,yes," in lines[4]
    with ledger.writing() as session:
        for number in range(45):
            a_deposit_end(session, a_deposit(session, a_piece(session), payer=f"P {number}", now=now))
    assert "1 to 40 of 46" in client.get("/deposits").text
    assert client.queries == few
    assert "41 to 46 of 46" in client.get("/deposits?page=2").text


def test_the_sheet_asks_no_more_queries_for_more_deposits(client: ExaminingClient, ledger: Ledger) -> None:
    with ledger.writing() as session:
        few, many = a_listed_piece(session), a_listed_piece(session)
        for piece, count in ((few, 1), (many, 9)):
            a_hold(session, piece)
            for number in range(count):
                a_deposit_end(session, a_deposit(session, piece, payer=f"P {number}"), cents=1)
    counts = []
    for piece in (few, many):
        for path in (f"/pieces/{piece.tag}", f"/pieces/{piece.tag}/sell"):
            client.get(path)
            counts.append(client.queries)
    assert counts[:2] == counts[2:]


def test_a_piece_with_a_deposit_does_not_leave(client: ExaminingClient, ledger: Ledger) -> None:
    with ledger.writing() as session:
        piece = a_piece(session)
        a_deposit(session, piece)
    answer = client.post_form(f"/pieces/{piece.tag}/leave", {"how": "kept", "reason": "", "on_date": "2026-11-25"})
    assert answer.status_code == 422
    assert "A deposit stands on it: Ann." in answer.text


def test_deposits_nobody_took_are_not_found(client: ExaminingClient) -> None:
    for path in ("/deposits/99", "/deposits/99/end", "/deposits/99/strike", "/deposits/ends/99/strike"):
        client.get(path, status=404)
