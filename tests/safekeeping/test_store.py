"""The data folder held by one run, and exchanged for another whatever happens in between."""

import errno
import os
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path

import pytest

from app.basics.errors import TackclothError
from app.safekeeping import store
from app.safekeeping.rules import FolderInUse
from app.safekeeping.store import Exchange, finish_exchange, hold_folder, is_exchange_underway
from tests.builders.safekeeping import files_of

OLD = {"ledger.sqlite": b"old ledger", "ledger.sqlite-journal": b"old journal", "photos/ab/old.original": b"old photo"}
NEW = {"ledger.sqlite": b"new ledger", "photos/cd/new.original": b"new photo"}
RENAMES = 5


class PowerCut(BaseException):
    """The machine stops here."""


def lay_out(folder: Path, files: dict[str, bytes]) -> None:
    for name, body in files.items():
        (folder / name).parent.mkdir(parents=True, exist_ok=True)
        (folder / name).write_bytes(body)


@pytest.fixture
def exchange(tmp_path: Path) -> Exchange:
    data_dir = tmp_path / "shop"
    staged, kept = data_dir / "restoring-x", data_dir / "kept-copies" / "before"
    lay_out(data_dir, OLD)
    lay_out(staged, NEW)
    return Exchange(data_dir, staged, kept)


def placed(exchange: Exchange) -> dict[str, bytes]:
    found = files_of(exchange.data_dir)
    return {name: body for name, body in found.items() if not name.startswith(("kept-copies/", "restoring-"))}


def stop_at(monkeypatch: pytest.MonkeyPatch, number: int, trouble: Callable[[], BaseException]) -> None:
    """Let the disk refuse the rename of that number, counted from nought, among those of whole shops."""
    rename = Path.rename
    done: list[Path] = []

    def counted(self: Path, target: Path) -> Path:
        if len(done) == number:
            done.append(self)
            raise trouble()
        done.append(self)
        return rename(self, target)

    monkeypatch.setattr(Path, "rename", counted)


def test_an_exchange_puts_the_new_shop_in_place_and_keeps_the_old_one_whole(exchange: Exchange) -> None:
    exchange.carry_out()
    assert placed(exchange) == NEW
    assert files_of(exchange.kept) == OLD
    assert not is_exchange_underway(exchange.data_dir)


def test_an_empty_folder_takes_the_new_shop_and_keeps_nothing(tmp_path: Path) -> None:
    staged = tmp_path / "restoring-x"
    lay_out(staged, NEW)
    exchange = Exchange(tmp_path, staged, tmp_path / "kept-copies" / "before")
    exchange.carry_out()
    assert placed(exchange) == NEW
    assert not exchange.kept.exists()


@pytest.mark.parametrize("number", range(RENAMES))
def test_after_a_power_cut_at_any_moment_the_next_start_completes_it(
    exchange: Exchange, monkeypatch: pytest.MonkeyPatch, number: int
) -> None:
    with monkeypatch.context() as patched:
        stop_at(patched, number, PowerCut)
        with pytest.raises(PowerCut):
            exchange.carry_out()
    assert is_exchange_underway(exchange.data_dir)
    assert finish_exchange(exchange.data_dir)
    assert placed(exchange) == NEW
    assert files_of(exchange.kept) == OLD
    assert not finish_exchange(exchange.data_dir)


@pytest.mark.parametrize("number", range(RENAMES))
def test_when_the_disk_refuses_at_any_moment_the_old_shop_stands_as_it_was(
    exchange: Exchange, monkeypatch: pytest.MonkeyPatch, number: int
) -> None:
    with monkeypatch.context() as patched:
        stop_at(patched, number, lambda: PermissionError(13, "not allowed"))
        with pytest.raises(PermissionError):
            exchange.carry_out()
    assert placed(exchange) == OLD
    assert files_of(exchange.staged) == NEW
    assert not exchange.kept.exists()
    assert not is_exchange_underway(exchange.data_dir)


def test_an_exchange_takes_as_many_renames_as_these_tests_stop_it_at(
    exchange: Exchange, monkeypatch: pytest.MonkeyPatch
) -> None:
    stop_at(monkeypatch, RENAMES, PowerCut)
    exchange.carry_out()
    assert placed(exchange) == NEW


def test_a_ledger_that_was_begun_between_power_cut_and_completion_is_kept_too(
    exchange: Exchange, monkeypatch: pytest.MonkeyPatch
) -> None:
    with monkeypatch.context() as patched:
        stop_at(patched, 2, PowerCut)
        with pytest.raises(PowerCut):
            exchange.carry_out()
    (exchange.data_dir / "ledger.sqlite").write_bytes(b"begun in between")
    finish_exchange(exchange.data_dir)
    assert placed(exchange) == NEW
    assert sorted(files_of(exchange.kept).values()) == sorted([*OLD.values(), b"begun in between"])


def test_a_folder_is_held_by_one_run_at_a_time(tmp_path: Path) -> None:
    with hold_folder(tmp_path):
        store.say_where_open(tmp_path, "http://127.0.0.1:8427/")
        with pytest.raises(FolderInUse) as refusal, hold_folder(tmp_path):
            pass
        assert refusal.value.url == "http://127.0.0.1:8427/"
    with hold_folder(tmp_path):
        assert store.where_open(tmp_path) is None


def test_a_folder_held_by_a_run_that_was_killed_is_free_again(tmp_path: Path) -> None:
    held = (
        "import pathlib, sys, time; from app.safekeeping.store import hold_folder\n"
        "with hold_folder(pathlib.Path(sys.argv[1])): print('held', flush=True); time.sleep(60)"
    )
    run = subprocess.Popen([sys.executable, "-c", held, str(tmp_path)], stdout=subprocess.PIPE)
    with run:
        assert run.stdout is not None
        assert run.stdout.readline() == b"held\n"
        with pytest.raises(FolderInUse), hold_folder(tmp_path):
            pass
        run.kill()
        run.wait()
    with hold_folder(tmp_path):
        pass


def test_a_full_disk_keeps_nobody_from_opening_the_shop(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    def full(_descriptor: int) -> None:
        raise OSError(errno.ENOSPC, "no space left")

    monkeypatch.setattr(os, "fsync", full)
    with hold_folder(tmp_path):
        store.say_where_open(tmp_path, "http://127.0.0.1:8427/")
        assert store.where_open(tmp_path) is None


def test_half_made_files_of_an_earlier_run_are_cleared_away_and_nothing_else(tmp_path: Path) -> None:
    lay_out(tmp_path, {"drafts/x.zip": b"", "restoring-a/photos/x": b"", "ledger.sqlite": b"", "photos/ab/x": b""})
    store.clear_drafts(tmp_path)
    assert set(files_of(tmp_path)) == {"ledger.sqlite", "photos/ab/x"}


def test_a_disk_without_room_is_told_before_anything_is_written(tmp_path: Path) -> None:
    store.require_room(tmp_path, 1)
    with pytest.raises(TackclothError, match="too little room"):
        store.require_room(tmp_path, 10**18)


def test_a_name_that_is_taken_gets_a_number(tmp_path: Path) -> None:
    (tmp_path / "a.zip").touch()
    (tmp_path / "a-2.zip").touch()
    assert store.free_name(tmp_path, "a", ".zip").name == "a-3.zip"
    assert store.free_name(tmp_path, "b").name == "b"
