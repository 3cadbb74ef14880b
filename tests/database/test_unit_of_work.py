"""Nothing is lost between a read and a write, nothing is half-written, and readers do not wait."""

import threading
from datetime import datetime
from pathlib import Path

import pytest
from sqlalchemy import text

from app.basics.errors import RuleError
from app.database.engine import journal_pragmas, make_engine
from app.database.once import earlier_submission, remember_submission
from app.database.unit_of_work import Ledger, LedgerBusy, LedgerClash, LedgerFull


def test_the_rollback_journal_is_used_below_the_version_that_made_write_ahead_safe() -> None:
    assert journal_pragmas((3, 51, 2)) == {"journal_mode": "delete", "synchronous": "EXTRA"}
    assert journal_pragmas((3, 51, 3)) == {"journal_mode": "wal", "synchronous": "FULL"}


def test_the_pragmas_are_in_force_on_every_connection(ledger: Ledger) -> None:
    with ledger.reading() as session:
        assert session.execute(text("PRAGMA foreign_keys")).scalar() == 1
        assert session.execute(text("PRAGMA trusted_schema")).scalar() == 0
        assert session.execute(text("PRAGMA synchronous")).scalar() in {2, 3}


def test_a_block_that_raises_leaves_nothing(ledger: Ledger, now: datetime) -> None:
    with pytest.raises(RuleError), ledger.writing() as session:
        remember_submission(session, token="a", fingerprint="f", location="/", now=now)
        raise RuleError("no")
    with ledger.reading() as session:
        assert earlier_submission(session, "a") is None


def test_eight_writers_lose_no_update(tmp_path: Path) -> None:
    shared = Ledger(make_engine(f"sqlite:///{tmp_path / 'count.sqlite'}"))
    with shared.writing() as session:
        session.execute(text("CREATE TABLE counter (n INTEGER)"))
        session.execute(text("INSERT INTO counter VALUES (0)"))

    def add() -> None:
        for _ in range(15):
            with shared.writing() as session:
                seen = session.execute(text("SELECT n FROM counter")).scalar_one()
                session.execute(text("UPDATE counter SET n = :n"), {"n": seen + 1})

    workers = [threading.Thread(target=add) for _ in range(8)]
    for worker in workers:
        worker.start()
    for worker in workers:
        worker.join()
    with shared.reading() as session:
        assert session.execute(text("SELECT n FROM counter")).scalar_one() == 120
    shared.close()


def test_a_reader_is_not_held_up_by_an_open_write(ledger: Ledger, now: datetime) -> None:
    with ledger.writing() as writer:
        remember_submission(writer, token="b", fingerprint="f", location="/", now=now)
        with ledger.reading() as reader:
            assert earlier_submission(reader, "b") is None


def test_a_ledger_held_by_another_says_busy_and_saves_nothing(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("app.database.engine.BUSY_SECONDS", 0.1)
    path = f"sqlite:///{tmp_path / 'busy.sqlite'}"
    first, second = Ledger(make_engine(path)), Ledger(make_engine(path))
    with first.writing() as holder:
        holder.execute(text("CREATE TABLE t (n INTEGER)"))
        with pytest.raises(LedgerBusy), second.writing() as late:
            late.execute(text("CREATE TABLE u (n INTEGER)"))
    first.close()
    second.close()


def test_a_full_disk_says_so_and_keeps_what_was_there(tmp_path: Path) -> None:
    small = Ledger(make_engine(f"sqlite:///{tmp_path / 'full.sqlite'}"))
    with small.writing() as session:
        session.execute(text("CREATE TABLE t (words TEXT)"))
        session.execute(text("INSERT INTO t VALUES ('kept')"))
    with pytest.raises(LedgerFull), small.writing() as session:
        session.execute(text("PRAGMA max_page_count=3"))
        session.execute(text("INSERT INTO t VALUES (:words)"), {"words": "x" * 100_000})
    with small.reading() as session:
        assert session.execute(text("SELECT words FROM t")).scalars().all() == ["kept"]
    small.close()


def test_a_clash_of_rows_is_told_in_plain_words(ledger: Ledger, now: datetime) -> None:
    with ledger.writing() as session:
        remember_submission(session, token="c", fingerprint="f", location="/", now=now)
    with pytest.raises(LedgerClash, match="same moment"), ledger.writing() as session:
        remember_submission(session, token="c", fingerprint="f", location="/", now=now)
