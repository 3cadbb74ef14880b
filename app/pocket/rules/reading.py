"""Reading what a phone sent: strictly, with everything that is wrong told at once."""

import hashlib
import json
import re
from collections.abc import Callable, Mapping
from datetime import UTC, date, datetime
from enum import StrEnum
from types import MappingProxyType
from typing import Any, Final, TypeVar

from app.basics.dates import FIRST_YEAR, LAST_YEAR, parse_day
from app.basics.errors import RuleError
from app.basics.money import parse_money
from app.basics.quantities import parse_minutes
from app.basics.words import LINE_LIMIT, NAME_LIMIT, NOTE_LIMIT, TITLE_LIMIT, clean_line, clean_text
from app.costs.rules import CostKind
from app.photos.rules import MOST_BYTES, kept_name
from app.pieces.rules import Form
from app.pocket.rules.contents import (
    CannotBeEntered,
    Content,
    FieldTrouble,
    FoundPiece,
    NamedPhoto,
    NewCapture,
    SpentMoney,
    WorkedTime,
)
from app.pocket.rules.kinds import CaptureKind
from app.pocket.rules.references import is_reference_of, reference_of, require_id
from app.timelog.rules import Activity

T = TypeVar("T")
W = TypeVar("W", bound=StrEnum)

MEMBERS: Final = (
    "kind",
    "reference",
    "captured_at",
    "on_date",
    "what",
    "form",
    "paid",
    "where",
    "tag",
    "amount",
    "cost_kind",
    "minutes",
    "activity",
    "note",
    "photos",
)
OF_ONE_KIND: Mapping[CaptureKind, frozenset[str]] = MappingProxyType(
    {
        CaptureKind.FIND: frozenset({"what", "form", "paid", "where"}),
        CaptureKind.COST: frozenset({"tag", "amount", "cost_kind"}),
        CaptureKind.TIME: frozenset({"tag", "minutes", "activity"}),
    }
)
"""The members that only captures of a kind may fill in."""

MOST_PHOTOS: Final = 40
MOST_OF_KIND: Mapping[CaptureKind, int] = MappingProxyType(
    {CaptureKind.FIND: MOST_PHOTOS, CaptureKind.COST: 1, CaptureKind.TIME: 0}
)
LARGEST_BODY: Final = 64 * 1024
"""The most bytes a capture may have without its photos."""

LARGEST_RESCUE: Final = 420 * 1024 * 1024
"""The most bytes of a rescue file: all the photos a phone keeps waiting, with a third on top for their letters."""

ROOM_IN_NOTES: Final = 200
"""What stays free in a find's notes for the lines that are added to them."""

_PHOTO_MEMBERS: Final = {"sha256": str, "bytes": int, "name": str}
_SHA256 = re.compile(r"[0-9a-f]{64}")
_PLAIN_DAY = re.compile(r"[0-9]{4}-[0-9]{2}-[0-9]{2}")
_INSTANT = re.compile(
    r"[0-9]{4}-[0-9]{2}-[0-9]{2}[Tt][0-9]{2}:[0-9]{2}:[0-9]{2}(?:\.[0-9]{1,9})?(?:[Zz]|[+-][0-9]{2}:[0-9]{2})"
)
_FRACTION = re.compile(r"\.[0-9]+")
_SHOWN_NAME: Final = 40


def normalised(data: Mapping[str, Any]) -> dict[str, Any]:
    """What was sent with every member there: one that was left out counts as empty."""
    blank: dict[str, Any] = {**dict.fromkeys(MEMBERS, ""), "photos": []}
    return blank | dict(data)


def canonical(data: Mapping[str, Any]) -> str:
    """What was sent as one line of JSON that is the same for the same content, in whatever order it came."""
    return json.dumps(normalised(data), sort_keys=True, separators=(",", ":"))


def fingerprint(data: Mapping[str, Any]) -> str:
    """The SHA-256 of the canonical content: by it a repeat and another content are told apart."""
    return hashlib.sha256(canonical(data).encode()).hexdigest()


def read_capture(data: object, capture_id: str, *, places: int) -> NewCapture:
    """What a phone sent under `capture_id`; amounts have `places` decimal places.

    Refuses a number that is none (NoCaptureId), and all that is wrong with the content at once (CannotBeEntered).
    """
    require_id(capture_id)
    if not isinstance(data, Mapping):
        raise CannotBeEntered([FieldTrouble("", "A capture is one JSON object.")])
    read = _Reader(normalised(data))
    read.require_plain()
    kind = read.word("kind", CaptureKind, "Say whether it is a find, a cost or time.") or CaptureKind.FIND
    captured_at = read.take("captured_at", parse_instant, datetime.min.replace(tzinfo=UTC))
    on_date = read.take("on_date", _plain_day, date.min)
    reference = read.take("reference", lambda text: _reference(text, capture_id, kind), "")
    photos = read.photos(MOST_OF_KIND[kind])
    content = _content(read, kind, places=places, has_photos=bool(photos))
    read.require_nothing_else(kind)
    if read.troubles:
        raise CannotBeEntered(read.troubles)
    said = canonical(data)
    return NewCapture(capture_id, kind, reference, captured_at, on_date, content, photos, said, fingerprint(data))


def parse_instant(text: str) -> datetime:
    """An instant written by RFC 3339 with its offset, in UTC; refuses anything else (RuleError)."""
    example = "Write the moment like 2026-11-26T10:15:00-07:00."
    if not _INSTANT.fullmatch(text):
        raise RuleError(example)
    try:
        # Parts of a second differ in length between phones, and no capture needs them.
        instant = datetime.fromisoformat(_FRACTION.sub("", text).upper()).astimezone(UTC)
    except (ValueError, OverflowError) as wrong:
        raise RuleError(example) from wrong
    if not FIRST_YEAR <= instant.year <= LAST_YEAR:
        raise RuleError(example)
    return instant


def named_photos(data: Mapping[str, Any]) -> tuple[NamedPhoto, ...]:
    """The photos that are soundly named in what was sent, each content once, in their order."""
    said = data.get("photos")
    photos = [_photo(one) for one in said] if isinstance(said, list) else []
    return tuple({photo.sha256: photo for photo in photos if photo is not None}.values())


class _Reader:
    """Takes member after member and gathers what is wrong with them."""

    def __init__(self, said: Mapping[str, Any]) -> None:
        self.said = said
        self.troubles: list[FieldTrouble] = []

    def refuse(self, member: str, detail: str) -> None:
        """Keep a trouble; of one member only the first counts."""
        if all(trouble.field != member for trouble in self.troubles):
            self.troubles.append(FieldTrouble(member, detail))

    def text(self, member: str) -> str:
        """The words of a member; nothing where it holds no words."""
        words = self.said[member]
        return words if isinstance(words, str) else ""

    def take(self, member: str, read: Callable[[str], T], otherwise: T) -> T:
        """The member as `read` reads it; `otherwise` where that refuses it."""
        try:
            return read(self.text(member))
        except RuleError as refusal:
            self.refuse(member, refusal.message)
            return otherwise

    def word(self, member: str, kind: type[W], ask: str) -> W | None:
        """One of the words of an enum; None where it is none of them."""
        try:
            return kind(self.text(member))
        except ValueError:
            self.refuse(member, ask)
            return None

    def require_plain(self) -> None:
        """Refuse unknown members, and what is no words."""
        for member, value in self.said.items():
            if member not in MEMBERS:
                self.refuse(member[:_SHOWN_NAME], "This shop does not know what that is.")
            elif member != "photos" and not isinstance(value, str):
                self.refuse(member, "Send this as words in quotes.")

    def require_nothing_else(self, kind: CaptureKind) -> None:
        """Refuse what only another kind of capture may say: it would be lost."""
        others = frozenset().union(*OF_ONE_KIND.values()) - OF_ONE_KIND[kind]
        for member in MEMBERS:
            if member in others and self.text(member).strip():
                self.refuse(member, "That belongs to another kind of capture, and would be lost.")

    def photos(self, most: int) -> tuple[NamedPhoto, ...]:
        """The photos named, each content once."""
        said = self.said["photos"]
        if not isinstance(said, list) or any(_photo(one) is None for one in said):
            self.refuse("photos", "Name each photo by sha256 (64 small hex digits), bytes (1 to 25 MB) and name.")
            return ()
        photos = named_photos(self.said)
        if len(photos) > most:
            self.refuse("photos", _too_many(most))
        return photos


def _too_many(most: int) -> str:
    if most == 0:
        return "Time takes no photos."
    return "A cost takes one photo, that of its receipt." if most == 1 else f"At most {most} photos fit on one find."


def _photo(said: object) -> NamedPhoto | None:
    if not isinstance(said, Mapping) or set(said) != set(_PHOTO_MEMBERS):
        return None
    # JSON's true is a number to Python.
    if any(type(said[name]) is not kind for name, kind in _PHOTO_MEMBERS.items()):
        return None
    if not _SHA256.fullmatch(said["sha256"]) or not 1 <= said["bytes"] <= MOST_BYTES:
        return None
    return NamedPhoto(said["sha256"], said["bytes"], kept_name(said["name"]))


def _plain_day(text: str) -> date:
    if not _PLAIN_DAY.fullmatch(text):
        raise RuleError("Give the day like 2026-11-26.")
    return parse_day(text)


def _reference(text: str, capture_id: str, kind: CaptureKind) -> str:
    if not text:
        return reference_of(capture_id, kind)
    if not is_reference_of(text, capture_id, kind):
        raise RuleError("That reference does not belong to this capture.")
    return text


def _content(read: _Reader, kind: CaptureKind, *, places: int, has_photos: bool) -> Content:
    if kind is CaptureKind.FIND:
        return _found(read, places=places, has_photos=has_photos)
    note = read.take("note", lambda text: clean_line(text, LINE_LIMIT), "")
    tag = read.take("tag", lambda text: clean_line(text, NAME_LIMIT), "")
    if kind is CaptureKind.COST:
        cents = read.take("amount", lambda text: _amount(text, places), 0)
        cost_kind = read.word("cost_kind", CostKind, "Choose what it was for.") or CostKind.OTHER
        return SpentMoney(tag, cents, cost_kind, note)
    minutes = read.take("minutes", _minutes, 0)
    activity = read.word("activity", Activity, "Choose what you did.") or Activity.REPAIR
    return WorkedTime(tag, minutes, activity, note)


def _found(read: _Reader, *, places: int, has_photos: bool) -> FoundPiece:
    title = read.take("what", lambda text: clean_line(text, TITLE_LIMIT), "")
    if not title and not has_photos:
        read.refuse("what", "Say what it is, or take a photo of it.")
    form = read.word("form", Form, "Choose what it is out of the list.") if read.text("form") else Form.OTHER
    return FoundPiece(
        title=title,
        form=form or Form.OTHER,
        paid_cents=read.take("paid", lambda text: parse_money(text, places=places) if text.strip() else None, None),
        where=read.take("where", lambda text: clean_line(text, NAME_LIMIT), ""),
        note=read.take("note", lambda text: clean_text(text, NOTE_LIMIT - ROOM_IN_NOTES), ""),
    )


def _amount(text: str, places: int) -> int:
    if not text.strip():
        raise RuleError("Type what it cost.")
    return parse_money(text, places=places)


def _minutes(text: str) -> int:
    if not text.strip():
        raise RuleError("Type how long it took.")
    return parse_minutes(text)
