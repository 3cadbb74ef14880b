"""What a photo may be: kinds accepted, limits, sizes shown, and how its facts are read."""

import re
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import UTC, datetime
from enum import StrEnum
from types import MappingProxyType

from app.basics.errors import RuleError
from app.basics.words import LINE_LIMIT, clean_line


class Shows(StrEnum):
    """What a photo shows."""

    PIECE = "piece"
    RECEIPT = "receipt"


class Size(StrEnum):
    """The sizes a photo is served in."""

    LARGE = "large"
    SMALL = "small"


MOST_BYTES = 25 * 1024 * 1024
MOST_PIXELS = 50_000_000
MOST_AT_ONCE = 20
LONG_EDGE: Mapping[Size, int] = MappingProxyType({Size.LARGE: 1600, Size.SMALL: 320})

NAMELESS = "photo without a name"

_HEIC_BRANDS = frozenset({b"heic", b"heix", b"heim", b"heis", b"hevc", b"hevx", b"hevm", b"hevs", b"mif1", b"msf1"})
_BRAND_MARK = slice(4, 8)
_BRAND = slice(8, 12)
_EXIF_INSTANT = re.compile(r"([0-9]{4}):([0-9]{2}):([0-9]{2}) ([0-9]{2}):([0-9]{2}):([0-9]{2})")
_EXIF_OFFSET = re.compile(r"[+-][0-9]{2}:[0-9]{2}")


@dataclass(frozen=True)
class Box:
    """Width and height in pixels."""

    width: int
    height: int


@dataclass(frozen=True)
class StoredPhoto:
    """A photo that lies in the photo folder: the hash of its content and what was read from it.

    `width` and `height` are those of the upright picture in pixels, `kind` is jpeg, png or webp.
    """

    sha256: str
    kind: str
    width: int
    height: int
    bytes: int
    given_name: str
    taken_at: datetime | None


class UnreadablePhoto(RuleError):
    """The bytes are no photo this shop can read."""

    def __init__(self, message: str = "This is not a readable photo. Choose a JPEG, PNG or WebP picture.") -> None:
        """Keep the sentence that will be shown."""
        super().__init__(message)


class TooManyPixels(RuleError):
    """The picture is larger than any phone's usual size, or a small file that would unpack into a huge one."""

    def __init__(self) -> None:
        """Say the limit and the way out."""
        super().__init__(
            "This photo has more than 50 megapixels, which is the most."
            " Choose the normal size in the phone's camera settings."
        )


def fit_within(width: int, height: int, edge: int) -> Box:
    """The box a picture fills when its long side is brought to `edge`; a smaller picture keeps its size."""
    longest = max(width, height)
    if longest <= edge:
        return Box(width, height)
    return Box(max(1, round(width * edge / longest)), max(1, round(height * edge / longest)))


def require_size(byte_count: int) -> None:
    """Refuse an empty file and one above 25 MB (RuleError)."""
    if byte_count == 0:
        raise UnreadablePhoto("This file is empty.")
    if byte_count > MOST_BYTES:
        raise RuleError("This photo is over 25 MB. Choose a smaller size in the phone's camera settings.")


def require_pixels(width: int, height: int) -> None:
    """Refuse a picture without extent and one above 50 megapixels (TooManyPixels)."""
    if width < 1 or height < 1:
        raise UnreadablePhoto
    if width * height > MOST_PIXELS:
        raise TooManyPixels


def refuse_heic(head: bytes) -> None:
    """Refuse bytes that begin like HEIC, and say what to do about it (RuleError)."""
    if head[_BRAND_MARK] == b"ftyp" and head[_BRAND] in _HEIC_BRANDS:
        raise UnreadablePhoto(
            "This phone saves photos as HEIC, which cannot be read here yet."
            " Choose JPEG in its camera settings, or save this photo as JPEG and send that."
        )


def instant_taken(words: object, offset: object = None) -> datetime | None:
    """The instant a camera wrote down as 2026:11:25 14:05:00; None for anything else.

    Cameras write the local time. With an offset like -07:00 beside it the instant is exact; without one the
    time is taken as UTC, for nothing tells the zone.
    """
    match = _EXIF_INSTANT.fullmatch(_plain(words))
    if match is None:
        return None
    zone = _plain(offset)
    written = "{}-{}-{}T{}:{}:{}".format(*match.groups())
    try:
        taken = datetime.fromisoformat(written + (zone if _EXIF_OFFSET.fullmatch(zone) else "+00:00"))
        return taken.astimezone(UTC)
    except (ValueError, OverflowError):
        return None


def _plain(words: object) -> str:
    return words.rstrip("\x00 ") if isinstance(words, str) else ""


def kept_name(name: str) -> str:
    """The file's own name without folders, cleaned and cut to fit; it is shown, never used to find a file."""
    bare = re.split(r"[/\\]", name)[-1]
    return clean_line(bare[:LINE_LIMIT], LINE_LIMIT) or NAMELESS


def alt_words(piece_name: str, number: int, of: int) -> str:
    """What a photo shows, for who cannot see it: the piece and the photo's place among its photos."""
    return f"{piece_name}, the only photo" if of == 1 else f"{piece_name}, photo {number} of {of}"
