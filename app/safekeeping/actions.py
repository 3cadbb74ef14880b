"""Back the whole shop up into one proved file, and restore it from one without losing what stood there."""

import shutil
import tempfile
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import replace
from datetime import datetime
from importlib.metadata import PackageNotFoundError
from importlib.metadata import version as version_of
from pathlib import Path

from app.access.actions import end_all_browsers
from app.basics.errors import RuleError
from app.basics.files import sync_folder
from app.basics.settings import Settings
from app.database.engine import make_engine
from app.database.migrate import upgrade
from app.database.unit_of_work import Ledger
from app.safekeeping import formats, store
from app.safekeeping.queries import BackupSheet, backups_dir, backups_here, photos_told_of, sheet_of
from app.safekeeping.rules import ENDING, LEDGER, MOST_BACKUPS, Manifest, file_name


def back_up(settings: Settings, target: Path, now: datetime) -> BackupSheet:
    """Write everything into one new file, read it through again, and only then give it its name.

    `target` is a folder, or a file that does not exist yet. Refuses a shop that is not there, a ledger in
    another database, a name that is taken and a disk without room (TackclothError); leaves no half file.
    """
    _require_own_ledger(settings)
    if not settings.ledger_file.exists():
        raise RuleError(f"There is no shop in {settings.data_dir} yet.")
    final = _free_name(target, now)
    store.require_room(final.parent, _size_of(settings))
    with store.told_when_full(), _scratch(final.parent) as scratch:
        copy, draft = scratch / LEDGER, scratch / "draft.zip"
        formats.copy_ledger(settings.ledger_file, copy)
        formats.write_backup(draft, ledger=copy, photo_dir=settings.photo_dir, version=program_version(), now=now)
        manifest = formats.prove(draft, scratch)
        missing = _missing_photos(copy, manifest)
        _refuse_taken(final)
        draft.rename(final)
    sync_folder(final.parent)
    return sheet_of(final, manifest, missing_photos=missing)


def back_up_here(settings: Settings, now: datetime) -> BackupSheet:
    """Back up into the shop's own folder of backups, note it there, and keep only the newest few of them.

    The file is made among the drafts, which the next start clears, so a crash leaves no half file in the folder.
    Refuses what `back_up` refuses.
    """
    drafts, folder = settings.data_dir / store.DRAFTS, backups_dir(settings)
    drafts.mkdir(mode=0o700, exist_ok=True)
    folder.mkdir(mode=0o700, exist_ok=True)
    made = back_up(settings, drafts, now)
    final = store.free_name(folder, file_name(now).removesuffix(ENDING), ENDING)
    made.path.rename(final)
    sync_folder(folder)
    sheet = replace(made, path=final)
    note_backup(settings, sheet, "in the folder backups on this computer")
    for old in backups_here(settings)[MOST_BACKUPS:]:
        (folder / old.name).unlink(missing_ok=True)
    return sheet


def note_backup(settings: Settings, sheet: BackupSheet, place: str) -> None:
    """Note that this backup was made and where it went; the page about safekeeping shows it."""
    noted = {
        "made_at": sheet.made_at.isoformat(),
        "size": sheet.size,
        "place": place,
        "missing_photos": sheet.missing_photos,
    }
    store.note_backup(settings.data_dir, noted)


def look_into(backup: Path) -> BackupSheet:
    """What a backup says it holds; its content is proved when it is restored (BadBackup when it is none)."""
    return sheet_of(backup, formats.look_into(backup))


def restore(settings: Settings, backup: Path, now: datetime) -> Path | None:
    """Put the shop from a backup in the place of the present one; return the folder the present one went to.

    Everything is unpacked beside it, proved and brought to the newest layout first; if any of that fails the
    present shop stays as it is. Every browser has to sign in again. Refuses a backup that is not whole or was
    changed, one from a newer program, and a shop that is open (TackclothError).
    """
    _require_own_ledger(settings)
    with store.hold_folder(settings.data_dir):
        settle(settings)
        store.require_room(settings.data_dir, formats.look_into(backup).size)
        staged = Path(tempfile.mkdtemp(prefix=store.STAGED_PREFIX, dir=settings.data_dir))
        kept = store.free_name(settings.kept_copies_dir, f"{now:%Y%m%d-%H%M%S}-before-restore")
        try:
            with store.told_when_full():
                formats.unpack(backup, staged)
            _make_ready(staged, now)
            store.Exchange(settings.data_dir, staged, kept).carry_out()
        finally:
            # A restore cut off in the middle of the exchange is completed from here at the next start.
            if not store.is_exchange_underway(settings.data_dir):
                shutil.rmtree(staged, ignore_errors=True)
    return kept if kept.exists() else None


def settle(settings: Settings) -> None:
    """Complete a restore that a crash interrupted, and clear half-made files away. The folder must be held."""
    store.finish_exchange(settings.data_dir)
    store.clear_drafts(settings.data_dir)


def program_version() -> str:
    """The version of this program as it is installed."""
    try:
        return version_of("tackcloth")
    except PackageNotFoundError:
        return "not installed"


def _require_own_ledger(settings: Settings) -> None:
    if settings.database_url:
        raise RuleError(
            "This shop's ledger lies in a database of its own. Back it up with that database's tools, and copy"
            f" the folder {settings.photo_dir} besides."
        )


def _free_name(target: Path, now: datetime) -> Path:
    if target.is_dir():
        return store.free_name(target, file_name(now).removesuffix(ENDING), ENDING).absolute()
    if not target.parent.is_dir():
        raise RuleError(f"There is no folder {target.parent}.")
    _refuse_taken(target)
    return target.absolute()


def _refuse_taken(target: Path) -> None:
    if target.exists():
        raise RuleError(f"{target} exists already, and a backup never writes over a file.")


def _size_of(settings: Settings) -> int:
    photos = sum(path.stat().st_size for _, path in formats.stored_photos(settings.photo_dir))
    # The copy of the ledger, the packed one and the one it is proved by stand there together for a while.
    return photos + 3 * settings.ledger_file.stat().st_size


@contextmanager
def _scratch(parent: Path) -> Iterator[Path]:
    folder = Path(tempfile.mkdtemp(prefix=".tackcloth-draft-", dir=parent))
    try:
        yield folder
    finally:
        shutil.rmtree(folder, ignore_errors=True)


def _missing_photos(copy: Path, manifest: Manifest) -> int:
    """How many photos the ledger shows that are not in the backup whole: their files were lost or changed before."""
    whole = {m.sha256 for m in manifest.members if m.name.endswith(f"/{m.sha256}.original")}
    ledger = Ledger(make_engine(f"sqlite:///{copy}"))
    try:
        with ledger.reading() as session:
            return len(photos_told_of(session) - whole)
    finally:
        ledger.close()


def _make_ready(staged: Path, now: datetime) -> None:
    """Bring an unpacked ledger to the newest layout and sign every browser out of it."""
    path = staged / LEDGER
    url = f"sqlite:///{path}"
    upgrade(url, ledger_file=path, copies_dir=staged / "before-upgrade", now=now)
    ledger = Ledger(make_engine(url))
    try:
        with ledger.writing() as session:
            # A browser that was signed out after the backup was made must not come back with it.
            end_all_browsers(session, now=now)
    finally:
        ledger.close()
    formats.settle_ledger(path)
