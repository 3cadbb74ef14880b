"""The JSON that phones send, and the rescue file: read without trusting either."""

import base64
import binascii
import hashlib
import json
from collections.abc import Mapping
from dataclasses import dataclass
from typing import IO, Any, Final, NoReturn

from app.basics.errors import RuleError

MARK: Final = "captures"
VERSION: Final = 1


class NoJson(RuleError):
    """The bytes are no JSON."""


class NoRescueFile(RuleError):
    """The file is none that a phone saved, or not all of it; nothing of it was taken in."""


class DamagedPhoto(RuleError):
    """A photo in a rescue file is not the one that its hash names."""


@dataclass(frozen=True)
class Rescued:
    """One capture out of a rescue file as it stands there; `photos` are base64 by the hash they go under.

    A draft was not saved on the phone yet: its owner may not have finished it.
    """

    id: str
    data: Mapping[str, Any]
    photos: Mapping[str, str]
    is_draft: bool = False

    def photo(self, sha256: str) -> bytes | None:
        """The bytes of a photo; None when the file has none. Refuses a damaged one (DamagedPhoto)."""
        written = self.photos.get(sha256)
        if written is None:
            return None
        try:
            body = base64.b64decode(written, validate=True)
        except (binascii.Error, ValueError) as damage:
            raise DamagedPhoto("A photo in the file is damaged.") from damage
        if hashlib.sha256(body).hexdigest() != sha256:
            raise DamagedPhoto("A photo in the file is damaged.")
        return body


def read_json(body: bytes) -> Any:
    """Read JSON as UTF-8; refuses what is none, a name given twice, and numbers that are none (NoJson)."""
    try:
        return json.loads(body.decode("utf-8"), parse_constant=_no_number, object_pairs_hook=_each_once)
    except (ValueError, RecursionError) as trouble:
        raise NoJson("That is no JSON.") from trouble


def read_rescue(stream: IO[bytes]) -> list[Rescued]:
    """The captures in a rescue file, in its order.

    Refuses, whole, what is no rescue file, another version, and one that was cut short (NoRescueFile). The file is
    read into memory: the caller limits its size.
    """
    try:
        told = json.load(stream, parse_constant=_no_number)
    except (ValueError, RecursionError) as trouble:
        raise NoRescueFile(
            "This is no rescue file, or it was cut short. Save it on the phone once more and choose that."
        ) from trouble
    if not isinstance(told, dict) or told.get("tackcloth") != MARK or not isinstance(told.get("captures"), list):
        raise NoRescueFile("This is no rescue file. Choose the one the phone saved; its name begins with captures-.")
    if told.get("version") != VERSION:
        raise NoRescueFile("This rescue file was saved by another version of the program. Update this one first.")
    return [_rescued(one) for one in told["captures"]]


def _rescued(one: object) -> Rescued:
    said = one if isinstance(one, dict) else {}
    data, photos = said.get("capture"), said.get("photos")
    return Rescued(
        id=str(said.get("id", "")),
        data=data if isinstance(data, dict) else {},
        photos={str(name): str(body) for name, body in photos.items()} if isinstance(photos, dict) else {},
        is_draft=said.get("draft") is True,
    )


def _no_number(name: str) -> NoReturn:
    raise ValueError(f"{name} is no number")


def _each_once(pairs: list[tuple[str, Any]]) -> dict[str, Any]:
    found = dict(pairs)
    if len(found) != len(pairs):
        raise ValueError("a name is given twice")
    return found
