"""The photo folder: pictures checked, turned upright and kept under the hash of their content.

Each content lies there once: the untouched original and two WebP sizes without any of its hidden facts.
"""

import errno
import hashlib
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime
from io import BytesIO
from pathlib import Path
from typing import IO

from PIL import ExifTags, Image, ImageCms

from app.basics.errors import RuleError
from app.basics.files import sync_folder, write_whole
from app.database.unit_of_work import LedgerFull
from app.photos.rules import (
    LONG_EDGE,
    MOST_BYTES,
    MOST_PIXELS,
    Box,
    Size,
    StoredPhoto,
    TooManyPixels,
    UnreadablePhoto,
    fit_within,
    instant_taken,
    kept_name,
    refuse_heic,
    require_pixels,
    require_size,
)

# The only parsers that may look at what a phone sends.
FORMATS = ("JPEG", "PNG", "WEBP")
# A camera's double picture is a JPEG with another one behind it; the first is what the owner saw.
KINDS = {"JPEG": "jpeg", "MPO": "jpeg", "PNG": "png", "WEBP": "webp"}
QUALITY = 80
METHOD = 4
# A picture is brought to at least twice its shown size by the quick way before the careful one.
QUICK_UNTIL = 2
WHITE = (255, 255, 255)
FULL_DISK = frozenset({errno.ENOSPC, errno.EDQUOT})

# How the eight orientations that cameras write down are turned upright.
_TURNS = {
    2: Image.Transpose.FLIP_LEFT_RIGHT,
    3: Image.Transpose.ROTATE_180,
    4: Image.Transpose.FLIP_TOP_BOTTOM,
    5: Image.Transpose.TRANSPOSE,
    6: Image.Transpose.ROTATE_270,
    7: Image.Transpose.TRANSVERSE,
    8: Image.Transpose.ROTATE_90,
}
_ON_ITS_SIDE = frozenset({5, 6, 7, 8})

# Above this Pillow warns, and above twice of it refuses by itself; `require_pixels` refuses from here on.
Image.MAX_IMAGE_PIXELS = MOST_PIXELS


@dataclass(frozen=True)
class _Read:
    """What was read of a picture, and the sizes drawn from it as WebP."""

    kind: str
    upright: Box
    taken_at: datetime | None
    drawn: Mapping[Size, bytes]


@dataclass(frozen=True)
class _Exif:
    """The two facts wanted of what a camera wrote into the file."""

    orientation: int = 1
    taken_at: datetime | None = None


def keep(photo_dir: Path, stream: IO[bytes], name: str) -> StoredPhoto:
    """Check a photo and keep it in `photo_dir`; it is safe on the disk when this returns.

    The same content kept again changes nothing. Refuses what is over 25 MB or 50 megapixels, HEIC, and bytes
    that are no whole JPEG, PNG or WebP picture (RuleError); a full disk is LedgerFull and leaves nothing behind.
    """
    body = stream.read(MOST_BYTES + 1)
    require_size(len(body))
    refuse_heic(body)
    read = _read(body)
    sha256 = hashlib.sha256(body).hexdigest()
    files = {size_path(photo_dir, sha256, size): drawn for size, drawn in read.drawn.items()}
    # The original last: where it lies, its sizes lie too.
    _write_missing(files | {original_path(photo_dir, sha256): body})
    return StoredPhoto(
        sha256=sha256,
        kind=read.kind,
        width=read.upright.width,
        height=read.upright.height,
        bytes=len(body),
        given_name=kept_name(name),
        taken_at=read.taken_at,
    )


def original_path(photo_dir: Path, sha256: str) -> Path:
    """Where the untouched original of a content lies; no page serves it."""
    return photo_dir / sha256[:2] / f"{sha256}.original"


def size_path(photo_dir: Path, sha256: str, size: Size) -> Path:
    """Where one of the sizes shown on pages lies."""
    return photo_dir / sha256[:2] / f"{sha256}.{size}.webp"


def _read(body: bytes) -> _Read:
    try:
        with Image.open(BytesIO(body), formats=FORMATS) as picture:
            require_pixels(*picture.size)
            exif = _exif(picture)
            width, height = picture.size
            on_its_side = exif.orientation in _ON_ITS_SIDE
            return _Read(
                kind=KINDS[picture.format or ""],
                upright=Box(height, width) if on_its_side else Box(width, height),
                taken_at=exif.taken_at,
                drawn=_draw(picture, exif.orientation),
            )
    except RuleError:
        raise
    except (Image.DecompressionBombError, Image.DecompressionBombWarning) as bomb:
        raise TooManyPixels from bomb
    except Exception as trouble:
        # A broken picture makes a parser fail in a dozen ways; to the owner each means the same.
        raise UnreadablePhoto from trouble


def _exif(picture: Image.Image) -> _Exif:
    try:
        facts = picture.getexif()
        details = facts.get_ifd(ExifTags.IFD.Exif)
        taken = instant_taken(
            details.get(ExifTags.Base.DateTimeOriginal), details.get(ExifTags.Base.OffsetTimeOriginal)
        )
        return _Exif(int(facts.get(ExifTags.Base.Orientation, 1)), taken)
    except Exception:  # noqa: BLE001 - a sound picture may carry broken facts; it is shown as it lies
        return _Exif()


def _draw(picture: Image.Image, orientation: int) -> dict[Size, bytes]:
    """Every size as WebP, upright, in plain screen colours, with nothing of the camera's facts."""
    colours = picture.info.get("icc_profile")
    width, height = picture.size
    most = max(LONG_EDGE.values())
    picture.draft(None, (most * QUICK_UNTIL, most * QUICK_UNTIL))
    current = _flat(picture)
    drawn = {}
    for size, edge in sorted(LONG_EDGE.items(), key=lambda pair: -pair[1]):
        box = fit_within(width, height, edge)
        if current.size != (box.width, box.height):
            current = current.resize((box.width, box.height), Image.Resampling.LANCZOS, reducing_gap=float(QUICK_UNTIL))
        drawn[size] = _as_webp(current, orientation, colours)
    return drawn


def _flat(picture: Image.Image) -> Image.Image:
    """The picture in red, green and blue; what is see-through becomes white."""
    picture.load()
    if picture.mode.startswith("I"):
        # Sixteen bits a grey: the plain conversion would cut off all but the darkest.
        return picture.convert("I").point(lambda grey: grey * (1 / 256)).convert("L").convert("RGB")
    if picture.has_transparency_data:
        see_through = picture.convert("RGBA")
        ground = Image.new("RGB", see_through.size, WHITE)
        ground.paste(see_through, mask=see_through.getchannel("A"))
        return ground
    return picture.convert("RGB")


def _as_webp(picture: Image.Image, orientation: int, colours: object) -> bytes:
    turn = _TURNS.get(orientation)
    upright = picture.transpose(turn) if turn is not None else picture
    shown = _in_screen_colours(upright, colours)
    shown.info.clear()
    out = BytesIO()
    shown.save(out, "WEBP", quality=QUALITY, method=METHOD)
    return out.getvalue()


def _in_screen_colours(picture: Image.Image, colours: object) -> Image.Image:
    """Phones write wider colours than screens expect; without this a green would turn dull."""
    if not isinstance(colours, bytes):
        return picture
    try:
        profile = ImageCms.ImageCmsProfile(BytesIO(colours))
        shown = ImageCms.profileToProfile(picture, profile, ImageCms.createProfile("sRGB"), outputMode="RGB")
    except (ImageCms.PyCMSError, OSError, ValueError):
        return picture
    return picture if shown is None else shown


def _write_missing(files: Mapping[Path, bytes]) -> None:
    try:
        for path, body in files.items():
            if not (path.exists() and path.stat().st_size == len(body)):
                _write(path, body)
    except OSError as trouble:
        if trouble.errno in FULL_DISK:
            raise LedgerFull("The disk is full, so the photo was not saved. Make room and send it again.") from trouble
        raise


def _write(path: Path, body: bytes) -> None:
    if not path.parent.exists():
        path.parent.mkdir(parents=True, exist_ok=True)
        sync_folder(path.parent.parent)
    write_whole(path, body)
