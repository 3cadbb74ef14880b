"""What a backup's table of contents may say, and when a backup is due."""

import json
from datetime import UTC, datetime, timedelta
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from app.safekeeping.rules import (
    BadBackup,
    FolderInUse,
    LedgerPrint,
    Manifest,
    Member,
    file_name,
    is_due,
    is_photo_name,
    read_manifest,
    size_in_words,
    write_manifest,
)

T = datetime(2026, 11, 25, 15, 30, 9, tzinfo=UTC)
HASH = "ab" * 32
PHOTO = f"photos/ab/{HASH}.original"
MANIFEST = Manifest(
    made_at=T,
    version="0.1.0",
    ledger=LedgerPrint("0009", {"piece": 2, "photo": 1}, {"cost_line.amount_cents": -1250}),
    members=(Member("ledger.sqlite", 4096, "0" * 64), Member(PHOTO, 10, HASH)),
)


def changed(**said: Any) -> str:
    return json.dumps(json.loads(write_manifest(MANIFEST)) | said)


def test_a_table_of_contents_reads_back_as_it_was_written() -> None:
    assert read_manifest(write_manifest(MANIFEST)) == MANIFEST


names = st.integers(0, 2**256 - 1).map(lambda n: f"{n:064x}").map(lambda h: f"photos/{h[:2]}/{h}.small.webp")


@given(st.lists(names, unique=True, max_size=5), st.integers(0, 2**40), st.dictionaries(st.text(), st.integers()))
def test_any_shop_reads_back_as_it_was_written(photos: list[str], size: int, numbers: dict[str, int]) -> None:
    members = (Member("ledger.sqlite", size, HASH), *(Member(name, size, HASH) for name in photos))
    manifest = Manifest(T, "1", LedgerPrint("0001", numbers, numbers), members)
    assert read_manifest(write_manifest(manifest)) == manifest


def test_it_counts_pieces_photos_and_bytes() -> None:
    assert (MANIFEST.pieces, MANIFEST.photos, MANIFEST.size) == (2, 1, 4106)


@pytest.mark.parametrize(
    "text",
    ["", "{", "[]", "null", "7", '"text"', "{}", changed(program="Another"), "[" * 100_000, '{"program": "Tackcloth"}'],
)
def test_what_is_no_table_of_contents_is_refused(text: str) -> None:
    with pytest.raises(BadBackup):
        read_manifest(text)


@pytest.mark.parametrize(
    "said",
    [
        {"made_at": "yesterday"},
        {"made_at": "2026-11-25T15:30:00"},
        {"rows": {"piece": "2"}},
        {"rows": {"piece": True}},
        {"rows": []},
        {"cents": {"cost_line.amount_cents": 12.5}},
        {"members": None},
        {"members": [{"name": "ledger.sqlite"}]},
        {"members": []},
    ],
)
def test_a_table_of_contents_with_a_part_of_the_wrong_kind_is_refused(said: dict[str, Any]) -> None:
    with pytest.raises(BadBackup):
        read_manifest(changed(**said))


def test_a_backup_from_a_newer_program_says_so() -> None:
    with pytest.raises(BadBackup, match="newer Tackcloth"):
        read_manifest(changed(format=2))


@pytest.mark.parametrize(
    "members",
    [
        [("ledger.sqlite", 1, HASH), ("ledger.sqlite", 1, HASH)],
        [("ledger.sqlite", -1, HASH)],
        [("ledger.sqlite", 1, "ab")],
        [("ledger.sqlite", 1, HASH.upper())],
        [(PHOTO, 1, HASH)],
        [("ledger.sqlite", 1, HASH), ("../ledger.sqlite", 1, HASH)],
        [("ledger.sqlite", 1, HASH), ("secret-key", 1, HASH)],
        [("ledger.sqlite", 1, HASH), ("manifest.json", 1, HASH)],
    ],
)
def test_members_that_do_not_belong_in_a_backup_are_refused(members: list[tuple[str, int, str]]) -> None:
    listed = [{"name": name, "size": size, "sha256": sha256} for name, size, sha256 in members]
    with pytest.raises(BadBackup):
        read_manifest(changed(members=listed))


@pytest.mark.parametrize("ending", ["original", "small.webp", "large.webp"])
def test_names_of_stored_photos_are_known(ending: str) -> None:
    assert is_photo_name(f"photos/ab/{HASH}.{ending}")


@pytest.mark.parametrize(
    "name",
    [
        f"photos/../{HASH}.original",
        f"/photos/ab/{HASH}.original",
        f"photos/ab/../../{HASH}.original",
        f"photos\\ab\\{HASH}.original",
        f"photos/ab/{HASH}.original\n",
        f"photos/ab/{HASH}",
        f"photos/ab/{HASH}.9f3c.draft",
        f"photos/ab/{HASH}.original/",
        f"C:photos/ab/{HASH}.original",
        "photos/ab/",
        "",
    ],
)
def test_names_that_lead_elsewhere_are_not(name: str) -> None:
    assert not is_photo_name(name)


def test_backups_are_named_by_their_moment_so_that_names_sort_by_age() -> None:
    assert file_name(T) == "tackcloth-20261125-153009.zip"
    later = T.astimezone(UTC) + timedelta(seconds=1)
    assert file_name(T) < file_name(later)


def test_a_backup_is_due_after_a_week_or_when_there_is_none() -> None:
    assert is_due(None, T)
    assert not is_due(T, T + timedelta(days=7) - timedelta(seconds=1))
    assert is_due(T, T + timedelta(days=7))


@pytest.mark.parametrize(
    ("size", "words"),
    [
        (0, "0 bytes"),
        (1, "1 byte"),
        (999, "999 bytes"),
        (1000, "1.0 kB"),
        (1_250_000, "1.2 MB"),
        (999_949, "999.9 kB"),
        (999_950, "1.0 MB"),
        (3_210_000_000, "3.2 GB"),
        (5_000_000_000_000_000, "5000.0 TB"),
    ],
)
def test_sizes_are_told_in_words(size: int, words: str) -> None:
    assert size_in_words(size) == words


def test_a_shop_that_is_open_is_named_with_its_address() -> None:
    assert "at http://127.0.0.1:8427/" in FolderInUse("http://127.0.0.1:8427/").message
    assert FolderInUse(None).message.startswith("The shop is open already.")
