"""The data folder as a whole: held by one run at a time, and exchanged for another without a moment of neither."""

import errno
import json
import secrets
import shutil
import sys
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from dataclasses import dataclass
from pathlib import Path
from typing import IO, Any

from app.basics.files import sync_folder, write_whole
from app.basics.settings import make_data_dir
from app.database.unit_of_work import LedgerFull
from app.safekeeping.rules import LEDGER, PHOTOS, FolderInUse

LOCK_FILE = "in-use.lock"
RUNNING_FILE = "running.json"
UNDERWAY_FILE = "restore-underway.json"
LAST_BACKUP_FILE = "last-backup.json"
DRAFTS = "drafts"
STAGED_PREFIX = "restoring-"
# SQLite's own companions of an open ledger; after a crash they belong to it and must go where it goes.
COMPANIONS = tuple(LEDGER + ending for ending in ("-journal", "-wal", "-shm"))


@contextmanager
def hold_folder(data_dir: Path) -> Iterator[None]:
    """Hold a data folder for this run alone; raises FolderInUse while another one holds it.

    The system lets go of it when the program ends, however it ends.
    """
    make_data_dir(data_dir)
    with (data_dir / LOCK_FILE).open("a+b") as handle:
        try:
            _lock(handle)
        except OSError as trouble:
            if trouble.errno in {errno.EACCES, errno.EAGAIN, errno.EDEADLK}:
                raise FolderInUse(where_open(data_dir)) from trouble
            raise
        # A run that was killed left word behind that no longer holds.
        (data_dir / RUNNING_FILE).unlink(missing_ok=True)
        try:
            yield
        finally:
            (data_dir / RUNNING_FILE).unlink(missing_ok=True)
            _unlock(handle)


if sys.platform == "win32":
    import msvcrt

    def _lock(handle: IO[bytes]) -> None:
        handle.seek(0)
        msvcrt.locking(handle.fileno(), msvcrt.LK_NBLCK, 1)

    def _unlock(handle: IO[bytes]) -> None:
        handle.seek(0)
        msvcrt.locking(handle.fileno(), msvcrt.LK_UNLCK, 1)

else:
    import fcntl

    def _lock(handle: IO[bytes]) -> None:
        fcntl.flock(handle, fcntl.LOCK_EX | fcntl.LOCK_NB)

    def _unlock(handle: IO[bytes]) -> None:
        fcntl.flock(handle, fcntl.LOCK_UN)


def say_where_open(data_dir: Path, url: str) -> None:
    """Leave word, for other runs, where the one that holds the folder answers; left out when the disk is full."""
    with suppress(OSError):
        _leave_word(data_dir / RUNNING_FILE, {"url": url})


def where_open(data_dir: Path) -> str | None:
    """Where the run that holds the folder answers, if it said so."""
    url = _read(data_dir / RUNNING_FILE).get("url")
    return url if isinstance(url, str) else None


def _leave_word(path: Path, contents: dict[str, Any]) -> None:
    write_whole(path, json.dumps(contents).encode())


def _read(path: Path) -> dict[str, Any]:
    try:
        found = json.loads(path.read_text(encoding="utf-8"))
    except (OSError, ValueError):
        return {}
    return found if isinstance(found, dict) else {}


def read_last_backup(data_dir: Path) -> dict[str, Any]:
    """What was noted of the last backup; empty when there was none or the note cannot be read."""
    return _read(data_dir / LAST_BACKUP_FILE)


def note_backup(data_dir: Path, noted: dict[str, Any]) -> None:
    """Note what is to be known of the last backup."""
    _leave_word(data_dir / LAST_BACKUP_FILE, noted)


@contextmanager
def told_when_full() -> Iterator[None]:
    """Say in plain words that the disk became full (LedgerFull)."""
    try:
        yield
    except OSError as trouble:
        if trouble.errno in {errno.ENOSPC, errno.EDQUOT}:
            raise LedgerFull("The disk is full, so nothing was written. Make room and try again.") from trouble
        raise


def require_room(folder: Path, needed: int) -> None:
    """Refuse to begin what the disk has no room for (LedgerFull); a tenth and 64 MB are left free besides."""
    free = shutil.disk_usage(folder).free
    if free < needed + needed // 10 + 64_000_000:
        raise LedgerFull(f"The disk that holds {folder} has too little room. Nothing was written.")


@dataclass(frozen=True)
class Exchange:
    """A shop made ready in `staged`, to take the place of the one in `data_dir`, which goes to `kept`."""

    data_dir: Path
    staged: Path
    kept: Path

    def carry_out(self) -> None:
        """Put the staged shop in place; what stood there is kept. On trouble everything goes back.

        A crash in between leaves word of it, and `finish_exchange` completes it at the next start.
        """
        self.kept.mkdir(parents=True)
        word = {"staged": self.staged.name, "kept": str(self.kept.relative_to(self.data_dir))}
        _leave_word(self.data_dir / UNDERWAY_FILE, word)
        try:
            self.go_on()
        except OSError:
            self._go_back()
            raise

    def go_on(self) -> None:
        """Do what of the exchange is not done yet, and take the word of it away."""
        if (self.staged / LEDGER).exists():
            for name in COMPANIONS:
                self._keep(name)
        for name in (LEDGER, PHOTOS):
            if (self.staged / name).exists():
                self._keep(name)
                (self.staged / name).rename(self.data_dir / name)
        self._clear()

    def _keep(self, name: str) -> None:
        placed, kept = self.data_dir / name, self.kept / name
        if placed.exists():
            placed.rename(kept if not kept.exists() else kept.with_name(f"{name}.{secrets.token_hex(4)}"))

    def _go_back(self) -> None:
        for name in (PHOTOS, LEDGER, *COMPANIONS):
            placed, kept, staged = self.data_dir / name, self.kept / name, self.staged / name
            if name in {LEDGER, PHOTOS} and placed.exists() and not staged.exists():
                placed.rename(staged)
            if kept.exists():
                kept.rename(placed)
        self._clear()

    def _clear(self) -> None:
        sync_folder(self.kept)
        sync_folder(self.data_dir)
        (self.data_dir / UNDERWAY_FILE).unlink(missing_ok=True)
        sync_folder(self.data_dir)
        with suppress(OSError):  # it holds something, as it mostly should
            self.kept.rmdir()


def finish_exchange(data_dir: Path) -> bool:
    """Complete an exchange that a crash interrupted; tell whether there was one. The folder must be held."""
    word = _read(data_dir / UNDERWAY_FILE)
    if not word:
        return False
    exchange = Exchange(data_dir, data_dir / str(word["staged"]), data_dir / str(word["kept"]))
    exchange.kept.mkdir(parents=True, exist_ok=True)
    exchange.go_on()
    return True


def is_exchange_underway(data_dir: Path) -> bool:
    """Tell whether an exchange was begun and not completed."""
    return (data_dir / UNDERWAY_FILE).exists()


def clear_drafts(data_dir: Path) -> None:
    """Remove what an earlier run left half-made. The folder must be held, and no exchange underway."""
    shutil.rmtree(data_dir / DRAFTS, ignore_errors=True)
    for left in data_dir.glob(f"{STAGED_PREFIX}*"):
        shutil.rmtree(left, ignore_errors=True)


def free_name(parent: Path, name: str, ending: str = "") -> Path:
    """A path of that name, or of that name with a number, at which nothing stands yet."""
    number = 1
    while (found := parent / (f"{name}{ending}" if number == 1 else f"{name}-{number}{ending}")).exists():
        number += 1
    return found
