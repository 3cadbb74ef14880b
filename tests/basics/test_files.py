"""A file is written whole or not at all."""

import errno
import os
from pathlib import Path

import pytest

from app.basics.files import OWNER_ALONE, sync_file, sync_folder, write_whole


def test_a_file_is_written_and_written_over_whole(tmp_path: Path) -> None:
    path = tmp_path / "word.json"
    write_whole(path, b"first, and longer")
    write_whole(path, b"second")
    assert path.read_bytes() == b"second"
    assert list(tmp_path.iterdir()) == [path]


def test_when_the_disk_is_full_the_old_file_stays_and_no_draft_is_left(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    path = tmp_path / "word.json"
    write_whole(path, b"first")

    def full(_descriptor: int) -> None:
        raise OSError(errno.ENOSPC, "no space left")

    with monkeypatch.context() as patched:
        patched.setattr(os, "fsync", full)
        with pytest.raises(OSError, match="no space left"):
            write_whole(path, b"second")
    assert path.read_bytes() == b"first"
    assert list(tmp_path.iterdir()) == [path]


def test_a_file_for_its_owner_alone_is_never_open_to_others(tmp_path: Path) -> None:
    write_whole(tmp_path / "key", b"secret", mode=OWNER_ALONE)
    assert (tmp_path / "key").stat().st_mode & 0o077 == 0


def test_files_and_folders_are_flushed_as_they_are(tmp_path: Path) -> None:
    path = tmp_path / "word.json"
    path.write_bytes(b"kept")
    sync_file(path)
    sync_folder(tmp_path)
    assert path.read_bytes() == b"kept"
