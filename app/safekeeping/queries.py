"""Look at what there is to keep safe: the ledger's size, its photos, the last backup, the copies kept here."""

from dataclasses import dataclass
from datetime import UTC, datetime
from pathlib import Path

from sqlalchemy import func, select
from sqlalchemy.orm import Session

from app.basics.settings import Settings
from app.photos.models import Photo
from app.pieces.models import Piece
from app.pocket.models import CapturePhoto
from app.safekeeping.formats import stored_photos
from app.safekeeping.rules import ENDING, LEDGER, Manifest, is_due, made_when, size_in_words
from app.safekeeping.store import read_last_backup


@dataclass(frozen=True)
class BackupSheet:
    """What one backup holds; `size` is that of the file in bytes, `missing_photos` were lost before it was made."""

    path: Path
    made_at: datetime
    version: str
    size: int
    pieces: int
    photos: int
    missing_photos: int = 0

    @property
    def size_text(self) -> str:
        """The size of the file as it is told."""
        return size_in_words(self.size)


@dataclass(frozen=True)
class KeptCopyRow:
    """A copy of the shop that was kept before something replaced it."""

    name: str
    made_at: datetime | None
    reason: str
    size_text: str


@dataclass(frozen=True)
class BackupHereRow:
    """A backup that lies in the shop's own folder, ready to be downloaded."""

    name: str
    made_at: datetime
    size_text: str


@dataclass(frozen=True)
class LastBackupRow:
    """When the last backup was made, where it went, and how many photos were lost before."""

    made_at: datetime
    size_text: str
    place: str
    missing_photos: int


@dataclass(frozen=True)
class KeepSheet:
    """Everything the page about safekeeping shows; sizes come in words."""

    folder: str
    pieces: int
    ledger_size: str
    photos: int
    photos_size: str
    last: LastBackupRow | None
    is_due: bool
    copies: tuple[KeptCopyRow, ...]
    here: tuple[BackupHereRow, ...]
    is_elsewhere: bool


def sheet_of(path: Path, manifest: Manifest, *, missing_photos: int = 0) -> BackupSheet:
    """What the backup at `path` holds, by its table of contents."""
    return BackupSheet(
        path=path,
        made_at=manifest.made_at,
        version=manifest.version,
        size=path.stat().st_size,
        pieces=manifest.pieces,
        photos=manifest.photos,
        missing_photos=missing_photos,
    )


def photos_told_of(session: Session) -> set[str]:
    """The hashes of all photos the ledger shows, and of those that came with a capture not entered yet."""
    shown = session.scalars(select(Photo.sha256).where(Photo.removed_at.is_(None)))
    come = session.scalars(select(CapturePhoto.sha256).where(CapturePhoto.kind.is_not(None)))
    return {*shown, *come}


def keep_sheet(session: Session, settings: Settings, now: datetime) -> KeepSheet:
    """What there is to keep safe, and how safe it is now."""
    sizes = {name: path.stat().st_size for name, path in stored_photos(settings.photo_dir)}
    last = last_backup(settings)
    return KeepSheet(
        folder=str(settings.data_dir),
        pieces=session.scalar(select(func.count()).select_from(Piece)) or 0,
        ledger_size=size_in_words(settings.ledger_file.stat().st_size if settings.ledger_file.exists() else 0),
        photos=sum(name.endswith(".original") for name in sizes),
        photos_size=size_in_words(sum(sizes.values())),
        last=last,
        is_due=is_due(last.made_at if last else None, now),
        copies=tuple(kept_copies(settings)),
        here=tuple(backups_here(settings)),
        is_elsewhere=bool(settings.database_url),
    )


def last_backup(settings: Settings) -> LastBackupRow | None:
    """The last backup that was noted, or None."""
    noted = read_last_backup(settings.data_dir)
    try:
        made_at = datetime.fromisoformat(str(noted["made_at"]))
        size, place, missing = int(noted["size"]), str(noted["place"]), int(noted["missing_photos"])
    except (KeyError, ValueError, TypeError):
        return None
    return LastBackupRow(made_at, size_in_words(size), place, missing) if made_at.tzinfo else None


def backups_dir(settings: Settings) -> Path:
    """The shop's own folder for backups made in the browser."""
    return settings.data_dir / "backups"


def backups_here(settings: Settings) -> list[BackupHereRow]:
    """The backups in the shop's own folder, the newest first; other files there are none of them."""
    found = [(made_at, path) for path in backups_dir(settings).glob(f"*{ENDING}") if (made_at := made_when(path.name))]
    found.sort(key=lambda each: (each[0], each[1].stat().st_mtime_ns), reverse=True)
    return [BackupHereRow(path.name, made_at, size_in_words(path.stat().st_size)) for made_at, path in found]


def kept_copies(settings: Settings) -> list[KeptCopyRow]:
    """The copies of the shop kept before an upgrade or a restore, the newest first."""
    if not settings.kept_copies_dir.is_dir():
        return []
    paths = [path for path in settings.kept_copies_dir.iterdir() if path.is_dir() or path.suffix == ".sqlite"]
    return [_kept_copy(path) for path in sorted(paths, reverse=True)]


def _kept_copy(path: Path) -> KeptCopyRow:
    stamp = path.name[: len("20261125-153000")]
    try:
        made_at = datetime.strptime(stamp, "%Y%m%d-%H%M%S").replace(tzinfo=UTC)
    except ValueError:
        made_at = None
    reason = "before a restore" if (path / LEDGER).exists() else "before an upgrade"
    files = path.rglob("*") if path.is_dir() else [path]
    return KeptCopyRow(path.name, made_at, reason, size_in_words(sum(one.stat().st_size for one in files)))
