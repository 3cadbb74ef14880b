"""The door: who gets in, who is told to wait, and how a sign-in ends."""

from datetime import datetime, timedelta
from io import BytesIO

import pytest
from flask import Flask
from freezegun import freeze_time
from sqlalchemy import select

from app.access.models import SignedInBrowser
from app.database.once import Submission
from app.database.unit_of_work import Ledger
from tests.access.visitors import GOOD, OTHER, PHONE, csrf_of, sign_in
from tests.examining_client import ExaminingClient


class Unread(BytesIO):
    """Something sent that nobody may look at."""

    def read(self, _size: int | None = -1) -> bytes:
        raise AssertionError("what was sent was read")

    readinto = readline = read  # type: ignore[assignment]


@pytest.mark.parametrize("path", ["/find", "/settings/shop", "/nowhere"])
def test_nothing_sent_is_read_before_the_sign_in(phone: ExaminingClient, path: str) -> None:
    answer = phone.raw.post(
        path,
        input_stream=Unread(b"--part"),
        content_length=1_000_000,
        content_type="multipart/form-data; boundary=part",
        headers={"Origin": "http://localhost"},
    )
    assert (answer.status_code, answer.location) == (303, "/sign-in")


def test_a_page_that_does_not_exist_is_not_told_from_one_that_does(phone: ExaminingClient) -> None:
    assert phone.get("/no/such/page", status=303).location == "/sign-in?next=/no/such/page"


def test_style_sheets_are_served_before_the_sign_in(phone: ExaminingClient) -> None:
    href = phone.get("/sign-in").text.split('rel="stylesheet" href="')[1].split('"')[0]
    assert phone.get(href).content_type.startswith("text/css")


def test_the_sign_in_page_shows_no_places(phone: ExaminingClient) -> None:
    page = phone.get("/sign-in").text
    assert "Bent Nail" not in page
    assert 'href="/books"' not in page
    assert 'autocomplete="current-password"' in page


def test_this_computer_has_to_sign_in_too_once_there_is_a_passphrase(app: Flask, locked: Ledger) -> None:  # noqa: ARG001
    here = ExaminingClient(app)
    assert here.get("/settings/phones", status=303).location == "/sign-in?next=/settings/phones"


def test_without_a_passphrase_this_computer_comes_in_and_nobody_else(client: ExaminingClient) -> None:
    client.get("/settings/phones")
    for path in ("/", "/settings/phones", "/sign-in", "/assets/x/rooms.css", "/nothing"):
        answer = client.get(path, status=403, environ_overrides={"REMOTE_ADDR": PHONE})
        assert "Only its own computer" in answer.text
        assert "Bent Nail" not in answer.text


def test_without_a_passphrase_nobody_else_can_post_either(client: ExaminingClient) -> None:
    token = client.get("/settings/passphrase").text.split('name="csrf_token" value="')[1].split('"')[0]
    fields = {"csrf_token": token, "passphrase": GOOD, "again": GOOD}
    answer = client.post("/settings/passphrase", fields, environ_overrides={"REMOTE_ADDR": PHONE})
    assert answer.status_code == 403
    client.get("/settings/phones")


def test_a_forwarded_address_is_not_believed(client: ExaminingClient) -> None:
    headers = {"X-Forwarded-For": "127.0.0.1", "X-Real-IP": "127.0.0.1", "Forwarded": "for=127.0.0.1"}
    client.get("/", status=403, headers=headers, environ_overrides={"REMOTE_ADDR": PHONE})


def test_the_right_passphrase_opens_the_page_that_was_asked_for(phone: ExaminingClient) -> None:
    asked = phone.get("/settings/phones?from=here", status=303).location
    answer = sign_in(phone, path=asked)
    assert (answer.status_code, answer.location) == (303, "/settings/phones?from=here")
    assert "phone" not in phone.get("/settings/phones").text.split("<main")[0]


@pytest.mark.parametrize("away", ["https://evil.example/", "//evil.example", "/\\evil.example", "javascript:alert(1)"])
def test_a_sign_in_leads_nowhere_but_into_the_shop(phone: ExaminingClient, away: str) -> None:
    phone.get("/sign-in", query_string={"next": away})
    token = csrf_of(phone)
    fields = {"csrf_token": token, "passphrase": GOOD}
    assert phone.post("/sign-in", fields, query_string={"next": away}).location == "/"


def test_a_wrong_passphrase_is_told_without_saying_how_wrong_and_the_box_is_cleared(phone: ExaminingClient) -> None:
    answer = sign_in(phone, "copper kettle on the silly")
    assert answer.status_code == 422
    assert "That is not the passphrase." in answer.text
    assert "silly" not in answer.text
    phone.get("/", status=303)


def test_an_empty_passphrase_costs_no_try(phone: ExaminingClient) -> None:
    for _ in range(8):
        answer = sign_in(phone, "")
        assert answer.status_code == 422
        assert "Type the passphrase." in answer.text


def test_after_five_wrong_tries_there_is_a_wait_even_for_the_right_one(phone: ExaminingClient, now: datetime) -> None:
    for _ in range(5):
        assert sign_in(phone, OTHER).status_code == 422
    refused = sign_in(phone, GOOD)
    assert refused.status_code == 429
    assert refused.headers["Retry-After"] == "1"
    assert "Too many wrong tries. Wait 1 second, then try again." in refused.text
    with freeze_time(now + timedelta(seconds=1)):
        assert sign_in(phone, GOOD).status_code == 303


def test_hammering_for_two_minutes_gets_eleven_guesses(phone: ExaminingClient, now: datetime) -> None:
    judged = 0
    for second in range(120):
        with freeze_time(now + timedelta(seconds=second)):
            judged += sign_in(phone, OTHER).status_code == 422
    # Five at once; then in the seconds 5, 7, 11, 19, 35 and 67, each wait twice the one before.
    assert judged == 5 + 6


def test_a_new_sign_in_gets_a_new_token(phone: ExaminingClient, locked: Ledger) -> None:
    before = phone.raw.get_cookie("tackcloth")
    sign_in(phone)
    after = phone.raw.get_cookie("tackcloth")
    assert after is not None
    assert before is None or before.value != after.value
    assert after.http_only
    assert after.same_site == "Lax"
    with locked.reading() as session:
        assert len(session.scalars(select(SignedInBrowser)).all()) == 1


def test_the_cookie_is_not_sent_anew_with_every_page(inside: ExaminingClient) -> None:
    inside.get("/settings/phones")
    assert "Set-Cookie" not in inside.get("/settings/phones").headers


def test_signing_out_ends_it_on_the_server(app: Flask, inside: ExaminingClient) -> None:
    stolen = inside.raw.get_cookie("tackcloth")
    assert stolen is not None
    answer = inside.post_form("/sign-out", {}, from_page="/settings/phones")
    assert answer.location == "/sign-in"
    assert "You are signed out." in inside.get("/sign-in").text
    thief = ExaminingClient(app)
    thief.raw.set_cookie("tackcloth", stolen.value)
    thief.get("/settings/phones", status=303)


def test_a_cookie_signed_by_somebody_else_opens_nothing(phone: ExaminingClient) -> None:
    phone.raw.set_cookie("tackcloth", "eyJicm93c2VyIjoiYWJjIn0.aScvPA.2H0cnEOCZ6s0J6cAzO3Yq3eXeYA")
    phone.get("/", status=303)


def test_a_sign_in_ends_after_fourteen_days_away(inside: ExaminingClient, now: datetime) -> None:
    with freeze_time(now + timedelta(days=13)):
        inside.get("/settings/phones")
    with freeze_time(now + timedelta(days=26)):
        inside.get("/settings/phones")
    with freeze_time(now + timedelta(days=30)):
        inside.get("/settings/phones", status=303)


def test_a_sighting_is_written_down_every_five_minutes_at_most(
    inside: ExaminingClient, locked: Ledger, now: datetime
) -> None:
    def seen() -> datetime:
        with locked.reading() as session:
            return session.scalars(select(SignedInBrowser.seen_at)).one()

    with freeze_time(now + timedelta(minutes=4)):
        inside.get("/settings/phones")
    assert seen() == now
    with freeze_time(now + timedelta(minutes=6)):
        inside.get("/settings/phones")
    assert seen() == now + timedelta(minutes=6)


def test_browsers_are_named_and_can_be_ended(app: Flask, inside: ExaminingClient) -> None:
    other = ExaminingClient(app)
    sign_in(other, name="  garage   phone ")
    page = inside.get("/settings/phones").text
    assert "garage phone" in page
    assert "computer browser" in page
    action = next(href for href in page.split('action="') if href.split('"')[0].endswith("/end")).split('"')[0]
    answer = inside.post_form(action, {}, from_page="/settings/phones")
    assert answer.location == "/settings/phones"
    assert "Out from now on: garage phone." in inside.get("/settings/phones").text
    other.get("/settings/phones", status=303)


def test_all_others_can_be_ended_at_once(app: Flask, inside: ExaminingClient) -> None:
    others = [ExaminingClient(app) for _ in range(2)]
    for other in others:
        sign_in(other)
    inside.post_form("/settings/phones/end-others", {}, from_page="/settings/phones")
    assert "Out from now on: 2 others." in inside.get("/settings/phones").text
    for other in others:
        other.get("/settings/phones", status=303)


def test_a_name_that_is_too_long_is_told_at_its_field(phone: ExaminingClient) -> None:
    answer = sign_in(phone, name="x" * 81)
    assert answer.status_code == 422
    assert "Keep it to 80 at most" in answer.text


def test_the_first_passphrase_keeps_the_one_who_set_it_inside(client: ExaminingClient, app: Flask) -> None:
    answer = client.post_form("/settings/passphrase", {"passphrase": GOOD, "again": GOOD})
    assert answer.location == "/settings/phones"
    assert "this one" in client.get("/settings/phones").text
    ExaminingClient(app).get("/", status=303)


@pytest.mark.parametrize(
    ("fields", "words"),
    [
        ({}, "Type the new passphrase."),
        ({"passphrase": "too short", "again": "too short"}, "Use 15 characters or more."),
        ({"passphrase": GOOD, "again": OTHER}, "The two are not alike."),
        ({"passphrase": "Bent Nail Workshop", "again": "Bent Nail Workshop"}, "guessed early"),
    ],
)
def test_a_poor_first_passphrase_leaves_the_shop_open(
    client: ExaminingClient, fields: dict[str, str], words: str
) -> None:
    answer = client.post_form("/settings/passphrase", fields)
    assert answer.status_code == 422
    assert words in answer.text
    client.get("/settings/phones")


def test_a_new_passphrase_asks_for_the_old_one_and_signs_all_others_out(app: Flask, inside: ExaminingClient) -> None:
    other = ExaminingClient(app)
    sign_in(other)
    fields = {"passphrase": OTHER, "again": OTHER}
    wrong = inside.post_form("/settings/passphrase", {**fields, "old_passphrase": "seventeen lame ducks"})
    assert wrong.status_code == 422
    assert "That is not the passphrase." in wrong.text
    right = inside.post_form("/settings/passphrase", {**fields, "old_passphrase": GOOD})
    assert right.location == "/settings/phones"
    inside.get("/settings/phones")
    other.get("/settings/phones", status=303)
    assert sign_in(other, GOOD).status_code == 422
    assert sign_in(other, OTHER).status_code == 303


def test_a_stolen_browser_cannot_try_old_passphrases_without_end(inside: ExaminingClient) -> None:
    fields = {"passphrase": OTHER, "again": OTHER, "old_passphrase": "seventeen lame ducks"}
    for _ in range(5):
        assert inside.post_form("/settings/passphrase", fields).status_code == 422
    refused = inside.post_form("/settings/passphrase", {**fields, "old_passphrase": GOOD})
    assert refused.status_code == 429
    assert refused.headers["Retry-After"] == "1"


def test_saving_a_new_passphrase_twice_from_one_page_does_it_once_and_keeps_no_trace_of_it(
    inside: ExaminingClient, locked: Ledger
) -> None:
    fields = {**hidden_of(inside), "old_passphrase": GOOD, "passphrase": OTHER, "again": OTHER}
    for _ in range(2):
        assert inside.post("/settings/passphrase", fields).location == "/settings/phones"
    with locked.reading() as session:
        assert session.scalars(select(Submission.fingerprint)).all() == [""]


def hidden_of(client: ExaminingClient) -> dict[str, str]:
    page = client.get("/settings/passphrase").text
    names = ("csrf_token", "submit_token")
    return {name: page.split(f'name="{name}"')[1].split('value="')[1].split('"')[0] for name in names}


def test_what_was_typed_can_still_be_saved_after_signing_in_again(inside: ExaminingClient, locked: Ledger) -> None:
    fields = {**hidden_of(inside), "old_passphrase": GOOD, "passphrase": OTHER, "again": OTHER}
    with locked.writing() as session:
        for row in session.scalars(select(SignedInBrowser)):
            row.ended_at = row.made_at
    lost = inside.post("/settings/passphrase", fields)
    assert lost.location == "/sign-in"
    assert "that was not saved" in inside.get("/sign-in").text
    sign_in(inside)
    assert inside.post("/settings/passphrase", fields).location == "/settings/phones"


def test_a_strange_host_is_refused_on_every_kind_of_page(client: ExaminingClient) -> None:
    for path in ("/", "/sign-in", "/settings/phones", "/nothing", "/assets/x/rooms.css"):
        for host in ("evil.example", "127.0.0.1.evil.example", "192.168.1.20:8427", "[::2]"):
            answer = client.raw.get(path, headers={"Host": host})
            assert answer.status_code == 400, (path, host)
    posted = client.raw.post("/sign-out", headers={"Host": "evil.example", "Origin": "http://evil.example"})
    assert posted.status_code == 400


@pytest.mark.parametrize(
    "headers", [{}, {"Origin": "http://evil.example"}, {"Origin": "null"}, {"Referer": "http://evil.example/"}]
)
def test_a_post_from_elsewhere_is_refused(inside: ExaminingClient, headers: dict[str, str]) -> None:
    token = inside.get("/settings/passphrase").text.split('name="csrf_token" value="')[1].split('"')[0]
    assert inside.raw.post("/sign-out", data={"csrf_token": token}, headers=headers).status_code == 403
    inside.get("/settings/phones")


def test_a_post_without_the_pages_token_is_refused(phone: ExaminingClient) -> None:
    assert phone.post("/sign-in", {"passphrase": GOOD}).status_code == 400
    phone.get("/", status=303)


def test_a_shop_that_was_never_shared_says_so_instead_of_a_code(inside: ExaminingClient) -> None:
    page = inside.get("/settings/phones/pair").text
    assert "tackcloth share" in page
    assert "Make a code" not in page


def test_without_a_passphrase_there_is_nothing_to_pair(client: ExaminingClient) -> None:
    assert "Set a passphrase first" in client.get("/settings/phones/pair").text
