"""What a backup must hold, how its table of contents is written and read, and when a new one is due."""

import json
import re
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from typing import Any, Final

from app.basics.errors import RuleError

FORMAT: Final = 1
ENDING: Final = ".zip"
MANIFEST: Final = "manifest.json"
LEDGER: Final = "ledger.sqlite"
PHOTOS: Final = "photos"

MOST_MEMBERS: Final = 500_000
LARGEST_MANIFEST: Final = 128 * 1024 * 1024
DUE_AFTER: Final = timedelta(days=7)
REMIND_AFTER: Final = timedelta(days=8)
"""A day after one is due, Today says so too."""
MOST_BACKUPS: Final = 3
"""How many backups made in the browser stay in the shop's folder; older ones make room."""

_SHA256 = re.compile(r"[0-9a-f]{64}")
_PHOTO_NAME = re.compile(rf"{PHOTOS}/[0-9a-f]{{2}}/[0-9a-f]{{64}}\.[a-z]+(?:\.[a-z]+)?")
_FILE_NAME = re.compile(rf"tackcloth-(\d{{8}}-\d{{6}})(?:-\d+)?{re.escape(ENDING)}", re.ASCII)
_SIZE_STEP: Final = 1000


class BadBackup(RuleError):
    """The file is no backup of this program, is not whole, or was changed."""


class FolderInUse(RuleError):
    """Another run of the program holds the data folder; `url` is where it answers, if it said so."""

    def __init__(self, url: str | None) -> None:
        """Keep the address and name it."""
        place = f" at {url}" if url else ""
        super().__init__(f"The shop is open already{place}. Stop it there first (Ctrl+C in its window).")
        self.url = url


@dataclass(frozen=True)
class Member:
    """One file in a backup: its name, its size in bytes and the hash of its content."""

    name: str
    size: int
    sha256: str


@dataclass(frozen=True)
class LedgerPrint:
    """What a ledger says of itself: its layout, the rows of each table, the sum of each column of money in cents."""

    layout: str
    rows: Mapping[str, int]
    cents: Mapping[str, int]


@dataclass(frozen=True)
class Manifest:
    """The table of contents of a backup."""

    made_at: datetime
    version: str
    ledger: LedgerPrint
    members: tuple[Member, ...]

    @property
    def size(self) -> int:
        """Bytes of all members once unpacked."""
        return sum(member.size for member in self.members)

    @property
    def photos(self) -> int:
        """How many pictures it holds, each counted once."""
        return sum(member.name.endswith(".original") for member in self.members)

    @property
    def pieces(self) -> int:
        """How many pieces the ledger in it knows."""
        return self.ledger.rows.get("piece", 0)


def file_name(now: datetime) -> str:
    """The name of a backup made at an instant, in UTC so that names sort by age."""
    return f"tackcloth-{now.astimezone(UTC):%Y%m%d-%H%M%S}{ENDING}"


def made_when(name: str) -> datetime | None:
    """When the backup with a name from `file_name` was made; None for any other name."""
    found = _FILE_NAME.fullmatch(name)
    try:
        return datetime.strptime(found[1], "%Y%m%d-%H%M%S").replace(tzinfo=UTC) if found else None
    except ValueError:
        return None


def is_photo_name(name: str) -> bool:
    """Tell whether a member's name is that of a stored photo and leads nowhere else."""
    return _PHOTO_NAME.fullmatch(name) is not None


def write_manifest(manifest: Manifest) -> str:
    """The table of contents as JSON."""
    contents = {
        "program": "Tackcloth",
        "format": FORMAT,
        "version": manifest.version,
        "made_at": manifest.made_at.astimezone(UTC).isoformat(),
        "layout": manifest.ledger.layout,
        "rows": dict(manifest.ledger.rows),
        "cents": dict(manifest.ledger.cents),
        "members": [{"name": one.name, "size": one.size, "sha256": one.sha256} for one in manifest.members],
    }
    return json.dumps(contents, indent=1, ensure_ascii=False)


def read_manifest(text: str) -> Manifest:
    """Read a table of contents; refuses one that is not ours, not whole, or from a newer program (BadBackup)."""
    try:
        found = json.loads(text)
        if found["program"] != "Tackcloth":
            raise BadBackup("This file is not a backup of this program.")
        if found["format"] != FORMAT:
            raise BadBackup("This backup was made by a newer Tackcloth. Install the newer version to restore it.")
        manifest = _manifest_of(found)
    except (ValueError, TypeError, KeyError, AttributeError, OverflowError, RecursionError) as trouble:
        raise BadBackup("The backup's table of contents cannot be read.") from trouble
    _require_sound_members(manifest.members)
    return manifest


def _manifest_of(found: Mapping[str, Any]) -> Manifest:
    made_at = datetime.fromisoformat(found["made_at"])
    if made_at.tzinfo is None:
        raise ValueError("the instant lacks its zone")
    members = [Member(str(one["name"]), _whole(one["size"]), str(one["sha256"])) for one in found["members"]]
    rows = {str(table): _whole(count) for table, count in found["rows"].items()}
    cents = {str(column): _whole(total) for column, total in found["cents"].items()}
    ledger = LedgerPrint(str(found["layout"]), rows, cents)
    return Manifest(made_at, str(found["version"]), ledger, tuple(members))


def _whole(number: Any) -> int:
    if type(number) is not int:
        raise ValueError("not a whole number")
    return number


def _require_sound_members(members: Iterable[Member]) -> None:
    seen: set[str] = set()
    for member in members:
        if member.name != LEDGER and not is_photo_name(member.name):
            raise BadBackup("The backup names a file that does not belong in a backup. Nothing was unpacked.")
        if member.name in seen or member.size < 0 or not _SHA256.fullmatch(member.sha256):
            raise BadBackup("The backup's table of contents contradicts itself. Nothing was unpacked.")
        seen.add(member.name)
    if LEDGER not in seen:
        raise BadBackup("The backup holds no ledger.")
    if len(seen) > MOST_MEMBERS:
        raise BadBackup(f"The backup names more than {MOST_MEMBERS:,} files.")


def is_due(last_made_at: datetime | None, now: datetime) -> bool:
    """Tell whether a backup is due: none was made yet, or the last one is a week old."""
    return last_made_at is None or now - last_made_at >= DUE_AFTER


def overdue_words(last_made_at: datetime | None, now: datetime) -> str | None:
    """The one line of a reminder, or None while the last backup is young enough."""
    if last_made_at is None:
        return "No backup was ever made."
    if now - last_made_at <= REMIND_AFTER:
        return None
    return f"The last backup is {(now - last_made_at).days} days old."


def size_in_words(size: int) -> str:
    """A size in bytes as it is told: 812 bytes, 4.1 MB."""
    if size < _SIZE_STEP:
        return "1 byte" if size == 1 else f"{size} bytes"
    amount = size / _SIZE_STEP
    for unit in ("kB", "MB", "GB"):
        if round(amount, 1) < _SIZE_STEP:
            return f"{amount:.1f} {unit}"
        amount /= _SIZE_STEP
    return f"{amount:.1f} TB"
