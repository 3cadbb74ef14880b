"""No picture that is shown or sent tells where it was taken, by whose camera, or anything else but itself.

Held against exifread, an independent reader, and against the bytes of words planted in the original. Whoever sends
pictures out by a new way adds its test here or uses `what_it_tells` from the builders beside it.
"""

from io import BytesIO
from pathlib import Path

import pytest
from flask import Flask

from app.basics.settings import Settings
from app.database.unit_of_work import Ledger
from app.photos.rules import Shows, Size
from app.photos.store import draw_pair, keep, original_path, size_bytes, size_path
from tests.builders.photos import (
    CAMERA,
    COMMENT,
    IPTC,
    MAKER_NOTE,
    PACKET,
    PLACE,
    SERIAL,
    a_photo,
    telling_photo,
    what_it_tells,
)
from tests.builders.pieces import a_piece
from tests.examining_client import ExaminingClient

KINDS = ("JPEG", "PNG", "WEBP", "HEIF")
READ_APART = ("EXIF DateTimeOriginal", "EXIF BodySerialNumber", "GPS GPSLatitude", "Image Make")


@pytest.fixture
def photo_dir(tmp_path: Path) -> Path:
    return tmp_path / "photos"


@pytest.mark.parametrize("kind", KINDS)
def test_the_originals_of_these_tests_tell_everything(kind: str) -> None:
    told = what_it_tells(telling_photo(kind))
    planted = {PLACE, CAMERA, SERIAL, MAKER_NOTE, PACKET, COMMENT}
    assert planted <= set(told)
    assert kind == "HEIF" or set(READ_APART) <= set(told)
    assert (IPTC in told) == (kind == "JPEG")


@pytest.mark.parametrize("kind", KINDS)
def test_no_size_tells_anything_and_the_original_keeps_all(photo_dir: Path, kind: str) -> None:
    body = telling_photo(kind)
    photo = keep(photo_dir, BytesIO(body), "photo")
    for size in Size:
        assert what_it_tells(size_bytes(photo_dir, photo.sha256, size)) == []
    assert original_path(photo_dir, photo.sha256).read_bytes() == body


@pytest.mark.parametrize("kind", KINDS)
def test_a_size_drawn_later_tells_nothing_either(photo_dir: Path, kind: str) -> None:
    photo = keep(photo_dir, BytesIO(telling_photo(kind)), "photo")
    size_path(photo_dir, photo.sha256, Size.MIDDLE).unlink()
    assert what_it_tells(size_bytes(photo_dir, photo.sha256, Size.MIDDLE)) == []


@pytest.mark.parametrize("kind", KINDS)
def test_before_and_after_in_one_picture_tells_nothing(photo_dir: Path, kind: str) -> None:
    before = keep(photo_dir, BytesIO(telling_photo(kind)), "before")
    after = keep(photo_dir, BytesIO(telling_photo(kind, 900, 1200)), "after")
    assert what_it_tells(draw_pair(photo_dir, before.sha256, after.sha256)) == []


@pytest.mark.parametrize("kind", KINDS)
def test_nothing_is_told_by_what_pages_serve(client: ExaminingClient, app: Flask, ledger: Ledger, kind: str) -> None:
    settings: Settings = app.extensions["tackcloth_settings"]
    with ledger.writing() as session:
        piece = a_piece(session)
        found = a_photo(session, settings.photo_dir, piece.id, body=telling_photo(kind)).id
        done = telling_photo(kind, 900, 1200)
        a_photo(session, settings.photo_dir, piece.id, shows=Shows.FINISHED, body=done)
        tag = piece.tag
    served = [client.get(f"/photos/{found}/{size}").data for size in Size]
    served.append(client.get(f"/pieces/{tag}/before-after.jpg").data)
    assert [what_it_tells(one) for one in served] == [[], [], [], []]
