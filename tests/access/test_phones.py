"""The list of phones, one phone's page, what is known of each, and how each is ended."""

from datetime import datetime, timedelta

import pytest
from flask import Flask
from freezegun import freeze_time
from icalendar import Calendar
from sqlalchemy import select

from app.access.models import CalendarFeed, SignedInBrowser
from app.access.routes import count_captures_by
from app.access.rules import SignedIn
from app.access.store import ready_certificate, what_to_trust
from app.database.unit_of_work import Ledger
from tests.access.conftest import HOME
from tests.access.visitors import code_from, pair, sign_in
from tests.bench.hands import HOUR, a_drying_job
from tests.builders.pieces import NOW
from tests.examining_client import ExaminingClient

LIST = "/settings/phones"

pytestmark = pytest.mark.usefixtures("at_home")


@pytest.fixture
def paired(inside: ExaminingClient, phone: ExaminingClient) -> ExaminingClient:
    """A phone that was paired by a code."""
    pair(phone, code_from(inside))
    return phone


@pytest.fixture
def phone_id(paired: ExaminingClient, at_home: Ledger) -> int:  # noqa: ARG001
    with at_home.reading() as session:
        return session.scalars(select(SignedInBrowser.id).where(SignedInBrowser.is_phone)).one()


def test_a_phone_stays_paired_far_longer_than_a_browser_stays_signed_in(now: datetime) -> None:
    def is_open(days: int, away: int, *, is_phone: bool) -> bool:
        made_at = now - timedelta(days=days)
        return SignedIn(made_at, now - timedelta(days=away), is_phone=is_phone).is_open(now)

    assert is_open(364, 59, is_phone=True)
    assert not is_open(365, 1, is_phone=True)
    assert not is_open(100, 60, is_phone=True)
    assert not is_open(30, 1, is_phone=False)
    assert not SignedIn(now, now, now, is_phone=True).is_open(now)


def test_the_cookie_lives_as_long_as_the_longest_sign_in(paired: ExaminingClient, now: datetime) -> None:
    cookie = paired.raw.get_cookie("tackcloth")
    assert cookie is not None
    assert cookie.expires == now + timedelta(days=365)
    for days in range(50, 365, 50):
        with freeze_time(now + timedelta(days=days)):
            paired.get(LIST)
    with freeze_time(now + timedelta(days=365)):
        paired.get(LIST, status=303)


def test_the_list_says_what_is_known_of_each(
    app: Flask, at_home: Ledger, paired: ExaminingClient, phone_id: int, inside: ExaminingClient
) -> None:
    assert "not said yet" in inside.get(LIST).text
    count_captures_by(app, lambda _session: {phone_id: 1234})
    with at_home.writing() as session:
        row = session.get_one(SignedInBrowser, phone_id)
        row.waiting, row.waiting_since, row.told_at = 3, NOW - timedelta(days=2), NOW
    for page in (inside.get(LIST).text, inside.get(f"{LIST}/{phone_id}").text):
        assert "garage phone" in page
        assert "1234" in page
        assert "3" in page
        assert "23 Nov" in page or "Nov 23" in page
    assert "this one" in paired.get(LIST).text
    inside.get(f"{LIST}/999", status=404)


def test_the_list_asks_no_more_queries_for_more_phones(
    app: Flask,
    inside: ExaminingClient,
) -> None:
    pair(ExaminingClient(app), code_from(inside))
    inside.get(LIST)
    few = inside.queries
    for _ in range(6):
        pair(ExaminingClient(app), code_from(inside))
    inside.get(LIST)
    assert inside.queries == few


def test_a_revoked_phone_is_out_with_its_next_tap(
    paired: ExaminingClient, phone_id: int, inside: ExaminingClient
) -> None:
    paired.get("/books")
    assert inside.post_form(f"{LIST}/{phone_id}/end", {}, from_page=LIST).location == LIST
    assert "Out from now on: garage phone." in inside.get(LIST).text
    assert paired.get("/books", status=303).location == "/sign-in?next=/books"
    assert paired.raw.get("/pocket/home").status_code == 401
    inside.get(f"{LIST}/{phone_id}", status=404)


def test_a_new_passphrase_puts_phones_out_too(paired: ExaminingClient, inside: ExaminingClient) -> None:
    fields = {"old_passphrase": "copper kettle on the sill", "passphrase": "seventeen lame geese"}
    inside.post_form("/settings/passphrase", {**fields, "again": fields["passphrase"]})
    paired.get("/books", status=303)


def address_from(inside: ExaminingClient, phone_id: int) -> str:
    """Have a calendar address made; give the path of it."""
    answer = inside.post_form(f"{LIST}/{phone_id}/calendar", {}, from_page=f"{LIST}/{phone_id}")
    assert answer.headers["Cache-Control"] == "no-store"
    return "/calendar/" + answer.text.split(HOME.secure("/calendar/"))[1].split("<")[0]


def test_a_phone_gets_a_calendar_address_that_shows_what_is_ready_when(
    app: Flask, at_home: Ledger, phone_id: int, inside: ExaminingClient
) -> None:
    with at_home.writing() as session:
        a_drying_job(session, title="Oak chest")
    path = address_from(inside, phone_id)
    anybody = app.test_client()
    answer = anybody.get(path)
    assert (answer.status_code, answer.content_type) == (200, "text/calendar; charset=utf-8")
    assert answer.headers["Cache-Control"] == "no-store"
    [event] = Calendar.from_ical(answer.data).walk("VEVENT")
    assert event.decoded("DTSTART") == NOW + 3 * HOUR
    assert "Oak chest" in str(event["SUMMARY"])
    assert anybody.head(path).status_code == 200
    assert anybody.head(path).data == b""
    # The address is shown once, and only its hash is kept.
    assert path.split("/")[-1] not in inside.get(f"{LIST}/{phone_id}").text
    with at_home.reading() as session:
        assert len(session.scalars(select(CalendarFeed.token_hash)).one()) == 64


def test_an_empty_calendar_is_a_calendar(app: Flask, phone_id: int, inside: ExaminingClient) -> None:
    answer = app.test_client().get(address_from(inside, phone_id))
    assert answer.status_code == 200
    found = Calendar.from_ical(answer.data)
    assert found.walk("VEVENT") == []
    assert found.subcomponents
    assert b"REFRESH-INTERVAL;VALUE=DURATION:PT1H\r\n" in answer.data
    assert b"NAME:Ready at the bench\r\n" in answer.data


def test_a_new_address_ends_the_old_one_and_each_can_be_ended(
    app: Flask, phone_id: int, inside: ExaminingClient
) -> None:
    anybody = ExaminingClient(app)
    first = address_from(inside, phone_id)
    second = address_from(inside, phone_id)
    never = anybody.get("/calendar/x.ics", status=404)
    assert anybody.get(first, status=404).text == never.text
    assert anybody.raw.get(second).status_code == 200
    inside.post_form(f"{LIST}/{phone_id}/calendar/end", {}, from_page=f"{LIST}/{phone_id}")
    assert anybody.get(second, status=404).text == never.text
    assert "Bent Nail" not in never.text


def test_the_calendar_of_a_revoked_phone_stops_at_once(app: Flask, phone_id: int, inside: ExaminingClient) -> None:
    path = address_from(inside, phone_id)
    inside.post_form(f"{LIST}/{phone_id}/end", {}, from_page=f"{LIST}/{phone_id}")
    assert app.test_client().get(path).status_code == 404


def test_only_a_paired_phone_has_a_calendar_address(at_home: Ledger, inside: ExaminingClient, phone_id: int) -> None:
    with at_home.reading() as session:
        browser = session.scalars(select(SignedInBrowser.id).where(SignedInBrowser.is_phone.is_(False))).one()
    assert "Calendar address" not in inside.get(f"{LIST}/{browser}").text
    for wrong in (browser, 999):
        page = f"{LIST}/{phone_id}"
        token = inside.get(page).text.split('name="csrf_token" value="')[1].split('"')[0]
        assert inside.post(f"{LIST}/{wrong}/calendar", {"csrf_token": token}).status_code == 404


def test_the_certificate_page_is_open_and_gives_the_certificate_alone(
    app: Flask,
    phone: ExaminingClient,
    now: datetime,
) -> None:
    assert "There is none yet" in phone.get("/certificate").text
    phone.get("/certificate/shop.crt", status=404)
    folder = app.extensions["tackcloth_settings"].data_dir
    ready_certificate(folder, HOME.host, "bench", "Bent Nail Workshop", now=now)
    trust = what_to_trust(folder)
    assert trust is not None
    assert trust.fingerprint in phone.get("/certificate").text
    answer = phone.get("/certificate/shop.crt")
    assert answer.content_type == "application/x-x509-ca-cert"
    assert answer.data == trust.der
    assert b"PRIVATE" not in answer.data
    sign_in(phone)
    assert trust.fingerprint in phone.get(LIST).text
