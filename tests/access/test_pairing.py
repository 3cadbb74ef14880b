"""Pairing: a code from a signed-in browser lets one phone in, once, within ten minutes."""

import re
import threading
from datetime import datetime, timedelta
from html import unescape

import pytest
from flask import Flask
from freezegun import freeze_time
from sqlalchemy import select

from app.access import actions
from app.access.models import Pairing, SignedInBrowser
from app.access.rules import PAIRING_FOR, PairingRefused, code_to_type, new_code, pairing_is_open, read_code
from app.database.unit_of_work import Ledger
from tests.access.conftest import HOME
from tests.access.visitors import OTHER, code_from, pair, sign_in
from tests.examining_client import ExaminingClient

LIST = "/settings/phones"

pytestmark = pytest.mark.usefixtures("at_home")


def test_a_code_holds_ten_minutes_and_once(now: datetime) -> None:
    assert pairing_is_open(now, None, now)
    assert pairing_is_open(now, None, now + PAIRING_FOR - timedelta(microseconds=1))
    assert not pairing_is_open(now, None, now + PAIRING_FOR)
    assert not pairing_is_open(now, now, now)


def test_a_code_is_random_enough_and_read_as_it_is_typed() -> None:
    codes = {new_code() for _ in range(200)}
    assert len(codes) == 200
    # 28 symbols of 32 are 140 bits.
    assert {len(code) for code in codes} == {28}
    assert len(set("".join(codes))) == 32
    for code in codes:
        assert read_code(code_to_type(code).lower()) == code
        assert read_code(f" {code[:5]}-{code[5:]}\n") == code
        assert not set(code) & set("01IO")


def test_a_phone_is_paired_by_the_code_and_opens_the_shop_without_the_passphrase(
    at_home: Ledger, inside: ExaminingClient, phone: ExaminingClient
) -> None:
    code = code_from(inside)
    answer = pair(phone, code)
    assert answer.status_code == 303
    assert answer.location in {"/", "/pocket"}
    assert "garage phone" in phone.get(LIST).text
    with at_home.reading() as session:
        kinds = {row.name: row.is_phone for row in session.scalars(select(SignedInBrowser))}
        kept, used_at = session.execute(select(Pairing.token_hash, Pairing.used_at)).one()
    assert kinds == {"garage phone": True, "computer browser": False}
    assert used_at is not None
    assert code not in kept


def test_the_page_of_the_code_shows_squares_and_the_same_in_words(inside: ExaminingClient) -> None:
    answer = inside.post_form(f"{LIST}/pair", {})
    assert answer.headers["Cache-Control"] == "no-store"
    page = unescape(answer.text)
    assert page.count("<svg viewBox") + page.count('<svg role="img"') >= 3
    assert HOME.secure("/pair") in page
    assert HOME.plain("/certificate") in page
    assert HOME.plain("/pair") in page
    assert "not enciphered" in page


def test_looking_at_the_address_never_burns_the_code(
    inside: ExaminingClient,
    phone: ExaminingClient,
) -> None:
    code = code_from(inside)
    for _ in range(12):
        phone.get(f"/pair/{code}")
        assert phone.raw.head(f"/pair/{code}").status_code == 200
    assert pair(phone, code).status_code == 303


def test_the_code_can_be_typed_instead(inside: ExaminingClient, phone: ExaminingClient) -> None:
    typed = code_to_type(code_from(inside)).lower()
    assert phone.post_form("/pair", {"code": typed, "name": ""}).status_code == 303
    assert "computer browser" in phone.get(LIST).text


def test_a_square_used_twice_pairs_once_and_says_what_to_do(
    app: Flask,
    inside: ExaminingClient,
    phone: ExaminingClient,
) -> None:
    code = code_from(inside)
    assert pair(phone, code).status_code == 303
    thief = ExaminingClient(app)
    refused = pair(thief, code)
    assert refused.status_code == 422
    assert "has paired a phone already" in refused.text
    assert "revoke the phone you do not know" in refused.text
    thief.get("/books", status=303)


def test_a_code_older_than_ten_minutes_is_refused(
    inside: ExaminingClient,
    phone: ExaminingClient,
    now: datetime,
) -> None:
    code = code_from(inside)
    with freeze_time(now + timedelta(minutes=10)):
        refused = pair(phone, code)
        assert refused.status_code == 422
        assert "older than 10 minutes" in refused.text
        phone.get("/books", status=303)
    with freeze_time(now + timedelta(minutes=9, seconds=59)):
        assert pair(phone, code).status_code == 303


def test_wrong_codes_cost_tries_like_wrong_passphrases(
    inside: ExaminingClient,
    phone: ExaminingClient,
) -> None:
    code = code_from(inside)
    for _ in range(3):
        refused = pair(phone, new_code())
        assert refused.status_code == 422
        assert "not a code of this shop" in refused.text
    for _ in range(2):
        assert sign_in(phone, OTHER).status_code == 422
    waits = pair(phone, code)
    assert waits.status_code == 429
    assert waits.headers["Retry-After"] == "1"
    assert sign_in(phone).status_code == 429


def test_two_phones_with_one_code_at_once_one_wins(ledger: Ledger, now: datetime) -> None:
    for _ in range(10):
        with ledger.writing() as session:
            code = actions.make_pairing(session, now=now)
        assert sorted(brought_at_once(ledger, code, now)) == ["let in", *["refused"] * 5]


def brought_at_once(ledger: Ledger, code: str, now: datetime) -> list[str]:
    """What came of bringing one code from six phones at one moment."""
    outcomes: list[str] = []
    start = threading.Barrier(6)

    def bring() -> None:
        start.wait()
        try:
            with ledger.writing() as session:
                actions.pair_phone(session, code, name="x", now=now)
        except PairingRefused:
            outcomes.append("refused")
        else:
            outcomes.append("let in")

    threads = [threading.Thread(target=bring) for _ in range(6)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    return outcomes


def test_only_who_is_signed_in_makes_codes(phone: ExaminingClient, at_home: Ledger) -> None:
    token = re.search(r'name="csrf_token" value="([^"]+)"', phone.get("/sign-in").text)
    assert token is not None
    assert phone.post(f"{LIST}/pair", {"csrf_token": token[1]}).location == "/sign-in"
    with at_home.reading() as session:
        assert session.scalars(select(Pairing)).all() == []


def test_a_phone_paired_anew_stands_in_the_list_once(
    at_home: Ledger, inside: ExaminingClient, phone: ExaminingClient, now: datetime
) -> None:
    for minute in range(2):
        with freeze_time(now + timedelta(minutes=minute)):
            assert pair(phone, code_from(inside)).status_code == 303
    with at_home.reading() as session:
        ended = session.scalars(select(SignedInBrowser.ended_at).where(SignedInBrowser.is_phone)).all()
    assert [moment is None for moment in ended] == [False, True]


def test_codes_of_earlier_days_are_forgotten(ledger: Ledger, now: datetime) -> None:
    with ledger.writing() as session:
        actions.make_pairing(session, now=now - timedelta(days=2))
        actions.make_pairing(session, now=now)
        assert len(session.scalars(select(Pairing)).all()) == 1


@pytest.mark.parametrize("code", ["x" * 500, "%00", "..", "éß", "'--"])
def test_nonsense_for_a_code_is_refused_like_any_other(phone: ExaminingClient, code: str) -> None:
    token = re.search(r'name="csrf_token" value="([^"]+)"', phone.get("/pair").text)
    assert token is not None
    answer = phone.post(f"/pair/{code}", {"csrf_token": token[1], "name": "x"})
    assert answer.status_code in {404, 422}
    assert phone.post("/pair", {"csrf_token": token[1], "name": "x", "code": code}).status_code == 422
