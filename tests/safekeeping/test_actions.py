"""Backup and restore: everything comes back, and nothing is lost when something is wrong."""

import json
import sqlite3
import zipfile
from collections.abc import Callable
from contextlib import closing
from datetime import datetime, timedelta
from pathlib import Path

import pytest

from app.access import queries as access
from app.access.actions import set_passphrase, sign_in
from app.basics.errors import RuleError, TackclothError
from app.basics.settings import Settings
from app.database.engine import make_engine
from app.database.migrate import LedgerFromTheFuture
from app.database.unit_of_work import Ledger
from app.safekeeping import formats
from app.safekeeping.actions import back_up, look_into, note_backup, restore
from app.safekeeping.queries import kept_copies, last_backup
from app.safekeeping.rules import BadBackup, FolderInUse
from app.safekeeping.store import hold_folder
from tests.builders.safekeeping import Entries, a_kept_shop, entries_of, files_of, rewritten, shop_of, told_again


@pytest.fixture
def kept(data_dir: Path) -> Settings:
    return a_kept_shop(data_dir)


@pytest.fixture
def backup(kept: Settings, tmp_path: Path, now: datetime) -> Path:
    return back_up(kept, tmp_path, now).path


@pytest.fixture
def another(tmp_path: Path, migrated_file: Path) -> Settings:
    """A second shop, with other things in it."""
    folder = tmp_path / "another"
    folder.mkdir()
    (folder / "ledger.sqlite").write_bytes(migrated_file.read_bytes())
    return a_kept_shop(folder, title="Cane chair")


def opened(settings: Settings) -> Ledger:
    return Ledger(make_engine(settings.url))


def test_a_backup_says_what_it_holds(kept: Settings, tmp_path: Path, now: datetime) -> None:
    sheet = back_up(kept, tmp_path, now)
    assert sheet.path == tmp_path / "tackcloth-20261125-153000.zip"
    assert (sheet.pieces, sheet.photos, sheet.missing_photos) == (2, 2, 0)
    assert sheet.made_at == now
    assert sheet.size == sheet.path.stat().st_size
    assert look_into(sheet.path) == sheet


def test_a_backup_holds_the_ledger_the_photos_and_a_table_of_contents_and_no_key(backup: Path, kept: Settings) -> None:
    (kept.data_dir / "secret-key").write_text("abc")
    entries = entries_of(backup)
    photos = {f"photos/{name}" for name in files_of(kept.photo_dir)}
    assert len(photos) == 8
    assert set(entries) == {"manifest.json", "ledger.sqlite"} | photos
    manifest = json.loads(entries["manifest.json"])
    assert manifest["format"] == 1
    assert manifest["rows"]["piece"] == 2
    assert manifest["cents"]["cost_line.amount_cents"] == 1250
    assert manifest["cents"]["purchase.price_cents"] == 4050 + 1999


def test_nothing_is_left_behind_but_the_file(backup: Path, kept: Settings) -> None:
    assert [path.name for path in backup.parent.iterdir() if path != kept.data_dir] == [backup.name]


def test_other_users_of_the_computer_cannot_read_a_backup(backup: Path) -> None:
    assert backup.stat().st_mode & 0o777 == 0o600


def test_two_backups_in_one_second_stand_side_by_side(kept: Settings, backup: Path, now: datetime) -> None:
    second = back_up(kept, backup.parent, now).path
    assert second.name == "tackcloth-20261125-153000-2.zip"
    assert entries_of(second) == entries_of(backup)


def test_a_backup_never_writes_over_a_file(kept: Settings, tmp_path: Path, now: datetime) -> None:
    target = tmp_path / "mine.zip"
    target.write_text("precious")
    with pytest.raises(RuleError, match="never writes over"):
        back_up(kept, target, now)
    assert target.read_text() == "precious"
    with pytest.raises(RuleError, match="There is no folder"):
        back_up(kept, tmp_path / "nowhere" / "mine.zip", now)


def test_a_shop_that_is_not_there_is_not_backed_up(tmp_path: Path, now: datetime) -> None:
    with pytest.raises(RuleError, match="There is no shop"):
        back_up(Settings(data_dir=tmp_path / "nothing"), tmp_path, now)
    assert list(tmp_path.iterdir()) == []


def test_a_ledger_in_another_database_is_not_ours_to_back_up_or_restore(
    kept: Settings, backup: Path, now: datetime
) -> None:
    elsewhere = Settings(data_dir=kept.data_dir, database_url="postgresql+psycopg://localhost/shop")
    for refused in (lambda: back_up(elsewhere, backup.parent, now), lambda: restore(elsewhere, backup, now)):
        with pytest.raises(RuleError, match="database of its own"):
            refused()


def test_an_open_shop_is_backed_up_without_what_is_only_half_saved(
    kept: Settings, tmp_path: Path, now: datetime
) -> None:
    ledger = opened(kept)
    with ledger.writing() as session:
        sign_in(session, name="phone", now=now)
        half_way = back_up(kept, tmp_path, now)
    whole = back_up(kept, tmp_path, now)
    ledger.close()
    rows = [json.loads(entries_of(sheet.path)["manifest.json"])["rows"] for sheet in (half_way, whole)]
    assert [row["signed_in_browser"] for row in rows] == [0, 1]


def test_photos_that_were_lost_before_are_counted_and_the_rest_is_backed_up(
    kept: Settings, tmp_path: Path, now: datetime
) -> None:
    lost, changed = sorted(kept.photo_dir.glob("*/*.original"))
    lost.unlink()
    changed.write_bytes(b"rot")
    assert back_up(kept, tmp_path, now).missing_photos == 2


def test_half_written_photos_are_left_out(kept: Settings, tmp_path: Path, now: datetime) -> None:
    photo = next(kept.photo_dir.glob("*/*.original"))
    photo.with_suffix(".1a2b3c4d.draft").write_bytes(b"half")
    assert not [name for name in entries_of(back_up(kept, tmp_path, now).path) if "draft" in name]


def test_a_damaged_ledger_gives_no_backup(kept: Settings, tmp_path: Path, now: datetime) -> None:
    with closing(sqlite3.connect(kept.ledger_file)) as connection:
        connection.execute("PRAGMA foreign_keys=OFF")
        connection.execute("UPDATE photo SET piece_id = 999")
        connection.commit()
    with pytest.raises(BadBackup, match="rows that point to nothing"):
        back_up(kept, tmp_path, now)
    assert list(tmp_path.glob("*.zip")) == []
    assert list(tmp_path.glob(".tackcloth*")) == []


def test_the_last_backup_is_noted(kept: Settings, tmp_path: Path, now: datetime) -> None:
    assert last_backup(kept) is None
    sheet = back_up(kept, tmp_path, now)
    note_backup(kept, sheet, "a stick")
    noted = last_backup(kept)
    assert noted is not None
    assert (noted.made_at, noted.place, noted.size_text) == (now, "a stick", sheet.size_text)
    (kept.data_dir / "last-backup.json").write_text("{")
    assert last_backup(kept) is None


def test_every_row_and_every_photo_comes_back(
    kept: Settings, backup: Path, another: Settings, tmp_path: Path, now: datetime
) -> None:
    wanted = shop_of(kept)
    for folder in (another.data_dir, tmp_path / "new computer"):
        settings = Settings(data_dir=folder)
        restore(settings, backup, now)
        assert shop_of(settings) == wanted


def test_what_stood_there_before_is_kept_whole(backup: Path, another: Settings, now: datetime) -> None:
    rows, photos = shop_of(another)
    kept_in = restore(another, backup, now)
    assert kept_in == another.kept_copies_dir / "20261125-153000-before-restore"
    assert shop_of(Settings(data_dir=kept_in)) == (rows, photos)
    again = restore(another, backup, now)
    assert again == another.kept_copies_dir / "20261125-153000-before-restore-2"
    assert shop_of(Settings(data_dir=kept_in)) == (rows, photos)
    assert [row.reason for row in kept_copies(another)] == ["before a restore"] * 2


def test_a_restore_into_an_empty_folder_keeps_nothing_aside(backup: Path, tmp_path: Path, now: datetime) -> None:
    assert restore(Settings(data_dir=tmp_path / "new"), backup, now) is None


def test_a_restore_leaves_nothing_half_made(backup: Path, another: Settings, now: datetime) -> None:
    restore(another, backup, now)
    names = {path.name for path in another.data_dir.iterdir()}
    assert names == {"in-use.lock", "kept-copies", "ledger.sqlite", "photos"}


def test_a_browser_signed_out_after_the_backup_does_not_come_back_with_it(
    kept: Settings, tmp_path: Path, now: datetime
) -> None:
    ledger = opened(kept)
    with ledger.writing() as session:
        set_passphrase(session, "copper kettle on the sill", now=now)
        token = sign_in(session, name="stolen phone", now=now)
    ledger.close()
    restore(kept, back_up(kept, tmp_path, now).path, now)
    ledger = opened(kept)
    with ledger.reading() as session:
        assert access.passphrase_is_set(session)
        assert access.browser_with_token(session, token, now) is None
    ledger.close()


def test_an_open_shop_is_not_restored_over(backup: Path, another: Settings, now: datetime) -> None:
    before = shop_of(another)
    with hold_folder(another.data_dir), pytest.raises(FolderInUse, match="Stop it there first"):
        restore(another, backup, now)
    assert shop_of(another) == before


def test_a_backup_of_an_older_layout_is_brought_up_to_date(
    kept: Settings, tmp_path: Path, another: Settings, now: datetime
) -> None:
    from alembic import command

    from app.database.migrate import alembic_config

    engine = make_engine(kept.url, foreign_keys=False)
    newest = formats.print_of(kept.ledger_file).layout
    with engine.begin() as connection:
        config = alembic_config(kept.url)
        config.attributes["connection"] = connection
        command.downgrade(config, "0008")
    engine.dispose()
    old = tmp_path / "old.zip"
    formats.write_backup(old, ledger=kept.ledger_file, photo_dir=kept.photo_dir, version="0.0.9", now=now)
    restore(another, old, now)
    assert formats.print_of(another.ledger_file).layout == newest
    assert formats.print_of(another.ledger_file).rows["piece"] == 2


def spoil_ledger(entries: Entries) -> None:
    body = entries["ledger.sqlite"]
    entries["ledger.sqlite"] = body[:4096] + b"\xff" * 100 + body[4196:]


def forge_ledger(entries: Entries) -> None:
    spoil_ledger(entries)
    told_again(entries)


def forge_photo_name(entries: Entries) -> None:
    entries["photos/../../escaped"] = b"x"
    told_again(entries)


def forge_counts(entries: Entries) -> None:
    told_again(entries, rows=json.loads(entries["manifest.json"])["rows"] | {"piece": 3})


def forge_sums(entries: Entries) -> None:
    told_again(entries, cents=json.loads(entries["manifest.json"])["cents"] | {"cost_line.amount_cents": 1})


def swap_photos(entries: Entries) -> None:
    one, two = sorted(name for name in entries if name.endswith(".original"))
    entries[one], entries[two] = entries[two], entries[one]


def drop(ending: str) -> Callable[[Entries], None]:
    def change(entries: Entries) -> None:
        del entries[next(name for name in entries if name.endswith(ending))]

    change.__name__ = f"drop {ending}"
    return change


def add(name: str) -> Callable[[Entries], None]:
    def change(entries: Entries) -> None:
        entries[name] = b"stowaway"

    change.__name__ = f"add {name}"
    return change


@pytest.mark.parametrize(
    "change",
    [
        spoil_ledger,
        forge_ledger,
        forge_photo_name,
        forge_counts,
        forge_sums,
        swap_photos,
        drop(".original"),
        drop("ledger.sqlite"),
        drop("manifest.json"),
        add("../escaped"),
        add("/etc/escaped"),
        add("..\\escaped"),
        add("photos/ab/../../../escaped"),
        add("secret-key"),
        add("photos/"),
    ],
    ids=lambda change: change.__name__,
)
def test_a_backup_that_was_changed_is_refused_and_the_shop_stays_as_it_was(
    change: Callable[[Entries], None], backup: Path, another: Settings, now: datetime
) -> None:
    spoilt = rewritten(backup, change)
    before = files_of(another.data_dir)
    with pytest.raises(BadBackup):
        restore(another, spoilt, now)
    after = files_of(another.data_dir)
    assert {name: body for name, body in after.items() if name != "in-use.lock"} == before
    assert not list(another.data_dir.parent.rglob("*escaped*"))


@pytest.mark.parametrize("kept_share", [0.0, 0.1, 0.5, 0.9, 0.999])
def test_a_backup_cut_short_is_refused_and_the_shop_stays_as_it_was(
    kept_share: float, backup: Path, another: Settings, now: datetime
) -> None:
    body = backup.read_bytes()
    backup.write_bytes(body[: int(len(body) * kept_share)])
    before = shop_of(another)
    with pytest.raises(BadBackup):
        restore(another, backup, now)
    assert shop_of(another) == before


def test_no_single_changed_byte_goes_unseen(backup: Path, tmp_path: Path, is_long: bool) -> None:  # noqa: FBT001
    """A byte is turned at many places; the file is refused, or unpacks to the very same content."""
    body, wanted = backup.read_bytes(), entries_of(backup)
    step = len(body) // (600 if is_long else 60)
    for place in range(0, len(body), step):
        turned = bytearray(body)
        turned[place] ^= 0x40
        backup.write_bytes(turned)
        folder = tmp_path / f"try-{place}"
        folder.mkdir()
        try:
            formats.unpack(backup, folder)
        except TackclothError:
            continue
        assert files_of(folder) == {name: content for name, content in wanted.items() if name != "manifest.json"}


def test_a_file_that_unpacks_to_more_than_it_says_is_stopped(backup: Path, tmp_path: Path) -> None:
    def grow(entries: Entries) -> None:
        entries["ledger.sqlite"] += bytes(1_000_000)

    with pytest.raises(BadBackup):
        formats.unpack(rewritten(backup, grow), tmp_path / "into")
    assert not (tmp_path / "into" / "ledger.sqlite").exists()


def test_a_link_in_a_backup_is_refused(backup: Path, another: Settings, now: datetime) -> None:
    linked = backup.with_name("linked.zip")
    entries = entries_of(backup)
    with zipfile.ZipFile(linked, "w") as archive:
        for name, body in entries.items():
            entry = zipfile.ZipInfo(name)
            entry.external_attr = (0o120777 if name.endswith(".original") else 0o100600) << 16
            archive.writestr(entry, body)
    with pytest.raises(BadBackup, match="does not belong"):
        restore(another, linked, now)


@pytest.mark.parametrize("body", [b"", b"PK", b"not a backup at all", b"\x00" * 5000])
def test_any_other_file_is_refused(body: bytes, another: Settings, now: datetime, tmp_path: Path) -> None:
    other = tmp_path / "letter.zip"
    other.write_bytes(body)
    with pytest.raises(BadBackup):
        restore(another, other, now)
    with pytest.raises(BadBackup, match="There is no file"):
        restore(another, tmp_path / "nothing.zip", now)


def test_a_ledger_from_a_newer_program_is_refused_and_the_shop_stays_as_it_was(
    kept: Settings, tmp_path: Path, another: Settings, now: datetime
) -> None:
    with closing(sqlite3.connect(kept.ledger_file)) as connection:
        connection.execute("UPDATE alembic_version SET version_num = '9999'")
        connection.commit()
    newer = back_up(kept, tmp_path, now).path
    before = shop_of(another)
    with pytest.raises(LedgerFromTheFuture, match="newer Tackcloth"):
        restore(another, newer, now)
    assert shop_of(another) == before


def test_an_interrupted_restore_is_completed_before_the_next_one(
    backup: Path, another: Settings, kept: Settings, now: datetime, monkeypatch: pytest.MonkeyPatch
) -> None:
    rename, calls = Path.rename, []

    def cut_off(self: Path, target: Path) -> Path:
        calls.append(self)
        if len(calls) == 3:
            raise KeyboardInterrupt
        return rename(self, target)

    with monkeypatch.context() as patched:
        patched.setattr(Path, "rename", cut_off)
        with pytest.raises(KeyboardInterrupt):
            restore(another, backup, now)
    second = restore(another, backup, now + timedelta(minutes=1))
    assert second is not None
    assert shop_of(another) == shop_of(kept) == shop_of(Settings(data_dir=second))
    assert len(kept_copies(another)) == 2
