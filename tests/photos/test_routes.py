"""The page of a piece's photos, and the photos themselves."""

import re
from io import BytesIO
from pathlib import Path

import pytest
from flask import Flask
from PIL import Image
from werkzeug.datastructures import FileStorage

from app.basics.settings import Settings
from app.database.unit_of_work import Ledger
from app.photos.actions import remove_photo
from app.photos.queries import photo_by_id, photos_of
from app.photos.rules import PAIR_GAP, Shows, Size
from app.pieces.actions import step_forward, strike_find
from app.pieces.queries import piece_by_tag
from app.pieces.rules import Stage
from tests.builders.photos import BLUE, RED, a_photo, is_blue, photo_bytes
from tests.builders.pieces import NOW, a_piece
from tests.examining_client import ExaminingClient, Page

BROKEN_HEIC = photo_bytes(kind="HEIF")[:-40]


def a_file(body: bytes, name: str) -> FileStorage:
    return FileStorage(BytesIO(body), filename=name)


@pytest.fixture
def tag(ledger: Ledger, client: ExaminingClient) -> str:  # noqa: ARG001
    with ledger.writing() as session:
        return a_piece(session, title="Oak chest").tag


def photo_ids(ledger: Ledger) -> list[int]:
    with ledger.reading() as session:
        return [photo.id for photo in photos_of(session, 1)]


def files_of(app: Flask) -> list[Path]:
    return sorted(path for path in app.extensions["tackcloth_settings"].photo_dir.rglob("*") if path.is_file())


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
        "Oak chest, as found, photo 1 of 2",
        "Oak chest, as found, photo 2 of 2",
    ]
    assert "IMG_1" not in page


def test_a_photo_that_fails_is_named_and_the_good_ones_are_saved(
    client: ExaminingClient, tag: str, ledger: Ledger
) -> None:
    files = [a_file(b"no photo", "notes.txt"), a_file(photo_bytes(), "chest.jpg"), a_file(BROKEN_HEIC, "top.heic")]
    answer = client.post_form(f"/pieces/{tag}/photos", {"photos": files})
    assert answer.status_code == 422
    assert "1 photo saved." in answer.text
    assert "notes.txt: This is not a readable photo" in answer.text
    assert "top.heic: This is not a readable photo" in answer.text
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


def test_a_struck_find_takes_no_more_photos(client: ExaminingClient, tag: str, app: Flask, ledger: Ledger) -> None:
    page, sent = f"/pieces/{tag}/photos", {"photos": a_file(photo_bytes(), "chest.jpg")}
    before = Page(client.get(page).text).forms[-1]["fields"]
    an_attached_photo(app, ledger)
    with ledger.writing() as session:
        strike_find(session, 1, reason="logged twice", version=None, now=NOW)
    assert "Add photos" not in client.get(page).text
    assert client.post(page, {**before, **sent}, content_type="multipart/form-data").status_code >= 400
    assert len(photo_ids(ledger)) == 1


def test_sending_the_same_photos_twice_saves_them_once(client: ExaminingClient, tag: str, ledger: Ledger) -> None:
    for _ in range(2):
        client.post_form(f"/pieces/{tag}/photos", {"photos": a_file(photo_bytes(), "chest.jpg")})
    assert len(photo_ids(ledger)) == 1


@pytest.mark.usefixtures("tag")
def test_a_photo_is_served_as_webp_for_this_browser_alone(client: ExaminingClient, app: Flask, ledger: Ledger) -> None:
    photo_id = an_attached_photo(app, ledger)
    for size in Size:
        answer = client.get(f"/photos/{photo_id}/{size}")
        assert answer.content_type == "image/webp"
        assert answer.headers["X-Content-Type-Options"] == "nosniff"
        assert answer.headers["Cache-Control"] == "private, no-cache"
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
@pytest.mark.parametrize("trouble", ["gone", "broken"])
def test_a_photo_whose_original_was_lost_is_not_found(
    client: ExaminingClient, app: Flask, ledger: Ledger, trouble: str
) -> None:
    photo_id = an_attached_photo(app, ledger)
    for path in files_of(app):
        if trouble == "broken" and path.suffix == ".original":
            path.write_bytes(b"something else")
        else:
            path.unlink()
    client.get(f"/photos/{photo_id}/small", status=404)


@pytest.mark.usefixtures("tag")
def test_a_size_that_is_missing_is_drawn_when_it_is_asked_for(
    client: ExaminingClient, app: Flask, ledger: Ledger
) -> None:
    photo_id = an_attached_photo(app, ledger)
    kept = {path: path.read_bytes() for path in files_of(app)}
    for path in kept:
        if path.suffix == ".webp":
            path.unlink()
    for size in Size:
        client.get(f"/photos/{photo_id}/{size}")
    assert {path: path.read_bytes() for path in files_of(app)} == kept


def test_a_removed_photo_can_be_put_back(client: ExaminingClient, tag: str, app: Flask, ledger: Ledger) -> None:
    photo_id = an_attached_photo(app, ledger)
    page = f"/pieces/{tag}/photos"
    answer = client.post_form(f"/photos/{photo_id}/remove", {}, from_page=f"/photos/{photo_id}")
    assert answer.location == f"{page}?removed={photo_id}"
    assert photo_ids(ledger) == []
    client.get(f"/photos/{photo_id}", status=404)
    client.post_form(f"/photos/{photo_id}/put-back", {}, from_page=answer.location)
    assert photo_ids(ledger) == [photo_id]
    assert "Put it back" not in client.get(answer.location).text


@pytest.mark.parametrize("number", ["99", "x", "9" * 30])
def test_a_photo_nobody_removed_is_not_offered_again(client: ExaminingClient, tag: str, number: str) -> None:
    assert "Put it back" not in client.get(f"/pieces/{tag}/photos?removed={number}").text


def test_another_photo_can_be_put_in_front(client: ExaminingClient, tag: str, app: Flask, ledger: Ledger) -> None:
    first, second = an_attached_photo(app, ledger), an_attached_photo(app, ledger, BLUE)
    client.post_form(f"/photos/{second}/front", {}, from_page=f"/photos/{second}")
    assert photo_ids(ledger) == [second, first]
    assert "That is the front photo now." in client.get(f"/pieces/{tag}/photos").text


@pytest.mark.usefixtures("tag")
def test_a_photo_is_moved_by_tapping_and_a_double_tap_moves_it_once(
    client: ExaminingClient, app: Flask, ledger: Ledger
) -> None:
    ids = [an_attached_photo(app, ledger, (number * 40, 0, 0)) for number in range(4)]
    earlier = client.post_form(f"/photos/{ids[2]}/place", {"to": "2"}, from_page=f"/photos/{ids[2]}")
    assert earlier.location == f"/photos/{ids[2]}"
    client.post_form(f"/photos/{ids[2]}/place", {"to": "2"}, from_page=f"/photos/{ids[2]}")
    assert photo_ids(ledger) == [ids[0], ids[2], ids[1], ids[3]]
    page = client.get(f"/photos/{ids[0]}").text
    assert ("Earlier</button>" in page, "Later</button>" in page, "Put in front</button>" in page) == (
        False,
        True,
        False,
    )
    refused = client.post_form(f"/photos/{ids[0]}/place", {"to": "x"}, from_page=f"/photos/{ids[0]}")
    assert refused.status_code == 400


@pytest.mark.usefixtures("tag")
def test_a_photo_is_given_a_caption_and_another_state(client: ExaminingClient, app: Flask, ledger: Ledger) -> None:
    photo_id = an_attached_photo(app, ledger)
    answer = client.post_form(f"/photos/{photo_id}", {"shows": "listing", "caption": "Left drawer\x00, <b>open</b>"})
    assert answer.location == f"/photos/{photo_id}"
    page = client.get(answer.location).text
    assert "Saved." in page
    assert 'alt="Oak chest, for listing, the only photo: Left drawer, &lt;b&gt;open&lt;/b&gt;"' in page
    assert "<bdi>Left drawer, &lt;b&gt;open&lt;/b&gt;</bdi>" in page


@pytest.mark.usefixtures("tag")
@pytest.mark.parametrize("wrong", [{"shows": "receipt"}, {"caption": "x" * 201}])
def test_what_a_photo_cannot_show_is_refused(
    client: ExaminingClient, app: Flask, ledger: Ledger, wrong: dict[str, str]
) -> None:
    photo_id = an_attached_photo(app, ledger)
    assert client.post_form(f"/photos/{photo_id}", wrong).status_code == 422
    with ledger.reading() as session:
        photo = photo_by_id(session, photo_id)
    assert (photo.shows, photo.caption) == (Shows.FOUND, "")


def test_what_is_added_shows_the_piece_as_it_stands_unless_said_otherwise(
    client: ExaminingClient, tag: str, ledger: Ledger
) -> None:
    page = f"/pieces/{tag}/photos"
    client.post_form(page, {"photos": a_file(photo_bytes(), "a.jpg")})
    with ledger.writing() as session:
        piece = piece_by_tag(session, tag)
        step_forward(session, piece.id, Stage.FINISHED, on_date=NOW.date(), version=None, now=NOW)
    client.post_form(page, {"photos": a_file(photo_bytes(colour=BLUE), "b.jpg")})
    client.post_form(page, {"photos": a_file(photo_bytes(colour=(0, 0, 0)), "c.jpg"), "shows": "during"})
    with ledger.reading() as session:
        assert [photo.shows for photo in photos_of(session, 1)] == [Shows.FOUND, Shows.FINISHED, Shows.DURING]


def test_nothing_is_kept_when_what_the_photos_show_is_none_of_the_choices(
    client: ExaminingClient, tag: str, app: Flask
) -> None:
    sent = {"photos": a_file(photo_bytes(), "a.jpg"), "shows": "receipt"}
    assert client.post_form(f"/pieces/{tag}/photos", sent).status_code == 422
    assert files_of(app) == []


def test_a_receipt_and_a_photo_of_no_piece_have_no_page_of_a_piece(
    client: ExaminingClient, app: Flask, ledger: Ledger
) -> None:
    photo_dir = app.extensions["tackcloth_settings"].photo_dir
    with ledger.writing() as session:
        receipt = a_photo(session, photo_dir, None, shows=Shows.RECEIPT).id
        loose = a_photo(session, photo_dir, None).id
    client.get(f"/photos/{receipt}", status=404)
    client.get(f"/photos/{loose}", status=404)


def test_before_and_after_stand_on_the_sheet_and_go_out_as_one_picture(
    client: ExaminingClient, tag: str, app: Flask, ledger: Ledger
) -> None:
    found = an_attached_photo(app, ledger)
    assert "Before and after" not in client.get(f"/pieces/{tag}").text
    client.get(f"/pieces/{tag}/before-after.jpg", status=404)
    done = an_attached_photo(app, ledger, BLUE)
    client.post_form(f"/photos/{done}", {"shows": "finished", "caption": "Waxed"})
    sheet = client.get(f"/pieces/{tag}").text
    assert re.findall(r'alt="(Oak chest, (?:before|after)[^"]*)"', sheet) == [
        "Oak chest, before",
        "Oak chest, after: Waxed",
    ]
    assert 'type="range"' in sheet
    assert f"/photos/{found}/middle" in sheet
    answer = client.get(f"/pieces/{tag}/before-after.jpg")
    assert answer.headers["Content-Disposition"] == f"attachment; filename={tag}-before-and-after.jpg"
    with Image.open(BytesIO(answer.data)) as picture:
        assert (picture.format, picture.size) == ("JPEG", (40 + PAIR_GAP + 40, 20))
        assert [is_blue(picture.getpixel((x, 15))) for x in (30, 46, 80)] == [False, False, True]


def test_more_photos_take_no_more_queries(client: ExaminingClient, tag: str, app: Flask, ledger: Ledger) -> None:
    client.get(f"/pieces/{tag}/photos")
    bare = client.queries
    for number in range(8):
        an_attached_photo(app, ledger, (number * 30, 0, 0))
    client.get(f"/pieces/{tag}/photos")
    assert client.queries == bare
