"""The listing pack and the note on care: worked out, put in the owner's own words, taken along in one file."""

import json
import zipfile
from io import BytesIO
from pathlib import Path
from typing import Any

import exifread
import pytest
from flask import Flask
from PIL import ExifTags, Image
from sqlalchemy.orm import Session

from app.basics.errors import NotFound
from app.database.unit_of_work import Ledger
from app.desk.rules.pack import BUYER_WORDS
from app.floor.actions import word_listing
from app.floor.queries import wording_of
from app.photos.actions import attach_photo
from app.photos.rules import Shows
from app.photos.store import as_jpeg, keep
from app.pieces.actions import leave
from app.pieces.models import Piece
from app.pieces.rules import Form, Leaving, Stage
from app.recipes.rules import Part, Product, Task
from tests.builders.finishes import a_coat, a_finish, do_step, steps_of
from tests.builders.floor import a_hold, a_listed_piece
from tests.builders.pieces import NOW, a_piece
from tests.builders.sales import a_sold_piece
from tests.examining_client import ExaminingClient, Page

SERIAL = "SN-4711-PLANTED"
MODEL = "Invented box 7"


def a_telling_photo(width: int = 60, height: int = 30, *, colour: str = "red", orientation: int = 6) -> bytes:
    """A photo that lies on its side and tells where, with what and by whom it was taken."""
    exif = Image.Exif()
    exif[ExifTags.Base.Orientation] = orientation
    exif[ExifTags.Base.Model] = MODEL
    exif.get_ifd(ExifTags.IFD.Exif)[ExifTags.Base.BodySerialNumber] = SERIAL
    exif.get_ifd(ExifTags.IFD.GPSInfo)[ExifTags.GPS.GPSLatitude] = (39.0, 44.0, 21.0)
    out = BytesIO()
    Image.new("RGB", (width, height), colour).save(out, "JPEG", exif=exif, comment=b"PLANTED comment")
    return out.getvalue()


def folder_of(app: Flask) -> Path:
    found: Path = app.extensions["tackcloth_settings"].photo_dir
    return found


def attached(session: Session, folder: Path, piece: Piece, shows: Shows, body: bytes) -> int:
    stored = keep(folder, BytesIO(body), "photo.jpg")
    return attach_photo(session, stored, piece_id=piece.id, shows=shows, now=NOW).id


def unpacked(client: ExaminingClient, path: str) -> dict[str, bytes]:
    with zipfile.ZipFile(BytesIO(client.get(path).data)) as pack:
        assert pack.testzip() is None
        return {name: pack.read(name) for name in pack.namelist()}


def words_shown(client: ExaminingClient, tag: str, asked: str = "") -> str:
    text = client.get(f"/pieces/{tag}/pack{asked}").text
    return text.split('aria-label="The words">')[1].split("</div>")[0]


@pytest.fixture
def listed(ledger: Ledger, client: ExaminingClient) -> Piece:  # noqa: ARG001
    with ledger.writing() as session:
        told: dict[str, Any] = {"form": Form.CHEST, "title": "Oak chest", "height_mm": 762}
        piece = a_listed_piece(session, asking_cents=240_00, **told)
        finish = a_finish(session, piece.id, [a_coat(Part.BODY), a_coat(Part.BODY)])
        for step in steps_of(session, finish.id):
            do_step(session, step.id)
        return piece


def test_the_words_are_worked_out_from_facts_finish_cautions_and_price(client: ExaminingClient, listed: Piece) -> None:
    words = words_shown(client, listed.tag)
    for said in ("Oak chest", "Size: H 30 in (H 76.2 cm)", "Body: painted with waterborne paint (2 coats)"):
        assert said in words
    assert "Price: $240.00" in words
    assert BUYER_WORDS["tip_over"].split(":")[0] in words


def test_the_floor_and_the_sheet_lead_to_the_pack(client: ExaminingClient, listed: Piece) -> None:
    for page in ("/floor", f"/pieces/{listed.tag}"):
        assert f'href="/pieces/{listed.tag}/pack"' in client.get(page).text


def test_own_words_stay_when_facts_change_and_can_be_worked_out_anew(
    client: ExaminingClient, ledger: Ledger, listed: Piece
) -> None:
    here = f"/pieces/{listed.tag}/pack"
    client.post_form(here, {"words": "Come and see it."})
    assert words_shown(client, listed.tag) == "Come and see it."
    anew = client.get(f"{here}?anew=1").text
    assert words_shown(client, listed.tag, "?anew=1") == "Come and see it."
    assert "The words above stay until you save" in anew
    worked_out = anew.split("<textarea")[1].split(">", 1)[1].split("</textarea>")[0]
    assert "Oak chest" in worked_out
    client.post_form(here, {"words": worked_out.replace("&#39;", "'").strip()}, from_page=f"{here}?anew=1")
    with ledger.reading() as session:
        assert wording_of(session, listed.id).listing == ""
    assert "following them until you write your own" in client.get(here).text


def test_words_changed_on_another_phone_are_both_in_sight(
    client: ExaminingClient, ledger: Ledger, listed: Piece
) -> None:
    here = f"/pieces/{listed.tag}/pack"
    older = Page(client.get(here).text).forms[0]["fields"]
    with ledger.writing() as session:
        word_listing(session, listed.id, "From the other phone", version=None, now=NOW)
    answer = client.post(here, {**older, "words": "From this phone"})
    assert answer.status_code == 409
    assert "<dd>From the other phone</dd>" in answer.text
    assert "From this phone</textarea>" in answer.text


def test_the_pack_holds_words_photos_in_order_and_data(
    client: ExaminingClient, app: Flask, ledger: Ledger, listed: Piece
) -> None:
    folder = folder_of(app)
    with ledger.writing() as session:
        found = attached(session, folder, listed, Shows.FOUND, a_telling_photo(colour="red"))
        attached(session, folder, listed, Shows.FINISHED, a_telling_photo(colour="green"))
        attached(session, folder, listed, Shows.LISTING, a_telling_photo(2000, 900, colour="blue"))
        attached(session, folder, listed, Shows.RECEIPT, a_telling_photo(colour="white"))
    here = f"/pieces/{listed.tag}/pack.zip"
    pack = unpacked(client, here)
    assert list(pack) == ["listing.txt", "listing.json", "01.jpg", "02.jpg"]
    assert pack["listing.txt"].decode().startswith("Oak chest\n")
    data = json.loads(pack["listing.json"])
    assert (data["sku"], data["image"]) == (listed.tag, ["01.jpg", "02.jpg"])
    assert (data["offers"]["price"], data["offers"]["priceCurrency"]) == ("240.00", "USD")
    first, second = (Image.open(BytesIO(pack[name])) for name in ("01.jpg", "02.jpg"))
    assert (first.format, first.size, second.size) == ("JPEG", (720, 1600), (30, 60))
    assert _main_colour(first) == "blue"
    assert _main_colour(second) == "green"
    chosen = unpacked(client, f"{here}?chosen=1&photo={found}&photo=x&photo=99999")
    assert list(chosen) == ["listing.txt", "listing.json", "01.jpg"]
    assert _main_colour(Image.open(BytesIO(chosen["01.jpg"]))) == "red"
    assert list(unpacked(client, f"{here}?chosen=1")) == ["listing.txt", "listing.json"]


def test_nothing_hidden_leaves_with_a_photo(client: ExaminingClient, app: Flask, ledger: Ledger, listed: Piece) -> None:
    body = a_telling_photo()
    assert exifread.process_file(BytesIO(body))["EXIF BodySerialNumber"].values == SERIAL
    with ledger.writing() as session:
        for shows in (Shows.LISTING, Shows.FINISHED, Shows.FOUND):
            attached(session, folder_of(app), listed, shows, a_telling_photo(orientation=3 if shows == "found" else 6))
    ids = "&".join(f"photo={number}" for number in range(1, 9))
    pack = unpacked(client, f"/pieces/{listed.tag}/pack.zip?chosen=1&{ids}")
    pictures = {name: picture for name, picture in pack.items() if name.endswith(".jpg")}
    assert len(pictures) >= 2
    for name, picture in pictures.items():
        assert exifread.process_file(BytesIO(picture)) == {}, name
        for planted in (SERIAL, MODEL, "PLANTED", "Exif", "http://ns.adobe.com"):
            assert planted.encode() not in picture


@pytest.mark.parametrize("is_held", [False, True])
def test_a_hold_is_told_to_machines(client: ExaminingClient, ledger: Ledger, listed: Piece, *, is_held: bool) -> None:
    if is_held:
        with ledger.writing() as session:
            a_hold(session, session.get_one(Piece, listed.id))
    data = json.loads(unpacked(client, f"/pieces/{listed.tag}/pack.zip")["listing.json"])
    assert data["offers"]["availability"].endswith("LimitedAvailability" if is_held else "InStock")


def test_a_piece_of_which_nothing_is_known_still_has_its_pack(client: ExaminingClient, ledger: Ledger) -> None:
    with ledger.writing() as session:
        piece = a_piece(session, title="Ü" * 120)
    page = client.get(f"/pieces/{piece.tag}/pack").text
    assert "It is not on the floor yet" in page
    assert "No photo yet" in page
    pack = unpacked(client, f"/pieces/{piece.tag}/pack.zip")
    assert list(pack) == ["listing.txt", "listing.json"]
    assert "offers" not in json.loads(pack["listing.json"])


def test_a_piece_that_is_gone_is_said_to_be(client: ExaminingClient, ledger: Ledger) -> None:
    with ledger.writing() as session:
        sold, _ = a_sold_piece(session)
        kept = a_piece(session)
        leave(session, kept.id, how=Leaving.KEPT, on_date=NOW.date(), reason="", version=None, now=NOW)
    assert "It is not for sale: sold." in client.get(f"/pieces/{sold.tag}/pack").text
    assert "It is not for sale: kept." in client.get(f"/pieces/{kept.tag}/pack").text
    assert "Price" not in words_shown(client, sold.tag)


def test_what_must_not_be_sold_gets_no_price(client: ExaminingClient, ledger: Ledger) -> None:
    with ledger.writing() as session:
        piece = a_listed_piece(session, title="Drop-side crib")
    assert "No drop-side cribs" in client.get(f"/pieces/{piece.tag}/pack").text
    pack = unpacked(client, f"/pieces/{piece.tag}/pack.zip")
    assert b"Price" not in pack["listing.txt"]
    assert "offers" not in json.loads(pack["listing.json"])


def test_unknown_pieces_have_no_pack(client: ExaminingClient) -> None:
    for path in ("pack", "pack.zip", "care"):
        client.get(f"/pieces/9ZZ9/{path}", status=404)


def test_a_photo_as_jpeg_is_never_enlarged_and_missing_ones_are_said(tmp_path: Path) -> None:
    stored = keep(tmp_path, BytesIO(a_telling_photo(60, 30)), "photo.jpg")
    assert Image.open(BytesIO(as_jpeg(tmp_path, stored.sha256))).size == (30, 60)
    with pytest.raises(NotFound):
        as_jpeg(tmp_path, "0" * 64)


def test_the_note_on_care_says_what_it_rests_on_and_takes_own_words(client: ExaminingClient, ledger: Ledger) -> None:
    with ledger.writing() as session:
        piece = a_piece(session, stage=Stage.FINISHED)
        coats = [a_coat(task=Task.CLEAR_COAT, product=Product.OIL_FINISH)]
        finish = a_finish(session, piece.id, coats)
        do_step(session, steps_of(session, finish.id)[0].id)
    here = f"/pieces/{piece.tag}/care"
    text = client.get(here).text
    assert "common practice, no source" in text
    assert "National Fire Protection Association" in text
    assert "Treat it gently until 25 December 2026" in text
    client.post_form(here, {"words": "Oil it with me once a year."})
    assert "These are your own words" in client.get(here).text
    assert client.post_form(here, {"words": "x" * 601}).status_code == 422
    client.post_form(here, {"words": ""})
    assert "following it until you write your own" in client.get(here).text


def test_a_piece_without_a_coat_says_that_nothing_can_be_worked_out(client: ExaminingClient, ledger: Ledger) -> None:
    with ledger.writing() as session:
        tag = a_piece(session).tag
    assert "nothing can be worked out" in client.get(f"/pieces/{tag}/care").text


def _main_colour(picture: Image.Image) -> str:
    channels = picture.convert("RGB").resize((1, 1)).getpixel((0, 0))
    assert isinstance(channels, tuple)
    return ("red", "green", "blue")[max(range(3), key=lambda place: channels[place])]
