"""The rows of the demo's files that tell of what a phone wrote down without signal, and of photos nobody sorted yet."""

from dataclasses import dataclass
from enum import StrEnum

from app.demo.rules.cells import Clock, Day, Record
from app.photos.rules import Shows
from app.pieces.rules import Form
from app.pocket.rules import CaptureKind


class View(StrEnum):
    """How much of a piece a drawn photo shows: all of it, its front from near by, or a foot."""

    WHOLE = "whole"
    CLOSE = "close"
    FOOT = "foot"


@dataclass(frozen=True, slots=True)
class CaptureRecord(Record):
    """A capture as the phone wrote it down `at` a time of its day, and brought home that evening by a rescue file.

    `capture` is its number; from `kind` on a column is a member of the capture, in the words that were typed. `piece`
    names the piece whose tag was typed. A find with a `colour` has a photo, drawn in it. One that `is_held` is refused
    by the ledger and waits for the owner.
    """

    capture: str
    day: Day
    at: Clock
    kind: CaptureKind
    what: str
    form: Form | None
    paid: str
    where: str
    piece: str
    tag: str
    amount: str
    cost_kind: str
    minutes: str
    activity: str
    note: str
    colour: str
    is_held: bool


@dataclass(frozen=True, slots=True)
class PiledPhotoRecord(Record):
    """A photo taken `at` a time of its day and laid on the pile that evening, drawn like one of a piece."""

    day: Day
    at: Clock
    form: Form
    shows: Shows
    colour: str
    view: View
