"""The photo folder: what is taken in, how it is turned, and that it lies there whole."""

import errno
import hashlib
import os
from concurrent.futures import ThreadPoolExecutor
from datetime import UTC, datetime
from io import BytesIO
from pathlib import Path
from stat import S_ISDIR

import pytest
from PIL import Image, ImageCms

from app.basics.errors import NotFound, RuleError
from app.database.unit_of_work import LedgerFull
from app.photos.rules import MOST_BYTES, Size, StoredPhoto, TooManyPixels, UnreadablePhoto
from app.photos.store import draw_pair, keep, original_path, size_bytes, size_path
from tests.builders.photos import UNTURN, a_picture, is_blue, photo_bytes


@pytest.fixture
def photo_dir(tmp_path: Path) -> Path:
    return tmp_path / "photos"


def kept(photo_dir: Path, body: bytes, name: str = "chest.jpg") -> StoredPhoto:
    return keep(photo_dir, BytesIO(body), name)


def shown(photo_dir: Path, photo: StoredPhoto, size: Size) -> Image.Image:
    with Image.open(size_path(photo_dir, photo.sha256, size)) as picture:
        picture.load()
        return picture.copy()


def files_in(photo_dir: Path) -> set[str]:
    return {path.name for path in photo_dir.rglob("*") if path.is_file()}


def test_the_original_is_kept_untouched_under_its_hash(photo_dir: Path) -> None:
    body = photo_bytes()
    photo = kept(photo_dir, body)
    assert photo.sha256 == hashlib.sha256(body).hexdigest()
    assert original_path(photo_dir, photo.sha256).read_bytes() == body
    assert original_path(photo_dir, photo.sha256).parent.name == photo.sha256[:2]
    assert (photo.kind, photo.bytes, photo.given_name) == ("jpeg", len(body), "chest.jpg")


def test_two_sizes_are_drawn_as_webp(photo_dir: Path) -> None:
    photo = kept(photo_dir, photo_bytes(2400, 1200))
    assert shown(photo_dir, photo, Size.LARGE).size == (1600, 800)
    assert shown(photo_dir, photo, Size.SMALL).size == (320, 160)
    assert size_path(photo_dir, photo.sha256, Size.SMALL).read_bytes()[8:12] == b"WEBP"


def test_a_large_photo_shrunk_the_quick_way_still_shows_what_is_on_it(photo_dir: Path) -> None:
    photo = kept(photo_dir, photo_bytes(8000, 6000, orientation=6))
    assert (photo.width, photo.height) == (6000, 8000)
    large = shown(photo_dir, photo, Size.LARGE)
    assert large.size == (1200, 1600)
    # Turned a quarter to the right, the blue corner at the upper left comes to the upper right.
    assert is_blue(large.getpixel((1100, 100)))
    assert not is_blue(large.getpixel((100, 100)))


@pytest.mark.parametrize("kind", ["JPEG", "PNG"])
@pytest.mark.parametrize("orientation", UNTURN)
def test_a_photo_is_shown_upright_however_the_phone_was_held(photo_dir: Path, orientation: int, kind: str) -> None:
    held = a_picture(80, 40)
    turn = UNTURN[orientation]
    exif = Image.Exif()
    exif[0x0112] = orientation
    out = BytesIO()
    (held.transpose(turn) if turn is not None else held).save(out, kind, exif=exif)
    photo = kept(photo_dir, out.getvalue())
    upright = shown(photo_dir, photo, Size.LARGE)
    assert (photo.width, photo.height) == upright.size == (80, 40)
    corners = {place: is_blue(upright.getpixel(place)) for place in ((10, 5), (70, 5), (10, 35), (70, 35))}
    assert corners == {(10, 5): True, (70, 5): False, (10, 35): False, (70, 35): False}


def test_nothing_the_camera_wrote_is_in_the_sizes_shown(photo_dir: Path) -> None:
    body = photo_bytes(taken="2026:11:25 14:05:00")
    assert b"Exif" in body
    photo = kept(photo_dir, body)
    for size in Size:
        drawn = size_path(photo_dir, photo.sha256, size).read_bytes()
        assert not any(chunk in drawn for chunk in (b"EXIF", b"ICCP", b"XMP ", b"2026:11:25"))


def test_the_capture_time_is_kept(photo_dir: Path) -> None:
    photo = kept(photo_dir, photo_bytes(taken="2026:11:25 14:05:00", offset="-07:00"))
    assert photo.taken_at == datetime(2026, 11, 25, 21, 5, tzinfo=UTC)
    assert kept(photo_dir, photo_bytes(colour=(1, 2, 3))).taken_at is None


def test_the_same_content_is_stored_once(photo_dir: Path) -> None:
    first = kept(photo_dir, photo_bytes(), "chest.jpg")
    written = {path: path.stat().st_mtime_ns for path in photo_dir.rglob("*.*")}
    again = kept(photo_dir, photo_bytes(), "the same chest.jpg")
    assert again.sha256 == first.sha256
    assert {path: path.stat().st_mtime_ns for path in photo_dir.rglob("*.*")} == written


def test_a_size_that_was_lost_is_drawn_anew(photo_dir: Path) -> None:
    photo = kept(photo_dir, photo_bytes())
    size_path(photo_dir, photo.sha256, Size.SMALL).unlink()
    kept(photo_dir, photo_bytes())
    assert size_path(photo_dir, photo.sha256, Size.SMALL).is_file()


@pytest.mark.parametrize(("kind", "told"), [("JPEG", "jpeg"), ("PNG", "png"), ("WEBP", "webp"), ("HEIF", "heic")])
def test_the_kind_is_told_by_content_and_not_by_name(photo_dir: Path, kind: str, told: str) -> None:
    assert kept(photo_dir, photo_bytes(kind=kind), "../../chest\x00.gif").kind == told
    assert {path.parent.parent for path in photo_dir.rglob("*.*")} == {photo_dir}


def test_a_double_picture_of_a_phone_is_a_photo(photo_dir: Path) -> None:
    out = BytesIO()
    a_picture(64, 48).save(out, "MPO", save_all=True, append_images=[a_picture(32, 24)])
    photo = kept(photo_dir, out.getvalue())
    assert (photo.kind, photo.width, photo.height) == ("jpeg", 64, 48)


@pytest.mark.parametrize("mode", ["L", "LA", "P", "CMYK", "RGBA", "1", "I;16"])
def test_every_way_of_writing_colours_is_shown(photo_dir: Path, mode: str) -> None:
    picture = Image.new("I;16", (30, 20), 40_000) if mode == "I;16" else a_picture(30, 20).convert(mode)
    out = BytesIO()
    picture.save(out, "JPEG" if mode == "CMYK" else "PNG")
    photo = kept(photo_dir, out.getvalue())
    pixel = shown(photo_dir, photo, Size.SMALL).getpixel((25, 15))
    assert isinstance(pixel, tuple)
    assert 60 < sum(pixel[:3]) < 3 * 250 or mode == "1"


def test_what_is_see_through_becomes_white(photo_dir: Path) -> None:
    out = BytesIO()
    Image.new("RGBA", (30, 20), (0, 0, 0, 0)).save(out, "PNG")
    assert shown(photo_dir, kept(photo_dir, out.getvalue()), Size.SMALL).getpixel((5, 5)) == (255, 255, 255)


def test_a_broken_colour_profile_does_not_spoil_the_photo(photo_dir: Path) -> None:
    sound = ImageCms.ImageCmsProfile(ImageCms.createProfile("sRGB")).tobytes()
    for profile in (sound, b"no profile at all"):
        out = BytesIO()
        a_picture().save(out, "JPEG", icc_profile=profile)
        assert shown(photo_dir, kept(photo_dir, out.getvalue()), Size.SMALL).size == (40, 20)


@pytest.mark.filterwarnings("ignore:Corrupt EXIF data:UserWarning")
def test_broken_camera_facts_do_not_spoil_the_photo(photo_dir: Path) -> None:
    body = photo_bytes(taken="2026:11:25 14:05:00")
    start = body.index(b"Exif\x00\x00") + 6
    photo = kept(photo_dir, body[: start + 4] + b"\xff\xff\xff\x7f" + body[start + 8 :])
    assert (photo.width, photo.taken_at) == (40, None)


@pytest.mark.parametrize(
    "body",
    [
        b"<html><body>not a photo</body></html>",
        b"<svg xmlns='http://www.w3.org/2000/svg'/>",
        b"GIF89a" + b"\x00" * 40,
        b"\xff\xd8\xff\xe0" + b"\x00" * 40,
        photo_bytes(400, 300)[:2000],
        photo_bytes(400, 300, kind="PNG")[:-40],
        photo_bytes(kind="WEBP")[:-20],
        photo_bytes(kind="HEIF")[:-40],
        photo_bytes(kind="HEIF")[:200],
        b"\x00\x00\x00\x18ftypheic" + b"\x00" * 100,
        b"<svg xmlns='http://www.w3.org/2000/svg'><script>fetch('/')</script></svg>",
    ],
    ids=[
        "a page",
        "a drawing",
        "gif",
        "only a beginning",
        "half a jpeg",
        "a cut png",
        "a cut webp",
        "a cut heic",
        "a heic's head",
        "no heic",
        "script",
    ],
)
def test_what_is_no_whole_photo_is_refused_and_nothing_is_left_behind(photo_dir: Path, body: bytes) -> None:
    with pytest.raises(UnreadablePhoto, match="not a readable photo"):
        kept(photo_dir, body)
    assert files_in(photo_dir) == set()


def test_an_animated_gif_under_a_photos_name_is_refused(photo_dir: Path) -> None:
    out = BytesIO()
    a_picture().save(out, "GIF", save_all=True, append_images=[a_picture(colour=(0, 0, 0))])
    with pytest.raises(UnreadablePhoto):
        kept(photo_dir, out.getvalue(), "chest.jpg")


@pytest.mark.parametrize("edge", [7100, 9500, 20_000])
def test_a_small_file_that_unpacks_into_a_huge_picture_is_refused(photo_dir: Path, edge: int) -> None:
    out = BytesIO()
    Image.new("1", (edge, edge)).save(out, "PNG")
    assert len(out.getvalue()) < 200_000
    with pytest.raises(TooManyPixels):
        kept(photo_dir, out.getvalue())


def test_only_the_first_picture_of_a_moving_one_is_shown(photo_dir: Path) -> None:
    out = BytesIO()
    a_picture(60, 40).save(
        out, "WEBP", save_all=True, append_images=[a_picture(60, 40, colour=(0, 0, 0))], lossless=True
    )
    photo = kept(photo_dir, out.getvalue())
    assert (photo.kind, photo.width, photo.height) == ("webp", 60, 40)
    red = shown(photo_dir, photo, Size.LARGE).getpixel((50, 30))
    assert isinstance(red, tuple)
    assert red[0] > 150


def test_a_missing_size_can_be_shown_when_there_is_no_room_to_keep_it(
    photo_dir: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    photo = kept(photo_dir, photo_bytes())
    path = size_path(photo_dir, photo.sha256, Size.MIDDLE)
    drawn = path.read_bytes()
    path.unlink()

    def full(_descriptor: int) -> None:
        raise OSError(errno.ENOSPC, "no space left")

    monkeypatch.setattr(os, "fsync", full)
    assert size_bytes(photo_dir, photo.sha256, Size.MIDDLE) == drawn
    assert not path.exists()


def test_many_who_ask_for_a_missing_size_at_once_get_the_same(photo_dir: Path) -> None:
    photo = kept(photo_dir, photo_bytes(1200, 900))
    size_path(photo_dir, photo.sha256, Size.MIDDLE).unlink()
    with ThreadPoolExecutor(8) as pool:
        drawn = set(pool.map(lambda _: size_bytes(photo_dir, photo.sha256, Size.MIDDLE), range(16)))
    assert len(drawn) == 1
    assert size_path(photo_dir, photo.sha256, Size.MIDDLE).read_bytes() in drawn
    assert len(files_in(photo_dir)) == len(Size) + 1


def test_a_pair_is_drawn_at_one_height_with_a_strip_of_paper_between(photo_dir: Path) -> None:
    before, after = kept(photo_dir, photo_bytes(4000, 3000)), kept(photo_dir, photo_bytes(900, 1200))
    with Image.open(BytesIO(draw_pair(photo_dir, before.sha256, after.sha256))) as pair:
        # 1600 and 900 pixels wide at 1200 high are 2500 together, and are brought to 2388.
        assert (pair.format, pair.size) == ("JPEG", (1528 + 12 + 859, 1146))
    original_path(photo_dir, before.sha256).unlink()
    size_path(photo_dir, before.sha256, Size.LARGE).unlink()
    with pytest.raises(NotFound):
        draw_pair(photo_dir, before.sha256, after.sha256)


def test_a_file_over_the_limit_is_refused_without_reading_on(photo_dir: Path) -> None:
    stream = BytesIO(b"\xff\xd8\xff" + b"\x00" * (MOST_BYTES + 1000))
    with pytest.raises(RuleError, match="over 25 MB"):
        keep(photo_dir, stream, "big.jpg")
    assert stream.tell() == MOST_BYTES + 1


def test_a_full_disk_is_told_plainly_and_leaves_no_draft(photo_dir: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    def full(_descriptor: int) -> None:
        raise OSError(errno.ENOSPC, "no space left")

    photo_dir.joinpath(hashlib.sha256(photo_bytes()).hexdigest()[:2]).mkdir(parents=True)
    monkeypatch.setattr(os, "fsync", full)
    with pytest.raises(LedgerFull, match="disk is full"):
        kept(photo_dir, photo_bytes())
    assert files_in(photo_dir) == set()


def test_every_file_is_flushed_before_it_gets_its_name(photo_dir: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    done: list[str] = []
    fsync, replace = os.fsync, Path.replace

    def noted_fsync(descriptor: int) -> None:
        done.append("folder" if S_ISDIR(os.fstat(descriptor).st_mode) else "content")
        fsync(descriptor)

    def noted_replace(self: Path, target: Path) -> Path:
        done.append("name")
        return replace(self, target)

    monkeypatch.setattr(os, "fsync", noted_fsync)
    monkeypatch.setattr(Path, "replace", noted_replace)
    kept(photo_dir, photo_bytes())
    assert "".join(step[0] for step in done) == "f" + "cnf" * 4
