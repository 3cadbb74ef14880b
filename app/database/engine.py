"""The engine: one connection recipe, so that no write is lost and no half-write is seen."""

import sqlite3
from typing import Any

from sqlalchemy import Engine, create_engine, event
from sqlalchemy.engine import Connection, make_url

# Write-ahead logging could corrupt a file with several connections before this version
# (sqlite.org/wal.html, "the WAL-reset bug"); below it the rollback journal is used.
SAFE_FOR_WAL = (3, 51, 3)
BUSY_SECONDS = 5.0


def make_engine(url: str, *, foreign_keys: bool = True) -> Engine:
    """An engine on `url`; SQLite gets our pragmas and `BEGIN IMMEDIATE` for every write.

    `foreign_keys=False` is for migrations alone: rebuilding a parent table with them on would take
    its children along.
    """
    if make_url(url).get_backend_name() != "sqlite":
        return create_engine(url)
    # The server's threads are the limit; a page that waited for another page's connection could wait for ever.
    engine = create_engine(url, connect_args={"timeout": BUSY_SECONDS}, max_overflow=-1)
    event.listen(engine, "connect", lambda raw, _record: _prepare(raw, foreign_keys=foreign_keys))
    event.listen(engine, "begin", _begin)
    return engine


def journal_pragmas(version: tuple[int, ...]) -> dict[str, str]:
    """Which journal and sync mode keep a committed row through a power cut on this SQLite version."""
    if version >= SAFE_FOR_WAL:
        return {"journal_mode": "wal", "synchronous": "FULL"}
    return {"journal_mode": "delete", "synchronous": "EXTRA"}


def _prepare(raw: Any, *, foreign_keys: bool) -> None:
    # The driver must not open transactions by itself: its own modes lose updates between a read and a write.
    raw.isolation_level = None
    cursor = raw.cursor()
    for pragma, value in journal_pragmas(sqlite3.sqlite_version_info).items():
        cursor.execute(f"PRAGMA {pragma}={value}")
    cursor.execute(f"PRAGMA foreign_keys={'ON' if foreign_keys else 'OFF'}")
    cursor.execute("PRAGMA trusted_schema=OFF")
    cursor.execute("PRAGMA cell_size_check=ON")
    cursor.close()


def _begin(connection: Connection) -> None:
    reads_only = connection.get_execution_options().get("read_only")
    connection.exec_driver_sql("BEGIN" if reads_only else "BEGIN IMMEDIATE")
