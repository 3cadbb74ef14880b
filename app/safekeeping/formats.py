"""The backup file: written, looked into, proved and unpacked; and the print by which ledgers are compared."""

import hashlib
import lzma
import sqlite3
import stat
import zipfile
import zlib
from collections.abc import Iterator
from contextlib import closing, contextmanager
from datetime import datetime
from pathlib import Path
from typing import IO

from app.basics.files import sync_file, sync_folder
from app.database.unit_of_work import LedgerFull
from app.safekeeping.rules import (
    LARGEST_MANIFEST,
    LEDGER,
    MANIFEST,
    MOST_MEMBERS,
    PHOTOS,
    BadBackup,
    LedgerPrint,
    Manifest,
    Member,
    is_photo_name,
    read_manifest,
    write_manifest,
)

CHUNK = 1024 * 1024
NOT_WHOLE = "The backup is not whole: part of it is missing or was changed. Nothing was restored."
DAMAGED = "The ledger is damaged."
_ENCRYPTED = 0x1
_UNREADABLE = (zipfile.BadZipFile, zipfile.LargeZipFile, zlib.error, lzma.LZMAError, EOFError, NotImplementedError)


def copy_ledger(source: Path, target: Path) -> None:
    """A consistent copy of a ledger that may be in use, made by SQLite itself.

    Waits for a write under way. Raises LedgerFull, and BadBackup for a file that is no ledger.
    """
    try:
        with closing(sqlite3.connect(source)) as live, closing(sqlite3.connect(target)) as copy:
            live.backup(copy)
            copy.execute("PRAGMA journal_mode=DELETE")
    except sqlite3.OperationalError as trouble:
        if "full" in str(trouble):
            raise LedgerFull("The disk is full, so nothing was written. Make room and try again.") from trouble
        raise
    except sqlite3.DatabaseError as trouble:
        raise BadBackup(DAMAGED) from trouble


def settle_ledger(ledger: Path) -> None:
    """Make a ledger that nobody has open one plain file, flushed to the disk."""
    with closing(sqlite3.connect(ledger)) as connection:
        connection.execute("PRAGMA journal_mode=DELETE")
    sync_file(ledger)


def print_of(ledger: Path) -> LedgerPrint:
    """The print of a ledger that is sound; refuses one that is damaged or is no ledger (BadBackup)."""
    try:
        with closing(sqlite3.connect(f"{ledger.absolute().as_uri()}?mode=ro", uri=True)) as connection:
            connection.execute("PRAGMA trusted_schema=OFF")
            connection.execute("PRAGMA cell_size_check=ON")
            _require_sound(connection)
            return _print_of(connection)
    except sqlite3.Error as trouble:
        raise BadBackup(DAMAGED) from trouble


def _require_sound(connection: sqlite3.Connection) -> None:
    if connection.execute("PRAGMA integrity_check").fetchall() != [("ok",)]:
        raise BadBackup(DAMAGED)
    if connection.execute("PRAGMA foreign_key_check").fetchall():
        raise BadBackup("The ledger is damaged: it has rows that point to nothing.")


def _print_of(connection: sqlite3.Connection) -> LedgerPrint:
    layout = connection.execute("SELECT version_num FROM alembic_version").fetchone()
    rows: dict[str, int] = {}
    cents: dict[str, int] = {}
    for (table,) in connection.execute("SELECT name FROM sqlite_master WHERE type = 'table' ORDER BY name").fetchall():
        quoted = '"' + table.replace('"', '""') + '"'
        rows[table] = connection.execute(f"SELECT count(*) FROM {quoted}").fetchone()[0]
        for column in connection.execute(f"PRAGMA table_info({quoted})").fetchall():
            name = str(column[1])
            if name.endswith("_cents") and name.isidentifier():
                total = connection.execute(f'SELECT sum("{name}") FROM {quoted}').fetchone()[0]
                cents[f"{table}.{name}"] = int(total or 0)
    return LedgerPrint(layout=layout[0] if layout else "", rows=rows, cents=cents)


def stored_photos(photo_dir: Path) -> Iterator[tuple[str, Path]]:
    """Every stored photo with the name it has in a backup; half-written drafts are left out."""
    for path in sorted(photo_dir.glob("*/*")):
        name = f"{PHOTOS}/{path.relative_to(photo_dir).as_posix()}"
        if is_photo_name(name) and path.is_file():
            yield name, path


def write_backup(target: Path, *, ledger: Path, photo_dir: Path, version: str, now: datetime) -> Manifest:
    """Write a backup of a ledger at rest and its photos to a new file, flushed to the disk."""
    members = []
    with target.open("xb") as handle, zipfile.ZipFile(handle, "w") as archive:
        members.append(_add(archive, LEDGER, ledger, zipfile.ZIP_DEFLATED, now))
        # Pictures are as small as they get; packing them again would only cost time.
        members += [_add(archive, name, path, zipfile.ZIP_STORED, now) for name, path in stored_photos(photo_dir)]
        manifest = Manifest(now, version, print_of(ledger), tuple(members))
        entry = _entry(MANIFEST, zipfile.ZIP_DEFLATED, now)
        archive.writestr(entry, write_manifest(manifest))
    # Other users of this computer need not read the owner's books.
    target.chmod(0o600)
    sync_file(target)
    return manifest


def _entry(name: str, packing: int, now: datetime) -> zipfile.ZipInfo:
    entry = zipfile.ZipInfo(name, (now.year, now.month, now.day, now.hour, now.minute, now.second))
    entry.compress_type = packing
    entry.external_attr = 0o600 << 16
    return entry


def _add(archive: zipfile.ZipFile, name: str, path: Path, packing: int, now: datetime) -> Member:
    entry = _entry(name, packing, now)
    entry.file_size = path.stat().st_size
    digest, size = hashlib.sha256(), 0
    with path.open("rb") as source, archive.open(entry, "w", force_zip64=True) as sink:
        while chunk := source.read(CHUNK):
            digest.update(chunk)
            size += len(chunk)
            sink.write(chunk)
    return Member(name, size, digest.hexdigest())


def look_into(backup: Path) -> Manifest:
    """The table of contents of a backup whose list of entries agrees with it; no content is read yet."""
    with _opened(backup) as (_, manifest):
        return manifest


def prove(backup: Path, scratch: Path) -> Manifest:
    """Read a backup through: every hash, every size, and the ledger in it; refuses what differs (BadBackup)."""
    with _opened(backup) as (archive, manifest):
        for member in manifest.members:
            if member.name == LEDGER:
                _unpack_one(archive, member, scratch / "proved.sqlite")
            else:
                _read_through(archive, member, None)
    require_same(scratch / "proved.sqlite", manifest)
    return manifest


def unpack(backup: Path, folder: Path) -> Manifest:
    """Unpack a backup into an empty folder, proving every size and hash on the way; flushed to the disk."""
    with _opened(backup) as (archive, manifest):
        (folder / PHOTOS).mkdir()
        for member in manifest.members:
            _unpack_one(archive, member, folder / member.name)
    for made in [*(folder / PHOTOS).iterdir(), folder / PHOTOS, folder]:
        sync_folder(made)
    require_same(folder / LEDGER, manifest)
    return manifest


def require_same(ledger: Path, manifest: Manifest) -> None:
    """Refuse a ledger that is not sound or not the one the table of contents describes (BadBackup)."""
    if print_of(ledger) != manifest.ledger:
        raise BadBackup(NOT_WHOLE)


@contextmanager
def _opened(backup: Path) -> Iterator[tuple[zipfile.ZipFile, Manifest]]:
    if not backup.is_file():
        raise BadBackup(f"There is no file {backup}.")
    try:
        with zipfile.ZipFile(backup) as archive:
            yield archive, _manifest_of(archive)
    except _UNREADABLE as trouble:
        raise BadBackup(NOT_WHOLE) from trouble


def _manifest_of(archive: zipfile.ZipFile) -> Manifest:
    entries = archive.infolist()
    if len(entries) > MOST_MEMBERS + 1:
        raise BadBackup(f"The backup holds more than {MOST_MEMBERS:,} files.")
    named = {entry.filename: entry for entry in entries}
    if MANIFEST not in named:
        raise BadBackup("This file is not a backup of this program.")
    if len(named) != len(entries) or any(map(_is_odd, entries)):
        raise BadBackup("The backup holds something that does not belong in one. Nothing was unpacked.")
    if named[MANIFEST].file_size > LARGEST_MANIFEST:
        raise BadBackup("The backup's table of contents is too long.")
    with archive.open(MANIFEST) as handle:
        text = handle.read(LARGEST_MANIFEST + 1)
    manifest = read_manifest(text.decode("utf-8", "replace"))
    told = {member.name: member.size for member in manifest.members}
    if told != {name: entry.file_size for name, entry in named.items() if name != MANIFEST}:
        raise BadBackup(NOT_WHOLE)
    return manifest


def _is_odd(entry: zipfile.ZipInfo) -> bool:
    kind = stat.S_IFMT(entry.external_attr >> 16)
    if entry.flag_bits & _ENCRYPTED or entry.is_dir() or kind not in {0, stat.S_IFREG}:
        return True
    return entry.filename not in {MANIFEST, LEDGER} and not is_photo_name(entry.filename)


def _unpack_one(archive: zipfile.ZipFile, member: Member, target: Path) -> None:
    target.parent.mkdir(exist_ok=True)
    with target.open("xb") as sink:
        _read_through(archive, member, sink)
    sync_file(target)


def _read_through(archive: zipfile.ZipFile, member: Member, sink: IO[bytes] | None) -> None:
    digest, size = hashlib.sha256(), 0
    with archive.open(member.name) as source:
        while chunk := source.read(CHUNK):
            digest.update(chunk)
            size += len(chunk)
            if size > member.size:
                break
            if sink is not None:
                sink.write(chunk)
    if size != member.size or digest.hexdigest() != member.sha256:
        raise BadBackup(NOT_WHOLE)
