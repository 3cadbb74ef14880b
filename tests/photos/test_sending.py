"""Photos sent one by one: each is answered for itself, and what cannot be kept says why."""

from io import BytesIO
from pathlib import Path
from typing import Any

import pytest
from PIL import Image

from app.database.unit_of_work import Ledger, LedgerFull
from app.photos.queries import count_pile, photos_of
from app.photos.rules import Shows
from app.pieces.rules import Stage
from tests.builders.photos import photo_bytes
from tests.builders.pieces import a_piece
from tests.examining_client import ExaminingClient, Page


def send(client: ExaminingClient, body: bytes, name: str = "photo.jpg", **said: str) -> Any:
    """Send one photo as the page's script does, with the token of the page in a header."""
    token = Page(client.get("/photos").text).forms[0]["fields"]["csrf_token"]
    return client.post(
        "/photos/one",
        {"photo": (BytesIO(body), name), **said},
        headers={"X-CSRFToken": token},
        content_type="multipart/form-data",
    )


def piled(ledger: Ledger) -> int:
    with ledger.reading() as session:
        return count_pile(session)


def test_a_photo_is_laid_on_the_pile_and_told_when_it_comes_again(client: ExaminingClient, ledger: Ledger) -> None:
    assert send(client, photo_bytes()).json == {"already": ""}
    assert send(client, photo_bytes()).json == {"already": "already on the pile"}
    assert piled(ledger) == 1


def test_a_photo_goes_on_the_piece_that_is_named(client: ExaminingClient, ledger: Ledger) -> None:
    with ledger.writing() as session:
        tag = a_piece(session).tag
    for shows, red in (("", 1), ("finished", 2), ("receipt", 3), ("nonsense", 4)):
        assert send(client, photo_bytes(colour=(red, 0, 0)), piece=tag, shows=shows).json == {"already": ""}
    assert send(client, photo_bytes(colour=(1, 0, 0)), piece=tag).json == {"already": ""}
    with ledger.reading() as session:
        assert [photo.shows for photo in photos_of(session, 1)] == [Shows.FOUND, Shows.FINISHED, *[Shows.FOUND] * 2]
    lost = send(client, photo_bytes(), piece="ZZZ9")
    assert (lost.status_code, "no such piece" in lost.json["refused"], piled(ledger)) == (404, True, 0)


def test_a_piece_in_work_gets_photos_of_the_work(client: ExaminingClient, ledger: Ledger) -> None:
    with ledger.writing() as session:
        piece = a_piece(session)
        piece.stage = Stage.PREPPED
        tag = piece.tag
    send(client, photo_bytes(), piece=tag)
    with ledger.reading() as session:
        assert photos_of(session, 1)[0].shows is Shows.DURING


def test_bad_photos_among_good_ones_are_told_and_lose_nothing(client: ExaminingClient, ledger: Ledger) -> None:
    bomb = BytesIO()
    Image.new("1", (10_000, 10_000)).save(bomb, "PNG")
    answers = [
        send(client, photo_bytes(colour=(1, 0, 0))),
        send(client, bomb.getvalue(), "bomb.png"),
        send(client, b"<html>", "page.jpg"),
        send(client, b"", "empty.jpg"),
        send(client, photo_bytes(colour=(2, 0, 0))),
        send(client, photo_bytes()[:300], "half.jpg"),
    ]
    assert [answer.status_code for answer in answers] == [200, 422, 422, 422, 200, 422]
    assert "50 megapixels" in answers[1].json["refused"]
    assert piled(ledger) == 2


def test_nothing_sent_is_refused_and_a_post_without_the_token_too(client: ExaminingClient, ledger: Ledger) -> None:
    assert client.post("/photos/one", {"photo": (BytesIO(photo_bytes()), "x.jpg")}).status_code == 400
    token = Page(client.get("/photos").text).forms[0]["fields"]["csrf_token"]
    answer = client.post("/photos/one", {}, headers={"X-CSRFToken": token})
    assert (answer.status_code, piled(ledger)) == (422, 0)


def test_a_disk_that_fills_up_half_way_keeps_what_came_before(
    client: ExaminingClient, ledger: Ledger, monkeypatch: pytest.MonkeyPatch
) -> None:
    send(client, photo_bytes(colour=(1, 0, 0)))

    def full(_path: Path, _body: bytes) -> None:
        raise LedgerFull("The disk is full, so the photo was not saved. Make room and send it again.")

    with monkeypatch.context() as patched:
        patched.setattr("app.photos.store._write", full)
        answer = send(client, photo_bytes(colour=(2, 0, 0)))
    assert (answer.status_code, "disk is full" in answer.json["refused"], piled(ledger)) == (507, True, 1)
    assert send(client, photo_bytes(colour=(2, 0, 0))).json == {"already": ""}
    assert piled(ledger) == 2


def test_three_hundred_in_a_row_are_all_in(
    client: ExaminingClient, ledger: Ledger, request: pytest.FixtureRequest
) -> None:
    many = 300 if request.getfixturevalue("is_long") else 30
    token = Page(client.get("/photos").text).forms[0]["fields"]["csrf_token"]
    for number in range(many):
        body = photo_bytes(8, 8, kind="PNG", colour=(number % 256, number // 256, 7))
        answer = client.post("/photos/one", {"photo": (BytesIO(body), "x.png")}, headers={"X-CSRFToken": token})
        assert answer.json == {"already": ""}
    assert piled(ledger) == many
    assert f"{many} photos on the pile" in client.get("/photos").text
