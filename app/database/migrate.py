"""Bring a ledger to the newest layout, keeping a copy of the file first."""

import sqlite3
from datetime import datetime
from pathlib import Path

from alembic import command
from alembic.config import Config
from alembic.runtime.migration import MigrationContext
from alembic.script import ScriptDirectory
from sqlalchemy import Engine

from app.basics.errors import TackclothError
from app.basics.files import sync_file, sync_folder
from app.database.engine import make_engine
from app.database.resources import shipped_folder


class LedgerFromTheFuture(TackclothError):
    """The ledger was written by a newer program than this one."""


def alembic_config(url: str) -> Config:
    """The Alembic configuration for the ledger at `url`, made without an ini file."""
    config = Config()
    config.set_main_option("script_location", str(shipped_folder("migrations")).replace("%", "%%"))
    config.set_main_option("path_separator", "os")
    config.set_main_option("sqlalchemy.url", url.replace("%", "%%"))
    return config


def present_revision(engine: Engine) -> str | None:
    """The layout number the ledger stands at, or None for an empty one."""
    with engine.connect() as connection:
        return MigrationContext.configure(connection).get_current_revision()


def upgrade(url: str, *, ledger_file: Path, copies_dir: Path, now: datetime) -> Path | None:
    """Upgrade the ledger at `url` to the newest layout; return the copy kept before, if one was made.

    Raises LedgerFromTheFuture when the ledger's layout is unknown to this program. Foreign keys are off
    while tables are rebuilt and checked afterwards; a ledger that fails the check is put back as it was.
    """
    engine = make_engine(url, foreign_keys=False)
    try:
        script = ScriptDirectory.from_config(alembic_config(url))
        present = present_revision(engine)
        if present == script.get_current_head():
            return None
        if present is not None and present not in {step.revision for step in script.walk_revisions()}:
            raise LedgerFromTheFuture(
                "This ledger was written by a newer Tackcloth. Install the newer version to open it."
            )
        copy = None
        if present is not None and ledger_file.exists():
            copy = keep_copy(ledger_file, copies_dir, f"before-upgrade-from-{present}", now)
        config = alembic_config(url)
        with engine.begin() as connection:
            config.attributes["connection"] = connection
            command.upgrade(config, "head")
            if connection.dialect.name == "sqlite":
                _require_sound_references(connection.exec_driver_sql("PRAGMA foreign_key_check").fetchall())
        return copy
    finally:
        engine.dispose()


def keep_copy(ledger_file: Path, copies_dir: Path, label: str, now: datetime) -> Path:
    """A consistent copy of a SQLite ledger, made by SQLite itself and flushed to the disk before it is named."""
    copies_dir.mkdir(parents=True, exist_ok=True)
    target = copies_dir / f"{now:%Y%m%d-%H%M%S}-{label}.sqlite"
    draft = target.with_suffix(".draft")
    draft.unlink(missing_ok=True)
    source = sqlite3.connect(ledger_file)
    try:
        destination = sqlite3.connect(draft)
        try:
            source.backup(destination)
        finally:
            destination.close()
    finally:
        source.close()
    sync_file(draft)
    draft.replace(target)
    sync_folder(copies_dir)
    return target


def _require_sound_references(broken: object) -> None:
    if broken:
        raise TackclothError("The upgrade left rows without their parents, so nothing was changed.")
