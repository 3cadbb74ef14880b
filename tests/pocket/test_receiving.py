"""Captures sent home through the endpoint: entered once, waiting for photos, refused, and everything in between."""

import hashlib
from pathlib import Path
from typing import Any

import pytest
from flask import Flask
from sqlalchemy import func, select
from werkzeug.test import TestResponse

from app.costs.models import CostLine
from app.database.unit_of_work import Ledger, LedgerBusy, LedgerFull
from app.photos.models import Photo
from app.photos.rules import MOST_BYTES, Shows
from app.photos.store import original_path
from app.pieces.actions import add_source, leave
from app.pieces.models import Piece, Purchase
from app.pieces.queries import pieces_chosen
from app.pieces.rules import Form, Leaving, PieceChoice
from app.pocket.models import Capture, CapturePhoto
from app.pocket.rules import CaptureState
from app.timelog.models import TimeEntry
from tests.builders.captures import AN_ID, a_cost_sent, a_find, a_time_sent, named, new_id
from tests.builders.photos import BLUE, photo_bytes
from tests.builders.pieces import a_piece
from tests.examining_client import ORIGIN, ExaminingClient

RED_PHOTO = photo_bytes()
BLUE_PHOTO = photo_bytes(colour=BLUE)
OWN = {"Origin": ORIGIN}


def put(client: ExaminingClient, data: Any, capture_id: str = AN_ID) -> TestResponse:
    return client.raw.put(f"/captures/{capture_id}", json=data, headers=OWN)


def put_photo(client: ExaminingClient, body: bytes, capture_id: str = AN_ID, sha256: str = "") -> TestResponse:
    path = f"/captures/{capture_id}/photos/{sha256 or hashlib.sha256(body).hexdigest()}"
    return client.raw.put(path, data=body, headers=OWN, content_type="application/octet-stream")


def count(ledger: Ledger, model: Any) -> int:
    with ledger.reading() as session:
        return session.scalar(select(func.count()).select_from(model)) or 0


def every(ledger: Ledger, model: Any) -> list[Any]:
    with ledger.reading() as session:
        rows = list(session.scalars(select(model)))
        session.expunge_all()
    return rows


def only(ledger: Ledger, model: Any) -> Any:
    (row,) = every(ledger, model)
    return row


def refused(answer: TestResponse) -> dict[str, str]:
    """The fields at fault, each with its sentence; the answer must be a problem that keeps nothing."""
    assert answer.status_code == 422, answer.text
    assert answer.content_type == "application/problem+json"
    told = answer.get_json()
    assert (told["type"], told["status"]) == ("about:blank", 422)
    assert told["title"]
    assert told["detail"]
    return {error["field"]: error["detail"] for error in told.get("errors", [])}


# --- entered


def test_a_find_without_photos_is_entered_at_once(client: ExaminingClient, ledger: Ledger) -> None:
    answer = put(client, a_find())
    assert answer.status_code == 201
    told = answer.get_json()
    piece, purchase = only(ledger, Piece), only(ledger, Purchase)
    assert told == {
        "id": AN_ID,
        "state": "home",
        "photos": [],
        "made": {"kind": "find", "tag": piece.tag, "href": f"/pieces/{piece.tag}"},
        "received_at": "2026-11-25T15:30:00+00:00",
    }
    assert (piece.title, piece.form, str(piece.sourced_on)) == ("oak chest, three drawers", Form.CHEST, "2026-11-25")
    assert (purchase.price_cents, piece.next_note, piece.capture_id) == (4550, "", AN_ID)
    assert "oak chest, three drawers" in client.get(told["made"]["href"]).text


def test_a_repeat_is_told_the_same_and_makes_nothing(client: ExaminingClient, ledger: Ledger) -> None:
    first = put(client, a_find())
    again = put(client, dict(reversed(a_find().items())))
    assert (first.status_code, again.status_code) == (201, 200)
    assert first.get_json() == again.get_json()
    assert (count(ledger, Piece), count(ledger, Capture)) == (1, 1)


def test_photos_come_one_by_one_and_the_find_is_entered_with_the_last(
    app: Flask, client: ExaminingClient, ledger: Ledger
) -> None:
    data = a_find(what="", photos=[RED_PHOTO, BLUE_PHOTO])
    red, blue = (photo["sha256"] for photo in data["photos"])
    answer = put(client, data)
    assert (answer.status_code, answer.get_json()) == (202, {"id": AN_ID, "state": "waiting", "missing": [red, blue]})
    assert count(ledger, Piece) == 0
    assert put_photo(client, BLUE_PHOTO).status_code == 204
    assert put(client, data).get_json()["missing"] == [red]
    assert put_photo(client, RED_PHOTO).status_code == 204
    assert put_photo(client, RED_PHOTO).status_code == 204
    told = put(client, data)
    assert (told.status_code, told.get_json()["photos"]) == (201, [red, blue])
    photos = sorted(every(ledger, Photo), key=lambda photo: photo.position)
    assert [(photo.sha256, photo.shows, photo.given_name) for photo in photos] == [
        (red, Shows.FOUND, "photo-1.jpg"),
        (blue, Shows.FOUND, "photo-2.jpg"),
    ]
    folder = app.extensions["tackcloth_settings"].photo_dir
    assert [original_path(folder, one).read_bytes() for one in (red, blue)] == [RED_PHOTO, BLUE_PHOTO]
    assert put(client, data).status_code == 200
    assert put_photo(client, RED_PHOTO).status_code == 204


def test_a_receipt_comes_with_its_cost(client: ExaminingClient, ledger: Ledger) -> None:
    with ledger.writing() as session:
        tag = a_piece(session).tag
    data = a_cost_sent(tag=tag.lower(), cost_kind="hardware", photos=[RED_PHOTO])
    put(client, data)
    put_photo(client, RED_PHOTO)
    told = put(client, data).get_json()
    assert told["made"] == {"kind": "cost", "tag": tag, "href": f"/pieces/{tag}/costs"}
    line, photo = only(ledger, CostLine), only(ledger, Photo)
    assert (line.amount_cents, line.receipt_photo_id, line.capture_id) == (1200, photo.id, AN_ID)
    assert photo.shows is Shows.RECEIPT


def test_costs_and_time_for_the_shop_lead_to_their_month_and_week(client: ExaminingClient, ledger: Ledger) -> None:
    cost = put(client, a_cost_sent()).get_json()["made"]
    other = new_id()
    time = put(client, a_time_sent(other), other).get_json()["made"]
    assert cost == {"kind": "cost", "tag": "", "href": "/costs?month=2026-11"}
    assert time == {"kind": "time", "tag": "", "href": "/time?week=2026-11-23"}
    assert only(ledger, TimeEntry).minutes == 40
    client.get(cost["href"])
    client.get(time["href"])


def test_a_find_that_is_not_home_yet_may_be_written_anew(client: ExaminingClient, ledger: Ledger) -> None:
    put(client, a_find(photos=[RED_PHOTO]))
    put_photo(client, RED_PHOTO)
    answer = put(client, a_find(what="pine chest", photos=[RED_PHOTO, BLUE_PHOTO]))
    assert answer.get_json()["missing"] == [named(BLUE_PHOTO)[0]["sha256"]]
    assert put(client, a_find(what="pine chest", photos=[RED_PHOTO])).status_code == 201
    assert only(ledger, Piece).title == "pine chest"
    assert count(ledger, CapturePhoto) == 1


def test_other_content_of_what_is_home_changes_nothing(client: ExaminingClient, ledger: Ledger) -> None:
    made = put(client, a_find()).get_json()["made"]
    answer = put(client, a_find(paid="1.00"))
    assert (answer.status_code, answer.content_type) == (409, "application/problem+json")
    assert answer.get_json()["made"] == made
    assert only(ledger, Purchase).price_cents == 4550


def test_what_the_phone_knows_of_the_price_decides_what_is_written(client: ExaminingClient, ledger: Ledger) -> None:
    with ledger.writing() as session:
        kerb, sale = add_source(session, "Kerb", is_free=True), add_source(session, "Estate sale")
        sources = {"kerb": kerb.id, "sale": sale.id}
    for title, where, paid in [
        ("from the kerb", "kérb", ""),
        ("from a sale", "ESTATE SALE", ""),
        ("from nowhere", "", ""),
        ("for nothing", "", "0"),
    ]:
        capture_id = new_id()
        assert put(client, a_find(capture_id, what=title, where=where, paid=paid), capture_id).status_code == 201
    pieces = {piece.title: piece for piece in every(ledger, Piece)}
    assert {purchase.price_cents for purchase in every(ledger, Purchase)} == {0}
    notes = {title: piece.next_note for title, piece in pieces.items()}
    unpaid = "Paid is not written down yet"
    assert notes == {"from the kerb": "", "from a sale": unpaid, "from nowhere": unpaid, "for nothing": ""}
    assert pieces["from the kerb"].source_id == sources["kerb"]
    assert pieces["from a sale"].source_id == sources["sale"]
    assert unpaid in client.get("/").text


def test_a_place_that_is_no_source_stays_in_the_notes_and_the_reference_is_found(
    client: ExaminingClient, ledger: Ledger
) -> None:
    put(client, a_find(where="Barn on the hill", note="top loose"))
    notes = only(ledger, Piece).notes
    assert notes == "top loose\nFound at: Barn on the hill\nWritten down on the phone as F-3Y83."
    with ledger.reading() as session:
        assert [piece.title for piece in pieces_chosen(session, PieceChoice(words="f-3y83"))] == [
            "oak chest, three drawers"
        ]
    assert "oak chest, three drawers" in client.get("/pieces?q=F-3Y83").text


def test_time_on_a_find_goes_by_its_reference(client: ExaminingClient, ledger: Ledger) -> None:
    other = new_id()
    early = put(client, a_time_sent(other, tag="F-3Y83"), other)
    assert "Send that find first" in refused(early)["tag"]
    assert count(ledger, Capture) == 0
    tag = put(client, a_find()).get_json()["made"]["tag"]
    assert put(client, a_time_sent(other, tag="f-3y83"), other).get_json()["made"]["tag"] == tag


def test_two_finds_of_one_reference_are_asked_about(client: ExaminingClient) -> None:
    twin = AN_ID[:5] + "0" + AN_ID[6:]
    assert put(client, a_find()).status_code == put(client, a_find(twin), twin).status_code == 201
    other = new_id()
    assert "Two finds" in refused(put(client, a_time_sent(other, tag="F-3Y83"), other))["tag"]


# --- refused


@pytest.mark.parametrize(
    ("data", "field"),
    [
        (a_find(on_date="2026-11-26"), "on_date"),
        (a_find(on_date="2023-12-31"), "on_date"),
        (a_find(what="", photos=[]), "what"),
        (a_find(paid="45,50"), "paid"),
        (a_cost_sent(tag="999"), "tag"),
        (a_cost_sent(amount="0"), "amount"),
        (a_cost_sent(cost_kind="hardware"), "cost_kind"),
        (a_time_sent(minutes="25 h"), "minutes"),
        (a_time_sent(on_date="2026-11-26"), "on_date"),
        (a_find(on_date="2026-11-26", photos=[RED_PHOTO]), "on_date"),
    ],
)
def test_what_the_ledger_refuses_is_told_at_the_captures_field_and_nothing_is_kept(
    client: ExaminingClient, ledger: Ledger, data: dict[str, Any], field: str
) -> None:
    assert set(refused(put(client, data))) == {field}
    assert [count(ledger, model) for model in (Capture, CapturePhoto, Piece, CostLine, TimeEntry)] == [0] * 5


def test_money_for_a_find_from_a_free_place_is_refused(client: ExaminingClient, ledger: Ledger) -> None:
    with ledger.writing() as session:
        add_source(session, "Kerb", is_free=True)
    assert "paid" in refused(put(client, a_find(where="Kerb")))


def test_a_cost_on_a_piece_that_left_is_taken(client: ExaminingClient, ledger: Ledger) -> None:
    with ledger.writing() as session:
        piece = a_piece(session)
        leave(session, piece.id, Leaving.KEPT, on_date=piece.sourced_on, reason="ours", version=None, now=piece.made_at)
        tag = piece.tag
    assert put(client, a_cost_sent(tag=tag, cost_kind="hardware")).status_code == 201


def test_a_waiting_capture_survives_a_refusal(client: ExaminingClient, ledger: Ledger) -> None:
    put(client, a_find(photos=[RED_PHOTO]))
    put_photo(client, RED_PHOTO)
    refused(put(client, a_find(on_date="2026-12-24", photos=[RED_PHOTO])))
    row = only(ledger, Capture)
    assert (row.state, "2026-11-25" in row.body) == (CaptureState.WAITING, True)
    assert put(client, a_find(photos=[RED_PHOTO])).status_code == 201


@pytest.mark.parametrize(
    ("capture_id", "body", "kind", "status"),
    [
        (AN_ID, b"{", "application/json", 400),
        (AN_ID, b"NaN", "application/json", 400),
        ("1", b"{}", "application/json", 400),
        (AN_ID.upper(), b"{}", "application/json", 400),
        (AN_ID, b"{}", "text/plain", 415),
        (AN_ID, b"{}", "application/x-www-form-urlencoded", 415),
        (AN_ID, b"{}", "application/json", 422),
        (AN_ID, b"[]", "application/json", 422),
        (AN_ID, b'"' + b"x" * 65_535 + b'"', "application/json", 413),
    ],
)
def test_what_is_no_capture_is_told_as_a_problem(
    client: ExaminingClient, capture_id: str, body: bytes, kind: str, status: int
) -> None:
    answer = client.raw.put(f"/captures/{capture_id}", data=body, headers=OWN, content_type=kind)
    assert (answer.status_code, answer.content_type) == (status, "application/problem+json")
    assert answer.get_json()["status"] == status


def test_a_photo_nobody_named_or_that_is_another_is_refused(client: ExaminingClient, ledger: Ledger) -> None:
    assert put_photo(client, RED_PHOTO).status_code == 404
    data = a_find(photos=[RED_PHOTO])
    put(client, data)
    red = data["photos"][0]["sha256"]
    assert put_photo(client, BLUE_PHOTO).status_code == 404
    assert put_photo(client, BLUE_PHOTO, sha256=red).status_code == 422
    assert put_photo(client, RED_PHOTO[:-9], sha256=red).status_code == 422
    assert put_photo(client, b"x" * (MOST_BYTES + 1), sha256=red).status_code == 413
    assert put_photo(client, b"", sha256=red).status_code == 422
    assert put(client, data).status_code == 202
    assert count(ledger, Piece) == 0


def test_bytes_that_are_no_photo_are_told(client: ExaminingClient) -> None:
    put(client, a_find(photos=[b"no picture at all"]))
    answer = put_photo(client, b"no picture at all")
    assert (answer.status_code, answer.content_type) == (422, "application/problem+json")
    assert "photo" in answer.get_json()["detail"]


def test_a_photo_gone_from_the_disk_is_taken_once_more(app: Flask, client: ExaminingClient) -> None:
    put(client, a_find(photos=[RED_PHOTO]))
    put_photo(client, RED_PHOTO)
    path = original_path(app.extensions["tackcloth_settings"].photo_dir, named(RED_PHOTO)[0]["sha256"])
    path.unlink()
    assert put_photo(client, RED_PHOTO).status_code == 204
    assert path.read_bytes() == RED_PHOTO


def test_a_find_is_not_told_as_home_while_a_photo_of_it_is_gone_from_the_disk(
    app: Flask, client: ExaminingClient, ledger: Ledger
) -> None:
    data = a_find(photos=[RED_PHOTO, BLUE_PHOTO])
    red, blue = (photo["sha256"] for photo in data["photos"])
    for body in (RED_PHOTO, BLUE_PHOTO):
        put(client, data)
        put_photo(client, body)
    assert put(client, data).status_code == 201
    original_path(app.extensions["tackcloth_settings"].photo_dir, red).unlink()
    answer = put(client, data)
    assert (answer.status_code, answer.get_json()) == (202, {"id": AN_ID, "state": "waiting", "missing": [red]})
    assert put_photo(client, RED_PHOTO).status_code == 204
    answer = put(client, data)
    assert (answer.status_code, answer.get_json()["photos"]) == (200, [red, blue])
    assert (count(ledger, Piece), count(ledger, Photo)) == (1, 2)


# --- who may send, and what goes wrong below


@pytest.mark.parametrize("path", [f"/captures/{AN_ID}", f"/captures/{AN_ID}/photos/{'0' * 64}", "/pocket/waiting"])
def test_what_comes_from_elsewhere_is_refused_as_a_problem(client: ExaminingClient, ledger: Ledger, path: str) -> None:
    for headers in ({}, {"Origin": "https://evil.example"}, {"Origin": "null"}):
        answer = client.raw.put(path, json=a_find(), headers=headers)
        assert (answer.status_code, answer.content_type) == (403, "application/problem+json")
    assert count(ledger, Capture) == 0


@pytest.mark.parametrize(
    ("method", "path", "status"),
    [
        ("GET", f"/captures/{AN_ID}", 405),
        ("POST", f"/captures/{AN_ID}", 405),
        ("DELETE", f"/captures/{AN_ID}", 405),
        ("PUT", "/captures/", 404),
        ("PUT", f"/captures/{AN_ID}/more", 404),
        ("POST", "/pocket/home", 405),
        ("GET", "/pocket/waiting", 405),
    ],
)
def test_wrong_ways_are_told_as_problems(client: ExaminingClient, method: str, path: str, status: int) -> None:
    answer = client.raw.open(path, method=method, headers=OWN)
    assert (answer.status_code, answer.content_type) == (status, "application/problem+json")


@pytest.mark.parametrize(
    ("method", "path"),
    [
        ("PUT", f"/captures/{AN_ID}"),
        ("PUT", f"/captures/{AN_ID}/photos/{'0' * 64}"),
        ("PUT", "/pocket/waiting"),
        ("GET", "/pocket/home"),
        ("GET", "/settings/safekeeping/latest"),
    ],
)
def test_who_is_not_signed_in_is_told_so(client: ExaminingClient, ledger: Ledger, method: str, path: str) -> None:
    def ask(address: str) -> TestResponse:
        return client.raw.open(path, method=method, headers=OWN, environ_overrides={"REMOTE_ADDR": address})

    assert ask("192.168.1.20").status_code == 403
    client.post_form("/settings/passphrase", {"passphrase": "plain oak and linseed", "again": "plain oak and linseed"})
    client.raw.delete_cookie("tackcloth")
    for address in ("127.0.0.1", "192.168.1.20"):
        answer = ask(address)
        assert (answer.status_code, answer.content_type) == (401, "application/problem+json")
    assert count(ledger, Capture) == 0


def test_before_the_first_start_a_phone_waits(bare_client: ExaminingClient) -> None:
    answer = put(bare_client, a_find())
    assert (answer.status_code, answer.content_type) == (503, "application/problem+json")
    assert answer.headers["Retry-After"]


@pytest.mark.parametrize(("trouble", "status"), [(LedgerBusy("The ledger is busy."), 503), (LedgerFull("Full."), 507)])
def test_a_busy_ledger_and_a_full_disk_are_told(
    client: ExaminingClient, monkeypatch: pytest.MonkeyPatch, trouble: Exception, status: int
) -> None:
    def fail(*_args: object, **_more: object) -> None:
        raise trouble

    monkeypatch.setattr("app.pocket.actions.receive_capture", fail)
    answer = put(client, a_find())
    assert (answer.status_code, answer.content_type) == (status, "application/problem+json")
    assert ("Retry-After" in answer.headers) == (status == 503)


def test_a_crash_between_piece_and_capture_leaves_neither(
    client: ExaminingClient, ledger: Ledger, monkeypatch: pytest.MonkeyPatch
) -> None:
    with monkeypatch.context() as patch:
        patch.setattr("app.pocket.actions.receiving.settle", lambda *_args: 1 // 0)
        answer = put(client, a_find())
    assert (answer.status_code, answer.content_type) == (500, "application/problem+json")
    assert [count(ledger, model) for model in (Capture, Piece)] == [0, 0]
    assert put(client, a_find()).status_code == 201


# --- what a phone takes along, and tells


def test_a_phone_takes_along_what_it_chooses_from(client: ExaminingClient, ledger: Ledger) -> None:
    with ledger.writing() as session:
        add_source(session, "Kerb", is_free=True)
        older, newer = a_piece(session, title="Oak chest"), a_piece(session, title="Pine desk")
        gone = a_piece(session)
        leave(session, gone.id, Leaving.KEPT, on_date=gone.sourced_on, reason="ours", version=None, now=gone.made_at)
        tags = [newer.tag, older.tag]
    answer = client.get("/pocket/home")
    told = answer.get_json()
    assert answer.headers["Cache-Control"] == "no-store"
    assert (told["shop"], told["currency"], told["places"], told["today"]) == (
        "Bent Nail Workshop",
        "USD",
        2,
        "2026-11-25",
    )
    assert told["pieces"] == [[tags[0], "Pine desk", "sourced"], [tags[1], "Oak chest", "sourced"]]
    assert told["sources"] == [{"name": "Kerb", "free": True}]
    assert ["chest", "Chest of drawers"] in told["forms"]
    assert ["hardware", "Hardware"] in told["cost_kinds"]["piece"]
    assert ["tools", "Tools"] in told["cost_kinds"]["shop"]
    assert ["sanding", "Sanding"] in told["activities"]


def test_a_phone_tells_what_waits_on_it(client: ExaminingClient) -> None:
    def tell(told: Any) -> int:
        return client.raw.put("/pocket/waiting", json=told, headers=OWN).status_code

    assert tell({"waiting": 3, "oldest": "2026-11-24T08:00:00-07:00"}) == 204
    assert tell({"waiting": 0, "oldest": None}) == 204
    faulty: list[Any] = [{"waiting": -1}, {"waiting": "3"}, {"waiting": True}, {"waiting": 3, "oldest": "monday"}, []]
    for wrong in faulty:
        assert tell(wrong) == 422, wrong


def test_the_last_backup_is_told(client: ExaminingClient, data_dir: Path) -> None:
    assert client.get("/settings/safekeeping/latest").get_json() == {"backed_up_at": None}
    client.post_form("/settings/safekeeping", {}, action="/settings/safekeeping/backup")
    assert client.get("/settings/safekeeping/latest").get_json() == {"backed_up_at": "2026-11-25T15:30:00+00:00"}
    assert (data_dir / "last-backup.json").exists()
