"""A rescue file taken in at home: any number of times, each capture by itself, and what needs the owner."""

import base64
import csv
import json
from datetime import UTC, datetime
from io import BytesIO, StringIO
from typing import Any

import pytest
from sqlalchemy import func, select
from werkzeug.datastructures import FileStorage
from werkzeug.test import TestResponse

from app.access.models import SignedInBrowser
from app.costs.models import CostLine
from app.database.unit_of_work import Ledger
from app.photos.models import Photo
from app.pieces.models import Piece
from app.pocket.models import Capture, CapturePhoto
from app.pocket.queries import captures, captures_received
from app.pocket.rules import CaptureState
from app.safekeeping.queries import photos_told_of
from app.timelog.models import TimeEntry
from tests.builders.captures import (
    AN_ID,
    a_cost_sent,
    a_find,
    a_held_capture,
    a_rescue_file,
    a_time_sent,
    named,
    new_id,
)
from tests.builders.photos import BLUE, photo_bytes
from tests.builders.pieces import NOW, a_piece
from tests.examining_client import ORIGIN, ExaminingClient

RED_PHOTO = photo_bytes()
BLUE_PHOTO = photo_bytes(colour=BLUE)
HELD = f"/pocket/held/{AN_ID}"


def take_in(client: ExaminingClient, body: bytes, name: str = "captures-2026-11-25.json") -> TestResponse:
    file = FileStorage(BytesIO(body), filename=name)
    return client.post_form("/pocket/rescue", {"file": file}, action="/pocket/rescue")


def put_right(client: ExaminingClient, sent: dict[str, Any], **changes: str) -> TestResponse:
    """Send the form of the held capture with what the phone sent, but for the changes."""
    return client.post_form(HELD, {name: value for name, value in sent.items() if name != "photos"} | changes)


def count(ledger: Ledger, model: Any) -> int:
    with ledger.reading() as session:
        return session.scalar(select(func.count()).select_from(model)) or 0


def state(ledger: Ledger, capture_id: str = AN_ID) -> CaptureState:
    with ledger.reading() as session:
        return session.get_one(Capture, capture_id).state


def send(client: ExaminingClient, data: Any, capture_id: str = AN_ID) -> TestResponse:
    return client.raw.put(f"/captures/{capture_id}", json=data, headers={"Origin": ORIGIN})


# --- the file


def test_a_file_is_taken_in_and_taking_it_in_again_changes_nothing(client: ExaminingClient, ledger: Ledger) -> None:
    other, third = new_id(), new_id()
    file = a_rescue_file(
        (AN_ID, a_find(photos=[RED_PHOTO, BLUE_PHOTO]), [RED_PHOTO, BLUE_PHOTO]),
        (other, a_time_sent(other, tag="F-3Y83"), []),
        (third, a_cost_sent(third, photos=[RED_PHOTO]), [RED_PHOTO]),
    )
    first = take_in(client, file)
    assert (first.status_code, first.text.count("Entered now.")) == (200, 3)
    again = take_in(client, file)
    assert (again.text.count("Was here already."), again.text.count("Entered now.")) == (3, 0)
    assert [count(ledger, model) for model in (Piece, Photo, TimeEntry, CostLine, Capture)] == [1, 3, 1, 1, 3]


def test_what_was_not_finished_on_the_phone_is_held_and_the_phone_may_still_send_it(
    client: ExaminingClient, ledger: Ledger
) -> None:
    file = json.loads(a_rescue_file((AN_ID, a_find(what="half ty"), [])))
    file["captures"][0]["draft"] = True
    body = json.dumps(file).encode()
    page = take_in(client, body).text
    assert "Needs you: It was not finished on the phone." in page
    assert (state(ledger), count(ledger, Piece)) == (CaptureState.HELD, 0)
    assert send(client, a_find(what="half typed, then finished")).status_code == 201
    assert "Was entered or let go here already." in take_in(client, body).text
    assert count(ledger, Piece) == 1


def test_what_the_phone_sent_before_is_here_already_and_the_other_way_round(
    client: ExaminingClient, ledger: Ledger
) -> None:
    send(client, a_find())
    assert "Was here already." in take_in(client, a_rescue_file((AN_ID, a_find(), []))).text
    other = new_id()
    take_in(client, a_rescue_file((other, a_find(other), [])))
    assert send(client, a_find(other), other).status_code == 200
    assert count(ledger, Piece) == 2


def test_a_file_brings_the_photos_a_capture_waits_for(client: ExaminingClient, ledger: Ledger) -> None:
    data = a_find(photos=[RED_PHOTO])
    assert send(client, data).status_code == 202
    assert "Entered now." in take_in(client, a_rescue_file((AN_ID, data, [RED_PHOTO]))).text
    assert count(ledger, Photo) == 1
    assert send(client, data).status_code == 200


def test_what_is_refused_is_held_with_its_photos_and_the_rest_goes_on(client: ExaminingClient, ledger: Ledger) -> None:
    other = new_id()
    file = a_rescue_file(
        (AN_ID, a_find(on_date="2026-12-24", photos=[RED_PHOTO]), [RED_PHOTO]), (other, a_find(other), [])
    )
    page = take_in(client, file).text
    assert "2 captures were in the file, 1 needs you." in page
    assert "24 December 2026 has not come yet." in page
    assert HELD in page
    assert (state(ledger), state(ledger, other)) == (CaptureState.HELD, CaptureState.HOME)
    assert (count(ledger, Piece), count(ledger, CapturePhoto)) == (1, 1)
    with ledger.reading() as session:
        assert photos_told_of(session) == {named(RED_PHOTO)[0]["sha256"]}


def test_a_photo_that_is_damaged_or_not_in_the_file_holds_its_capture(client: ExaminingClient, ledger: Ledger) -> None:
    data = a_find(photos=[RED_PHOTO, BLUE_PHOTO])
    told = json.loads(a_rescue_file((AN_ID, data, [RED_PHOTO, BLUE_PHOTO])))
    red, blue = (photo["sha256"] for photo in data["photos"])
    told["captures"][0]["photos"][red] = base64.b64encode(BLUE_PHOTO).decode()
    assert "photo-1.jpg: A photo in the file is damaged." in take_in(client, json.dumps(told).encode()).text
    told["captures"][0]["photos"][red] = "no base64!"
    assert "damaged" in take_in(client, json.dumps(told).encode()).text
    del told["captures"][0]["photos"][red]
    assert "A photo of it is not in the file." in take_in(client, json.dumps(told).encode()).text
    assert (count(ledger, Piece), state(ledger)) == (0, CaptureState.HELD)
    with ledger.reading() as session:
        here = session.scalars(select(CapturePhoto.sha256).where(CapturePhoto.kind.is_not(None))).all()
    assert here == [blue]


def test_other_content_of_what_is_entered_is_refused_and_nothing_changes(
    client: ExaminingClient, ledger: Ledger
) -> None:
    send(client, a_find())
    page = take_in(client, a_rescue_file((AN_ID, a_find(paid="1"), []))).text
    assert "Refused: it is entered already" in page
    assert (state(ledger), count(ledger, Piece)) == (CaptureState.HOME, 1)


@pytest.mark.parametrize(
    ("body", "words"),
    [
        (b"", "This is no rescue file, or it was cut short."),
        (b"no json", "This is no rescue file, or it was cut short."),
        (a_rescue_file((AN_ID, a_find(), []))[:-3], "This is no rescue file, or it was cut short."),
        (b"[" * 100_000, "This is no rescue file, or it was cut short."),
        (b"[]", "This is no rescue file. Choose the one the phone saved"),
        (b'{"tackcloth": "backup", "version": 1, "captures": []}', "This is no rescue file."),
        (b'{"tackcloth": "captures", "version": 2, "captures": []}', "another version"),
        (b'{"tackcloth": "captures", "version": 1, "captures": {}}', "This is no rescue file."),
        (b"\xff\xfe{}", "This is no rescue file"),
    ],
)
def test_a_wrong_file_is_refused_whole(client: ExaminingClient, ledger: Ledger, body: bytes, words: str) -> None:
    answer = take_in(client, body)
    assert (answer.status_code, words in answer.text) == (422, True)
    assert count(ledger, Capture) == 0


def test_no_file_and_an_empty_one_are_told(client: ExaminingClient) -> None:
    assert "Choose the file first." in client.post_form("/pocket/rescue", {}, action="/pocket/rescue").text
    assert "The file holds no captures." in take_in(client, a_rescue_file()).text


@pytest.mark.parametrize("odd", [None, 4, [], {}, {"id": 4, "capture": [], "photos": "x"}])
def test_what_is_no_capture_is_told_and_left(client: ExaminingClient, ledger: Ledger, odd: object) -> None:
    told = {"tackcloth": "captures", "version": 1, "captures": [odd, {"id": AN_ID, "capture": a_find(), "photos": {}}]}
    page = take_in(client, json.dumps(told).encode()).text
    assert ("This is no capture" in page, "Entered now." in page) == (True, True)
    assert count(ledger, Capture) == 1


@pytest.mark.parametrize(
    "wrong",
    [
        {"captured_at": "yesterday"},
        {"reference": "F-2222"},
        {"paid": 45},
        {"photos": "none"},
        {"colour": "red"},
        {"what": "\ud800", "paid": "x"},
        {"what": None, "note": ["a"]},
        {"on_date": "\u202e"},
    ],
)
def test_whatever_is_wrong_with_a_capture_it_can_be_held_looked_at_and_put_right(
    client: ExaminingClient, ledger: Ledger, wrong: dict[str, Any]
) -> None:
    page = take_in(client, a_rescue_file((AN_ID, a_find(on_date="") | wrong, []))).text
    assert "Needs you" in page
    client.get(HELD)
    client.get("/pocket/captures")
    right = {"what": "oak chest", "on_date": "2026-11-25", "paid": "45.50", "form": "chest", "note": ""}
    assert client.post_form(HELD, right).status_code == 303
    assert (state(ledger), count(ledger, Piece)) == (CaptureState.HOME, 1)


def test_what_is_too_long_for_a_capture_is_told_and_left(client: ExaminingClient, ledger: Ledger) -> None:
    page = take_in(client, a_rescue_file((AN_ID, a_find(note="x" * 70_000), []))).text
    assert "too long for a capture" in page
    assert count(ledger, Capture) == 0


# --- what needs the owner


def test_a_held_capture_is_told_on_today_and_shown_with_what_it_said(client: ExaminingClient, ledger: Ledger) -> None:
    assert "capture needs you" not in client.get("/").text
    take_in(client, a_rescue_file((AN_ID, a_find(paid="12,50", photos=[RED_PHOTO]), [RED_PHOTO])))
    assert "1 capture needs you" in client.get("/").text
    page = client.get(HELD).text
    assert 'value="12,50"' in page
    assert "Write the amount with a point, like 12.50." in page
    picture = f"{HELD}/photos/{named(RED_PHOTO)[0]['sha256']}"
    assert f"{picture}/large" in page
    assert client.get(f"{picture}/small").content_type == "image/webp"
    for wrong in (f"{picture}/original", f"{HELD}/photos/{'0' * 64}/small", f"/pocket/held/{new_id()}"):
        client.get(wrong, status=404)
    assert count(ledger, Piece) == 0


def test_it_is_put_right_and_entered_with_its_photos(client: ExaminingClient, ledger: Ledger) -> None:
    sent = a_find(paid="12,50", photos=[RED_PHOTO])
    take_in(client, a_rescue_file((AN_ID, sent, [RED_PHOTO])))
    wrong = put_right(client, sent, paid="12,5")
    assert (wrong.status_code, "Write the amount with a point" in wrong.text) == (422, True)
    done = put_right(client, sent, paid="12.50")
    with ledger.reading() as session:
        piece = session.scalars(select(Piece)).one()
        assert piece.notes == "Written down on the phone as F-3Y83."
        assert done.headers["Location"] == f"/pieces/{piece.tag}"
    assert count(ledger, Photo) == 1
    assert "capture needs you" not in client.get("/").text
    client.get(HELD, status=303)
    # The phone that still carries it learns that it is home.
    assert send(client, sent).status_code == 200


def test_every_trouble_of_a_held_cost_stands_at_its_field(client: ExaminingClient, ledger: Ledger) -> None:
    with ledger.writing() as session:
        a_held_capture(session)
        tag = a_piece(session).tag
    page = put_right(client, {}, tag="x" * 79).text
    for field in ("amount", "cost_kind", "on_date"):
        assert f'id="{field}-error"' in page
    done = put_right(client, a_cost_sent(), tag=tag, cost_kind="hardware")
    assert done.headers["Location"] == f"/pieces/{tag}/costs"


def test_held_time_is_entered_for_the_shop(client: ExaminingClient, ledger: Ledger) -> None:
    take_in(client, a_rescue_file((AN_ID, a_time_sent(tag="F-2222"), [])))
    assert put_right(client, a_time_sent()).headers["Location"] == "/time?week=2026-11-23"
    assert count(ledger, TimeEntry) == 1


def test_one_that_waits_for_its_photos_can_be_entered_and_they_come_later(
    client: ExaminingClient, ledger: Ledger
) -> None:
    data = a_find(photos=[RED_PHOTO, BLUE_PHOTO])
    send(client, data)
    red, blue = (photo["sha256"] for photo in data["photos"])
    own = {"Origin": ORIGIN}
    client.raw.put(f"/captures/{AN_ID}/photos/{red}", data=RED_PHOTO, headers=own)
    assert "1 of 2 are here" in client.get(HELD).text
    put_right(client, data)
    assert count(ledger, Photo) == 1
    assert send(client, data).get_json() == {"id": AN_ID, "state": "waiting", "missing": [blue]}
    assert client.raw.put(f"/captures/{AN_ID}/photos/{blue}", data=BLUE_PHOTO, headers=own).status_code == 204
    assert send(client, data).get_json()["photos"] == [red, blue]
    assert (count(ledger, Photo), count(ledger, Piece)) == (2, 1)


def test_one_is_let_go_with_a_reason_and_taken_up_again(client: ExaminingClient, ledger: Ledger) -> None:
    with ledger.writing() as session:
        a_held_capture(session)
    assert client.post_form(f"{HELD}/drop", {"reason": " "}).status_code == 422
    client.post_form(f"{HELD}/drop", {"reason": "entered by hand already"})
    assert state(ledger) is CaptureState.DROPPED
    assert "entered by hand already" in client.get(HELD).text
    answer = send(client, a_cost_sent(tag="7K3", cost_kind="hardware"))
    assert (answer.status_code, "entered by hand already" in answer.get_json()["detail"]) == (409, True)
    file = a_rescue_file((AN_ID, a_cost_sent(), []))
    assert "This was let go at home: entered by hand already" in take_in(client, file).text
    client.post_form(HELD, {}, action=f"{HELD}/take-up")
    assert state(ledger) is CaptureState.HELD
    assert put_right(client, a_cost_sent()).status_code == 303
    assert client.post_form(f"{HELD}/drop", {"reason": "too late"}).status_code == 422
    assert (state(ledger), count(ledger, CostLine)) == (CaptureState.HOME, 1)


def test_the_phone_may_send_a_held_one_put_right(client: ExaminingClient, ledger: Ledger) -> None:
    with ledger.writing() as session:
        a_held_capture(session)
    assert send(client, a_cost_sent()).status_code == 201
    assert (state(ledger), count(ledger, CostLine)) == (CaptureState.HOME, 1)


# --- the list


def test_the_list_shows_those_that_need_the_owner_first_and_marks_clocks_apart(
    client: ExaminingClient, ledger: Ledger
) -> None:
    assert "Nothing has come from a phone yet." in client.get("/pocket/captures").text
    later, held = new_id(), new_id()
    send(client, a_find(captured_at="2026-11-20T10:15:00-07:00", on_date="2026-11-20"))
    send(client, a_time_sent(later), later)
    with ledger.writing() as session:
        a_held_capture(session, held, captured_at="2026-11-01T10:15:00-07:00")
    with ledger.reading() as session:
        assert [row.id for row in captures(session)] == [held, later, AN_ID]
        assert [row.differs for row in captures(session)] == [True, False, True]
        assert captures_received(session) == {}
        assert captures(session)[2].captured_at == datetime(2026, 11, 20, 17, 15, tzinfo=UTC)
    page = client.get("/pocket/captures").text
    assert page.count("more than a day apart") == 2
    assert "Find: oak chest, three drawers" in page


def test_the_list_can_be_taken_along(client: ExaminingClient, ledger: Ledger) -> None:
    send(client, a_find(what="=1+1"))
    with ledger.writing() as session:
        a_held_capture(session, new_id())
    rows = list(csv.DictReader(StringIO(client.get("/pocket/captures.csv").text)))
    assert [(row["Kind"], row["State"]) for row in rows] == [("Cost", "Needs you"), ("Find", "Entered")]
    assert (rows[1]["What"], rows[0]["Why it is not entered"]) == ("'=1+1", "No piece here has the tag 7K3.")
    assert client.get("/pocket/captures.csv?as=xlsx").status_code == 200


def test_the_list_asks_the_same_number_of_queries_for_any_number(client: ExaminingClient, ledger: Ledger) -> None:
    send(client, a_find())
    client.get("/pocket/captures")
    before = client.queries
    with ledger.writing() as session:
        for _ in range(30):
            a_held_capture(session, new_id())
    assert "1 to 24 of 31" in client.get("/pocket/captures").text
    assert client.queries == before
    client.get("/pocket/captures?page=2")


def test_captures_are_counted_by_the_phone_that_sent_them(client: ExaminingClient, ledger: Ledger) -> None:
    client.post_form("/settings/passphrase", {"passphrase": "plain oak and linseed", "again": "plain oak and linseed"})
    send(client, a_find())
    with ledger.reading() as session:
        (number,) = captures_received(session).values()
        (row,) = captures(session)
    assert (number, bool(row.phone)) == (1, True)
    assert client.get("/pocket/home").get_json()["phone"] == row.phone


def test_what_a_phone_says_waits_on_it_is_noted_with_it(client: ExaminingClient, ledger: Ledger) -> None:
    client.post_form("/settings/passphrase", {"passphrase": "plain oak and linseed", "again": "plain oak and linseed"})
    told = {"waiting": 3, "oldest": "2026-11-24T08:00:00-07:00"}
    assert client.raw.put("/pocket/waiting", json=told, headers={"Origin": ORIGIN}).status_code == 204
    with ledger.reading() as session:
        browser = session.scalars(select(SignedInBrowser)).one()
        noted = (browser.waiting, browser.waiting_since, browser.told_at)
    assert noted == (3, datetime(2026, 11, 24, 15, tzinfo=UTC), NOW)


def test_a_receipt_that_comes_late_is_put_to_its_cost(client: ExaminingClient, ledger: Ledger) -> None:
    data = a_cost_sent(photos=[RED_PHOTO])
    send(client, data)
    put_right(client, data)
    path = f"/captures/{AN_ID}/photos/{data['photos'][0]['sha256']}"
    assert client.raw.put(path, data=RED_PHOTO, headers={"Origin": ORIGIN}).status_code == 204
    assert send(client, data).status_code == 200
    with ledger.reading() as session:
        line, photo = session.scalars(select(CostLine)).one(), session.scalars(select(Photo)).one()
        assert (line.receipt_photo_id, photo.given_name) == (photo.id, "photo-1.jpg")
