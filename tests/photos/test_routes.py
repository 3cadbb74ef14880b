"""The page of a piece's photos, and the photos themselves."""

import re
from io import BytesIO

import pytest
from flask import Flask
from werkzeug.datastructures import FileStorage

from app.basics.settings import Settings
from app.database.unit_of_work import Ledger
from app.photos.actions import remove_photo
from app.photos.queries import photos_of
from tests.builders.photos import BLUE, RED, a_photo, photo_bytes
from tests.builders.pieces import NOW, a_piece
from tests.examining_client import ExaminingClient

HEIC = b"\x00\x00\x00\x18ftypheic" + b"\x00" * 100


def a_file(body: bytes, name: str) -> FileStorage:
    return FileStorage(BytesIO(body), filename=name)


@pytest.fixture
def tag(ledger: Ledger, client: ExaminingClient) -> str:  # noqa: ARG001
    with ledger.writing() as session:
        return a_piece(session, title="Oak chest").tag


def photo_ids(ledger: Ledger) -> list[int]:
    with ledger.reading() as session:
        return [photo.id for photo in photos_of(session, 1)]


def an_attached_photo(app: Flask, ledger: Ledger, colour: tuple[int, int, int] = RED) -> int:
    settings: Settings = app.extensions["tackcloth_settings"]
    with ledger.writing() as session:
        return a_photo(session, settings.photo_dir, 1, colour=colour).id


def test_a_piece_without_photos_says_so(client: ExaminingClient, tag: str) -> None:
    assert "No photo of this piece yet" in client.get(f"/pieces/{tag}/photos").text


def test_photos_sent_are_saved_and_shown(client: ExaminingClient, tag: str, ledger: Ledger) -> None:
    files = [a_file(photo_bytes(), "IMG_1.jpg"), a_file(photo_bytes(colour=BLUE), "IMG_2.jpg")]
    answer = client.post_form(f"/pieces/{tag}/photos", {"photos": files})
    assert (answer.status_code, answer.location) == (303, f"/pieces/{tag}/photos")
    page = client.get(f"/pieces/{tag}/photos").text
    assert "2 photos saved." in page
    assert len(photo_ids(ledger)) == 2
    assert re.findall(r'<img[^>]* alt="([^"]+)"', page, re.DOTALL) == [
        "Oak chest, photo 1 of 2",
        "Oak chest, photo 2 of 2",
    ]
    assert "IMG_1" not in page


def test_a_photo_that_fails_is_named_and_the_good_ones_are_saved(
    client: ExaminingClient, tag: str, ledger: Ledger
) -> None:
    files = [a_file(b"no photo", "notes.txt"), a_file(photo_bytes(), "chest.jpg"), a_file(HEIC, "top.heic")]
    answer = client.post_form(f"/pieces/{tag}/photos", {"photos": files})
    assert answer.status_code == 422
    assert "1 photo saved." in answer.text
    assert "notes.txt: This is not a readable photo" in answer.text
    assert "top.heic: This phone saves photos as HEIC" in answer.text
    assert len(photo_ids(ledger)) == 1


def test_more_than_twenty_at_once_are_named_and_not_saved(client: ExaminingClient, tag: str, ledger: Ledger) -> None:
    files = [a_file(photo_bytes(kind="PNG", colour=(number, 0, 0)), f"{number}.png") for number in range(21)]
    answer = client.post_form(f"/pieces/{tag}/photos", {"photos": files})
    assert "20 photos saved." in answer.text
    assert "20.png: Only 20 photos fit in one go" in answer.text
    assert len(photo_ids(ledger)) == 20


def test_sending_no_file_asks_for_one(client: ExaminingClient, tag: str) -> None:
    answer = client.post_form(f"/pieces/{tag}/photos", {"photos": a_file(b"", "")})
    assert answer.status_code == 422
    assert "Choose at least one photo first." in answer.text


def test_sending_the_same_photos_twice_saves_them_once(client: ExaminingClient, tag: str, ledger: Ledger) -> None:
    for _ in range(2):
        client.post_form(f"/pieces/{tag}/photos", {"photos": a_file(photo_bytes(), "chest.jpg")})
    assert len(photo_ids(ledger)) == 1


@pytest.mark.usefixtures("tag")
def test_a_photo_is_served_as_webp_for_this_browser_alone(client: ExaminingClient, app: Flask, ledger: Ledger) -> None:
    photo_id = an_attached_photo(app, ledger)
    for size in ("small", "large"):
        answer = client.get(f"/photos/{photo_id}/{size}")
        assert answer.content_type == "image/webp"
        assert answer.headers["X-Content-Type-Options"] == "nosniff"
        assert answer.headers["Cache-Control"] == "private, max-age=31536000, immutable"
        assert answer.data[8:12] == b"WEBP"
        again = client.get(f"/photos/{photo_id}/{size}", status=304, headers={"If-None-Match": answer.headers["ETag"]})
        assert again.data == b""


@pytest.mark.usefixtures("tag")
def test_a_photo_that_is_not_there_is_not_found(client: ExaminingClient, app: Flask, ledger: Ledger) -> None:
    photo_id = an_attached_photo(app, ledger)
    client.get("/photos/99/small", status=404)
    client.get(f"/photos/{photo_id}/original", status=404)
    client.get(f"/photos/{photo_id}/..%2F..%2Fledger.sqlite", status=404)
    with ledger.writing() as session:
        remove_photo(session, photo_id, now=NOW)
    client.get(f"/photos/{photo_id}/small", status=404)


@pytest.mark.usefixtures("tag")
def test_a_photo_whose_file_was_lost_is_not_found(client: ExaminingClient, app: Flask, ledger: Ledger) -> None:
    photo_id = an_attached_photo(app, ledger)
    for path in app.extensions["tackcloth_settings"].photo_dir.rglob("*.webp"):
        path.unlink()
    client.get(f"/photos/{photo_id}/small", status=404)


def test_a_removed_photo_can_be_put_back(client: ExaminingClient, tag: str, app: Flask, ledger: Ledger) -> None:
    photo_id = an_attached_photo(app, ledger)
    page = f"/pieces/{tag}/photos"
    answer = client.post_form(f"/photos/{photo_id}/remove", {}, from_page=page)
    assert answer.location == f"{page}?removed={photo_id}"
    assert photo_ids(ledger) == []
    client.post_form(f"/photos/{photo_id}/put-back", {}, from_page=answer.location)
    assert photo_ids(ledger) == [photo_id]
    assert "Put it back" not in client.get(answer.location).text


@pytest.mark.parametrize("number", ["99", "x", "9" * 30])
def test_a_photo_nobody_removed_is_not_offered_again(client: ExaminingClient, tag: str, number: str) -> None:
    assert "Put it back" not in client.get(f"/pieces/{tag}/photos?removed={number}").text


def test_another_photo_can_be_put_in_front(client: ExaminingClient, tag: str, app: Flask, ledger: Ledger) -> None:
    first, second = an_attached_photo(app, ledger), an_attached_photo(app, ledger, BLUE)
    client.post_form(f"/photos/{second}/front", {}, from_page=f"/pieces/{tag}/photos")
    assert photo_ids(ledger) == [second, first]


def test_more_photos_take_no_more_queries(client: ExaminingClient, tag: str, app: Flask, ledger: Ledger) -> None:
    client.get(f"/pieces/{tag}/photos")
    bare = client.queries
    for number in range(8):
        an_attached_photo(app, ledger, (number * 30, 0, 0))
    client.get(f"/pieces/{tag}/photos")
    assert client.queries == bare
