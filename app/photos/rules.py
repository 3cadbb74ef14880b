"""What a photo may be: kinds accepted, limits, sizes shown, and how its facts are read."""

import re
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from enum import StrEnum
from types import MappingProxyType
from typing import Protocol, TypeVar

from app.basics.errors import RuleError
from app.basics.words import LINE_LIMIT, clean_line
from app.pieces.rules import Stage


class Shows(StrEnum):
    """What a photo shows: the piece as found, during the work, finished or as it is listed, or a receipt."""

    FOUND = "found"
    DURING = "during"
    FINISHED = "finished"
    LISTING = "listing"
    RECEIPT = "receipt"


SHOWS_WORDS: Mapping[Shows, str] = MappingProxyType(
    {
        Shows.FOUND: "As found",
        Shows.DURING: "During the work",
        Shows.FINISHED: "Finished",
        Shows.LISTING: "For listing",
    }
)
"""What a photo of a piece may show, in the order of the work; a receipt is none."""


class Size(StrEnum):
    """The sizes a photo is served in."""

    LARGE = "large"
    MIDDLE = "middle"
    SMALL = "small"


MOST_BYTES = 25 * 1024 * 1024
MOST_PIXELS = 50_000_000
MOST_AT_ONCE = 20
LONG_EDGE: Mapping[Size, int] = MappingProxyType({Size.LARGE: 1600, Size.MIDDLE: 800, Size.SMALL: 320})
ON_ITS_SIDE = frozenset({5, 6, 7, 8})
"""The orientations a camera writes down that exchange width and height."""

PAIR_WIDTH = 2400
PAIR_GAP = 12
"""Pixels: the most a before-and-after picture is wide, and the strip of paper between its halves."""

NAMELESS = "photo without a name"

_BRAND_MARK = slice(4, 8)
_BRANDS_BEGIN = 8
_BRAND_LENGTH = 4
_AVIF_BRANDS = frozenset({b"avif", b"avis"})
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

    `width` and `height` are those of the upright picture in pixels, `kind` is jpeg, png, webp or heic.
    """

    sha256: str
    kind: str
    width: int
    height: int
    bytes: int
    given_name: str
    taken_at: datetime | None


READABLE = "This is not a readable photo. Choose a JPEG, HEIC, PNG or WebP picture."


class UnreadablePhoto(RuleError):
    """The bytes are no photo this shop can read."""

    def __init__(self, message: str = READABLE) -> None:
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


def plan_sizes(width: int, height: int, orientation: int = 1) -> dict[Size, Box]:
    """The upright box of each size, the largest first, of a picture as it lies in its file; none is enlarged.

    `width` and `height` in pixels; `orientation` is what the camera wrote, 1 to 8 (Exif 2.32, tag 274): from 5 on
    the picture lies on its side.
    """
    upright = (height, width) if orientation in ON_ITS_SIDE else (width, height)
    return {size: fit_within(*upright, edge) for size, edge in LONG_EDGE.items()}


def plan_pair(before: Box, after: Box) -> tuple[Box, Box]:
    """The boxes of two pictures side by side: of one height, neither enlarged, with the gap 2400 wide at most."""
    height = min(before.height, after.height)
    widths = [max(1, round(box.width * height / box.height)) for box in (before, after)]
    scale = min(1.0, (PAIR_WIDTH - PAIR_GAP) / sum(widths))
    shrunk = [Box(max(1, int(width * scale)), max(1, int(height * scale))) for width in widths]
    return shrunk[0], shrunk[1]


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


def refuse_avif(head: bytes) -> None:
    """Refuse bytes that say they are AVIF: it comes in the same box as HEIC, but no camera sends it (RuleError)."""
    if head[_BRAND_MARK] != b"ftyp":
        return
    end = int.from_bytes(head[:_BRAND_LENGTH])
    brands = {head[at : at + _BRAND_LENGTH] for at in range(_BRANDS_BEGIN, min(end, len(head)), _BRAND_LENGTH)}
    if brands & _AVIF_BRANDS:
        raise UnreadablePhoto("This is an AVIF picture, which is not taken. Save it as JPEG and send that.")


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


def alt_words(piece_name: str, number: int, of: int, *, shows: Shows | None = None, caption: str = "") -> str:
    """What a photo shows, for who cannot see it: the piece, its state, the photo's place, the owner's words."""
    state = f", {SHOWS_WORDS[shows].lower()}" if shows is not None and shows in SHOWS_WORDS else ""
    place = ", the only photo" if of == 1 else f", photo {number} of {of}"
    return f"{piece_name}{state}{place}{': ' if caption else ''}{caption}"


def shows_at(stage: Stage) -> Shows:
    """What photos added to a piece show unless the owner says otherwise: it follows the stage of the piece."""
    return {Stage.SOURCED: Shows.FOUND, Stage.PREPPED: Shows.DURING}.get(stage, Shows.FINISHED)


def require_shows(shows: Shows) -> None:
    """Refuse what no photo of a piece can show (RuleError)."""
    if shows not in SHOWS_WORDS:
        raise RuleError("A photo of a piece is no receipt. Add receipts with what was paid.", "shows")


class Showing(Protocol):
    """A photo that says what it shows."""

    @property
    def shows(self) -> Shows:
        """What it shows."""
        ...


P = TypeVar("P", bound=Showing)


def before_and_after(photos: Sequence[P]) -> tuple[P, P] | None:
    """The first photo as found and the first finished or listing one, in the owner's order; None without both."""
    before = next((photo for photo in photos if photo.shows is Shows.FOUND), None)
    after = next((photo for photo in photos if photo.shows in {Shows.FINISHED, Shows.LISTING}), None)
    return None if before is None or after is None else (before, after)


# The pile: photos that belong to nothing yet, sorted by the time they were taken.

MOST_ON_PILE_AT_ONCE = 200
GAPS: Mapping[int, str] = MappingProxyType(
    {2: "2 minutes", 10: "10 minutes", 30: "30 minutes", 120: "2 hours", 1440: "a day"}
)
"""After how many minutes without a photo a new group may begin, and the words for it."""
USUAL_GAP = 10


class Timed(Protocol):
    """Something that happened at an instant."""

    @property
    def instant(self) -> datetime:
        """When it happened."""


T = TypeVar("T", bound=Timed)


def group_by_time(photos: Iterable[T], gap: timedelta) -> list[tuple[T, ...]]:
    """Photos in the order of their instants, parted wherever more than `gap` lies between two of them.

    Photos of the same instant keep the order they are given in. Common practice, no source.
    """
    groups: list[list[T]] = []
    for photo in sorted(photos, key=lambda one: one.instant):
        if groups and photo.instant - groups[-1][-1].instant <= gap:
            groups[-1].append(photo)
        else:
            groups.append([photo])
    return [tuple(group) for group in groups]
