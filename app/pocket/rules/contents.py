"""What a capture says once it is read: a find, a cost or time, and its photos."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, datetime
from typing import TypeAlias

from app.basics.errors import RuleError, TackclothError
from app.costs.rules import CostKind
from app.pieces.rules import Form
from app.pocket.rules.kinds import CaptureKind
from app.timelog.rules import Activity


@dataclass(frozen=True)
class FoundPiece:
    """A find: what it is, what was paid in cents (None: not written down) and the name of the place."""

    title: str
    form: Form
    paid_cents: int | None
    where: str
    note: str


@dataclass(frozen=True)
class SpentMoney:
    """A cost in cents, on the piece that `tag` names by its tag or its find's reference; "" is the shop."""

    tag: str
    cents: int
    kind: CostKind
    note: str


@dataclass(frozen=True)
class WorkedTime:
    """Minutes of work, on the piece that `tag` names by its tag or its find's reference; "" is the shop."""

    tag: str
    minutes: int
    activity: Activity
    note: str


Content: TypeAlias = FoundPiece | SpentMoney | WorkedTime


@dataclass(frozen=True)
class NamedPhoto:
    """A photo that a capture names: the hash of its bytes, how many there are, and the phone's name for it."""

    sha256: str
    bytes: int
    name: str


@dataclass(frozen=True)
class NewCapture:
    """A capture as it was read: `said` is its content as it is kept, `captured_at` what the phone's clock said."""

    id: str
    kind: CaptureKind
    reference: str
    captured_at: datetime
    on_date: date
    content: Content
    photos: tuple[NamedPhoto, ...]
    said: str
    fingerprint: str


@dataclass(frozen=True)
class Made:
    """What was made of a capture; `tag` is the piece's, "" where it belongs to the shop."""

    kind: CaptureKind
    tag: str
    on_date: date


@dataclass(frozen=True)
class FieldTrouble:
    """What is wrong at one member of a capture; the whole of it where `field` is ""."""

    field: str
    detail: str


class CannotBeEntered(RuleError):
    """A capture cannot be entered as it stands; `troubles` says at which of its fields and why."""

    def __init__(self, troubles: Sequence[FieldTrouble]) -> None:
        """Keep every trouble; the sentence shown is all of them in a row."""
        super().__init__(" ".join(trouble.detail for trouble in troubles))
        self.troubles = tuple(troubles)


class CaptureDiffers(TackclothError):
    """A capture of this number is entered already, and said something else; `made` is what it became."""

    def __init__(self, made: Made) -> None:
        """Say that nothing was changed."""
        super().__init__("This is entered already and said something else then. Nothing was changed.")
        self.made = made


class CaptureLetGo(TackclothError):
    """The owner let this capture go at home."""

    def __init__(self, reason: str) -> None:
        """Say why it was let go."""
        super().__init__(f"This was let go at home: {reason}")
