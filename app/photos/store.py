"""The photo folder: pictures checked, turned upright and kept under the hash of their content.

Each content lies there once: the untouched original and three WebP sizes without any of its hidden facts.
"""

import errno
import hashlib
import warnings
from collections.abc import Mapping
from contextlib import suppress
from dataclasses import dataclass
from datetime import datetime
from io import BytesIO
from pathlib import Path
from threading import Lock
from typing import IO, Protocol

import pillow_heif
from PIL import ExifTags, Image, ImageCms

from app.basics.errors import NotFound, RuleError
from app.basics.files import sync_folder, write_whole
from app.database.unit_of_work import LedgerFull
from app.photos.rules import (
    LONG_EDGE,
    MOST_BYTES,
    MOST_PIXELS,
    ON_ITS_SIDE,
    PAIR_GAP,
    Box,
    Size,
    StoredPhoto,
    TooManyPixels,
    UnreadablePhoto,
    instant_taken,
    kept_name,
    plan_pair,
    plan_sizes,
    refuse_avif,
    require_pixels,
    require_size,
)

# The only parsers that may look at what a phone sends.
FORMATS = ("JPEG", "PNG", "WEBP", "HEIF")
# A camera's double picture is a JPEG with another one behind it; the first is what the owner saw.
KINDS = {"JPEG": "jpeg", "MPO": "jpeg", "PNG": "png", "WEBP": "webp", "HEIF": "heic"}
QUALITY = 80
METHOD = 4
JPEG_QUALITY = 85
# A picture is brought to at least twice its shown size by the quick way before the careful one.
QUICK_UNTIL = 2
WHITE = (255, 255, 255)
# The strip between two pictures, of the colour of the shop's paper.
PAPER = (243, 234, 219)
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

# A HEIC holds small copies, maps of depth and the like beside its picture: none of them is what the owner saw.
pillow_heif.register_heif_opener(thumbnails=False, depth_images=False, aux_images=False)

# One picture of 50 megapixels takes 150 MB while it is unpacked: they are unpacked one after the other.
_ONE_AT_A_TIME = Lock()

# Above this Pillow warns, and above twice of it refuses by itself; its warning is a refusal too.
Image.MAX_IMAGE_PIXELS = MOST_PIXELS
warnings.filterwarnings("error", category=Image.DecompressionBombWarning)


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

    The same content kept again changes nothing. Refuses what is over 25 MB or 50 megapixels, and bytes that are
    no whole JPEG, HEIC, PNG or WebP picture (RuleError); a full disk is LedgerFull and leaves nothing behind.
    """
    body = stream.read(MOST_BYTES + 1)
    require_size(len(body))
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


class Sent(Protocol):
    """A file as it comes with a form."""

    stream: IO[bytes]
    filename: str | None


def keep_sent(photo_dir: Path, upload: Sent) -> StoredPhoto:
    """Keep a photo that came with a form; refuses what cannot be kept, and a full disk, in words for it (RuleError)."""
    try:
        return keep(photo_dir, upload.stream, upload.filename or "")
    except LedgerFull as trouble:
        # Said at the photo field: what was typed must not be lost because the disk is full.
        raise RuleError(trouble.message) from trouble


def size_bytes(photo_dir: Path, sha256: str, size: Size) -> bytes:
    """One size of a kept photo as WebP; a size that is missing is drawn from the original and kept.

    Photos kept before there was a middle size get theirs when it is first asked for. Raises NotFound when the
    original is gone or broken.
    """
    path = size_path(photo_dir, sha256, size)
    if path.is_file():
        return path.read_bytes()
    try:
        drawn = _read(original_path(photo_dir, sha256).read_bytes()).drawn[size]
    except (OSError, UnreadablePhoto) as gone:
        raise NotFound("photo") from gone
    # It can be shown even where there is no room to keep it.
    with suppress(LedgerFull, OSError):
        _write_missing({path: drawn})
    return drawn


def draw_pair(photo_dir: Path, before: str, after: str) -> bytes:
    """Two kept photos, by their hashes, side by side as one JPEG with nothing but the picture in it.

    Raises NotFound when the original of one is gone.
    """
    halves = [Image.open(BytesIO(size_bytes(photo_dir, one, Size.LARGE)), formats=("WEBP",)) for one in (before, after)]
    first, second = plan_pair(*(Box(*half.size) for half in halves))
    pair = Image.new("RGB", (first.width + PAIR_GAP + second.width, first.height), PAPER)
    for half, box, left in zip(halves, (first, second), (0, first.width + PAIR_GAP), strict=True):
        pair.paste(half.convert("RGB").resize((box.width, box.height), Image.Resampling.LANCZOS), (left, 0))
    return _as_jpeg(pair)


def original_path(photo_dir: Path, sha256: str) -> Path:
    """Where the untouched original of a content lies; no page serves it."""
    return photo_dir / sha256[:2] / f"{sha256}.original"


def size_path(photo_dir: Path, sha256: str, size: Size) -> Path:
    """Where one of the sizes shown on pages lies."""
    return photo_dir / sha256[:2] / f"{sha256}.{size}.webp"


def _read(body: bytes) -> _Read:
    refuse_avif(body)
    try:
        with _ONE_AT_A_TIME, Image.open(BytesIO(body), formats=FORMATS) as picture:
            require_pixels(*picture.size)
            if picture.format == "HEIF":
                # Its true size is known only once it is unpacked.
                picture.load()
                require_pixels(*picture.size)
            exif = _exif(picture)
            lying = Box(*picture.size)
            return _Read(
                kind=KINDS[picture.format or ""],
                upright=_turned(lying, exif.orientation),
                taken_at=exif.taken_at,
                drawn=_draw(picture, exif.orientation, plan_sizes(lying.width, lying.height, exif.orientation)),
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
        # A HEIC says apart from its Exif how it is turned (ISO/IEC 23008-12), and comes out upright.
        orientation = 1 if picture.format == "HEIF" else int(facts.get(ExifTags.Base.Orientation, 1))
        return _Exif(orientation, taken)
    except Exception:  # noqa: BLE001 - a sound picture may carry broken facts; it is shown as it lies
        return _Exif()


def _draw(picture: Image.Image, orientation: int, boxes: Mapping[Size, Box]) -> dict[Size, bytes]:
    """Every size as WebP, upright, in plain screen colours, with nothing of the camera's facts."""
    colours = picture.info.get("icc_profile")
    most = max(LONG_EDGE.values())
    picture.draft(None, (most * QUICK_UNTIL, most * QUICK_UNTIL))
    # The first shrinking makes turning and colours cheap.
    current = _shrunk(_flat(picture), _turned(boxes[Size.LARGE], orientation))
    current = _in_screen_colours(_upright(current, orientation), colours)
    drawn = {}
    for size, box in boxes.items():
        current = _shrunk(current, box)
        drawn[size] = _as_webp(current)
    return drawn


def _shrunk(picture: Image.Image, box: Box) -> Image.Image:
    if picture.size == (box.width, box.height):
        return picture
    return picture.resize((box.width, box.height), Image.Resampling.LANCZOS, reducing_gap=float(QUICK_UNTIL))


def _turned(box: Box, orientation: int) -> Box:
    return Box(box.height, box.width) if orientation in ON_ITS_SIDE else box


def _upright(picture: Image.Image, orientation: int) -> Image.Image:
    turn = _TURNS.get(orientation)
    return picture if turn is None else picture.transpose(turn)


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


def _as_webp(picture: Image.Image) -> bytes:
    picture.info.clear()
    out = BytesIO()
    picture.save(out, "WEBP", quality=QUALITY, method=METHOD)
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


def as_jpeg(photo_dir: Path, sha256: str) -> bytes:
    """A kept photo in its large size as JPEG, upright and with nothing but the picture in it.

    Raises NotFound when its original is gone.
    """
    with Image.open(BytesIO(size_bytes(photo_dir, sha256, Size.LARGE)), formats=("WEBP",)) as picture:
        shown = picture.convert("RGB")
    return _as_jpeg(shown)


def _as_jpeg(picture: Image.Image) -> bytes:
    picture.info.clear()
    out = BytesIO()
    picture.save(out, "JPEG", quality=JPEG_QUALITY, optimize=True)
    return out.getvalue()
