"""The commands that do one thing and end: backup, restore, check, passphrase, reset-tries."""

import sqlite3
from contextlib import closing
from datetime import datetime
from pathlib import Path

import pytest
from click.testing import CliRunner, Result

from app.access.actions import count_try, is_match
from app.access.queries import open_browsers, passphrase_hash
from app.basics.settings import Settings
from app.cli import main
from app.database.engine import make_engine
from app.database.unit_of_work import Ledger
from tests.builders.safekeeping import a_kept_shop, shop_of
from tests.cli.conftest import run_once

GOOD = "copper kettle on the sill"


@pytest.fixture
def kept(data_dir: Path, now: datetime) -> Settings:  # noqa: ARG001 - the clock stands still for the commands too
    return a_kept_shop(data_dir)


def run(settings: Settings, *words: str, typed: str = "") -> Result:
    return CliRunner().invoke(main, ["--data", str(settings.data_dir), *words], input=typed)


def test_help_names_every_command() -> None:
    done = run_once("--help")
    assert done.returncode == 0
    for name in ("open", "share", "demo", "backup", "restore", "check", "passphrase", "reset-tries"):
        assert f"\n  {name} " in done.stdout
    assert not [line for line in done.stdout.splitlines() if line.startswith("  ") and line.endswith("...")]
    assert CliRunner().invoke(main, ["--version"]).stdout.startswith("Tackcloth ")


def test_a_backup_goes_into_the_folder_or_file_named(kept: Settings, tmp_path: Path) -> None:
    folder = tmp_path / "stick"
    folder.mkdir()
    done = run(kept, "backup", str(folder))
    assert (done.exit_code, done.stderr) == (0, "")
    assert "2 pieces and 2 photos" in done.stdout
    assert [path.name for path in folder.iterdir()] == ["tackcloth-20261125-153000.zip"]
    assert run(kept, "backup", str(tmp_path / "mine.zip")).exit_code == 0
    assert (tmp_path / "mine.zip").exists()


def test_a_backup_lands_here_when_no_place_is_named(
    kept: Settings, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(tmp_path)
    assert run(kept, "backup").exit_code == 0
    assert list(tmp_path.glob("tackcloth-*.zip"))


def test_photos_that_could_not_be_backed_up_are_told(kept: Settings, tmp_path: Path) -> None:
    next(kept.photo_dir.glob("*/*.original")).unlink()
    done = run(kept, "backup", str(tmp_path))
    assert done.exit_code == 0
    assert done.stderr.startswith("1 of the photos the ledger shows could not be backed up")


def test_a_restore_asks_first_and_brings_everything_back(kept: Settings, tmp_path: Path) -> None:
    wanted = shop_of(kept)
    backup = str(tmp_path / "mine.zip")
    run(kept, "backup", backup)
    fresh = Settings(data_dir=tmp_path / "fresh")
    refused = run(fresh, "restore", backup, typed="n\n")
    assert (refused.exit_code, refused.stderr) == (2, "Stopped. Nothing was changed.\n")
    assert "holds 2 pieces and 2 photos" in refused.stdout
    assert not fresh.data_dir.exists()
    assert run(fresh, "restore", backup, typed="y\n").exit_code == 0
    assert shop_of(fresh) == wanted


def test_a_restore_says_where_the_shop_before_it_is_kept(kept: Settings, tmp_path: Path) -> None:
    backup = str(tmp_path / "mine.zip")
    run(kept, "backup", backup)
    done = run(kept, "restore", backup, "--yes")
    assert done.exit_code == 0
    assert "20261125-153000-before-restore" in done.stdout


def test_a_restore_from_what_is_no_backup_changes_nothing(kept: Settings, tmp_path: Path) -> None:
    letter = tmp_path / "letter.zip"
    letter.write_text("dear")
    before = shop_of(kept)
    for file in (letter, tmp_path / "nothing.zip", tmp_path):
        done = run(kept, "restore", str(file), "--yes")
        assert done.exit_code == 2
        assert done.stdout == ""
        assert len(done.stderr.splitlines()) == 1
    assert shop_of(kept) == before


def test_check_proves_every_identity_and_shows_both_sides(kept: Settings) -> None:
    done = run(kept, "check")
    assert (done.exit_code, done.stderr) == (0, "")
    lines = done.stdout.splitlines()
    assert "holds   Stock at cost, November 2026: 72.99 = 72.99" in lines
    assert "holds   The ledger file itself is sound." in lines
    held = sum(line.startswith("holds ") for line in lines) - 1
    assert lines[-2] == f"{held} of {held} hold."


def test_check_ends_with_one_when_the_books_do_not_hold(kept: Settings) -> None:
    with closing(sqlite3.connect(kept.ledger_file)) as connection:
        connection.execute("UPDATE piece SET stage = 'finished' WHERE id = 1")
        connection.commit()
    done = run(kept, "check")
    assert done.exit_code == 1
    assert "BROKEN" in done.stdout


def test_check_ends_with_one_when_the_file_is_damaged(kept: Settings) -> None:
    with closing(sqlite3.connect(kept.ledger_file)) as connection:
        connection.execute("PRAGMA foreign_keys=OFF")
        connection.execute("UPDATE photo SET piece_id = 999")
        connection.commit()
    done = run(kept, "check")
    assert done.exit_code == 1
    assert "The ledger file itself is damaged" in done.stdout


def test_check_on_a_shop_never_set_up_says_so(data_dir: Path, now: datetime) -> None:  # noqa: ARG001
    done = run(Settings(data_dir=data_dir), "check")
    assert (done.exit_code, done.stderr) == (2, "This shop was never set up, so there is nothing to prove.\n")


def test_a_passphrase_is_asked_for_twice_and_never_shown(kept: Settings) -> None:
    done = run(kept, "passphrase", typed=f"{GOOD}\n{GOOD}\n")
    assert done.exit_code == 0
    assert GOOD not in done.output
    ledger = Ledger(make_engine(kept.url))
    with ledger.reading() as session:
        stored = passphrase_hash(session)
    ledger.close()
    assert stored is not None
    assert is_match(stored, GOOD)


@pytest.mark.parametrize("poor", ["short", "Bent Nail Workshop", "aaaaaaaaaaaaaaaa"])
def test_a_poor_passphrase_is_refused_in_one_sentence(kept: Settings, poor: str) -> None:
    done = run(kept, "passphrase", typed=f"{poor}\n{poor}\n")
    assert done.exit_code == 2
    assert done.stderr.count("\n") <= 3
    assert poor not in done.output.split("Workshop")[0] or poor == "short"
    ledger = Ledger(make_engine(kept.url))
    with ledger.reading() as session:
        assert passphrase_hash(session) is None
        assert open_browsers(session, datetime.fromisoformat("2026-11-25T15:30:00+00:00")) == []
    ledger.close()


def test_wrong_tries_are_reset(kept: Settings, now: datetime) -> None:
    run(kept, "passphrase", typed=f"{GOOD}\n{GOOD}\n")
    ledger = Ledger(make_engine(kept.url))
    for _ in range(5):
        with ledger.writing() as session:
            count_try(session, "192.168.1.20", now=now)
    assert run(kept, "reset-tries").stdout == "Forgotten: 5 wrong tries.\n"
    with ledger.writing() as session:
        count_try(session, "192.168.1.20", now=now)
    ledger.close()
    assert run(kept, "reset-tries").stdout == "Forgotten: 1 wrong try.\n"


@pytest.mark.parametrize("words", [["backup"], ["check"], ["reset-tries"]], ids=lambda words: words[0])
def test_a_folder_without_a_shop_is_told_and_none_is_begun(tmp_path: Path, words: list[str]) -> None:
    folder = tmp_path / "nothing"
    done = run(Settings(data_dir=folder), *words)
    assert done.exit_code == 2
    assert done.stderr.startswith(f"There is no shop in {folder} yet.")
    assert not folder.exists()


def test_trouble_is_told_in_one_line_without_a_trace(kept: Settings, tmp_path: Path) -> None:
    (kept.data_dir / "settings.toml").write_text("port = 'much'")
    assert run(kept, "check").stderr == "The port must be a whole number from 1 to 65535, not much\n"
    (kept.data_dir / "settings.toml").unlink()
    kept.ledger_file.write_bytes(b"this is no database at all, but long enough to be looked at" * 40)
    spoilt = run_once("--data", str(kept.data_dir), "check")
    taken = tmp_path / "a file"
    taken.touch()
    refused = run_once("--data", str(taken), "open", "--no-browser")
    assert refused.stderr == f"The system refused: File exists: {taken}\n"
    for done in (spoilt, refused):
        assert done.returncode == 2
        assert "Traceback" not in done.stderr
        assert len(done.stderr.splitlines()) == 1
