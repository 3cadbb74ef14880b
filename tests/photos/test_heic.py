"""HEIC as phones write it: taken, turned once, its first picture shown, and refused when it lies."""

from datetime import UTC, datetime
from io import BytesIO
from pathlib import Path

import pillow_heif
import pytest
from PIL import Image

from app.basics.errors import RuleError
from app.photos.rules import Size, StoredPhoto, TooManyPixels, UnreadablePhoto
from app.photos.store import keep, size_bytes
from tests.builders.photos import BLUE, RED, UNTURN, a_picture, is_blue, photo_bytes


@pytest.fixture
def photo_dir(tmp_path: Path) -> Path:
    return tmp_path / "photos"


def kept(photo_dir: Path, body: bytes) -> StoredPhoto:
    return keep(photo_dir, BytesIO(body), "IMG_1.HEIC")


def shown(photo_dir: Path, photo: StoredPhoto, size: Size = Size.LARGE) -> Image.Image:
    return Image.open(BytesIO(size_bytes(photo_dir, photo.sha256, size)), formats=("WEBP",)).convert("RGB")


def said_to_be(width: int, height: int) -> bytes:
    """A small HEIC that says it is of another size (the box ispe: four bytes of flags, then width and height)."""
    body = photo_bytes(160, 80, kind="HEIF")
    start = body.index(b"ispe") + 8
    return body[:start] + width.to_bytes(4) + height.to_bytes(4) + body[start + 8 :]


@pytest.mark.parametrize("orientation", UNTURN)
def test_it_is_turned_once_however_the_phone_was_held(photo_dir: Path, orientation: int) -> None:
    turn = UNTURN[orientation]
    held = a_picture(160, 80)
    exif = Image.Exif()
    exif[0x0112] = orientation
    out = BytesIO()
    # The tag stays in the file, and the turn is written beside it, as phones do.
    (held.transpose(turn) if turn is not None else held).save(out, "HEIF", exif=exif.tobytes())
    photo = kept(photo_dir, out.getvalue())
    upright = shown(photo_dir, photo)
    assert (photo.width, photo.height) == upright.size == (160, 80)
    assert [is_blue(upright.getpixel(at)) for at in ((20, 10), (140, 10), (20, 70), (140, 70))] == [True] + [False] * 3


def test_its_capture_time_is_kept(photo_dir: Path) -> None:
    photo = kept(photo_dir, photo_bytes(160, 80, kind="HEIF", taken="2026:11:25 14:05:00", offset="-07:00"))
    assert (photo.kind, photo.taken_at) == ("heic", datetime(2026, 11, 25, 21, 5, tzinfo=UTC))


def test_all_sizes_are_drawn(photo_dir: Path) -> None:
    photo = kept(photo_dir, photo_bytes(2000, 1000, kind="HEIF"))
    assert [shown(photo_dir, photo, size).size for size in Size] == [(1600, 800), (800, 400), (320, 160)]


def test_of_several_pictures_the_main_one_is_shown_and_no_small_copy(photo_dir: Path) -> None:
    several = pillow_heif.from_pillow(Image.new("RGB", (320, 160), BLUE))
    several.add_from_pillow(Image.new("RGB", (640, 320), RED))
    out = BytesIO()
    several.save(out, primary_index=1, thumbnails=[64])
    photo = kept(photo_dir, out.getvalue())
    assert (photo.width, photo.height) == (640, 320)
    assert not is_blue(shown(photo_dir, photo).getpixel((300, 100)))


@pytest.mark.parametrize(
    ("width", "height", "refusal"),
    [
        (9_000, 9_000, TooManyPixels),
        (60_000, 60_000, TooManyPixels),
        (2**32 - 1, 2**32 - 1, UnreadablePhoto),
        (0, 0, UnreadablePhoto),
        (6_000, 6_000, UnreadablePhoto),
        (80, 40, UnreadablePhoto),
    ],
)
@pytest.mark.filterwarnings("ignore::PIL.Image.DecompressionBombWarning")
def test_one_that_lies_about_its_size_is_refused_and_nothing_is_kept(
    photo_dir: Path, width: int, height: int, refusal: type[RuleError]
) -> None:
    with pytest.raises(refusal):
        kept(photo_dir, said_to_be(width, height))
    assert list(photo_dir.rglob("*")) == []


def test_avif_in_its_box_is_refused(photo_dir: Path) -> None:
    body = photo_bytes(160, 80, kind="HEIF")
    with pytest.raises(UnreadablePhoto, match="AVIF"):
        kept(photo_dir, body.replace(b"ftypheic", b"ftypavif", 1))
    with pytest.raises(UnreadablePhoto, match="AVIF"):
        kept(photo_dir, body[:16] + b"avif" + body[20:])
