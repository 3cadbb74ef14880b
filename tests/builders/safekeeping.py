"""A shop worth keeping safe, and backups of it, whole or spoilt."""

import hashlib
import json
import sqlite3
import zipfile
from collections.abc import Callable
from contextlib import closing
from datetime import date
from pathlib import Path
from typing import Any

from app.basics.settings import Settings
from app.database.engine import make_engine
from app.database.unit_of_work import Ledger
from app.shop.actions import set_up_shop
from tests.builders.costs import a_cost
from tests.builders.photos import BLUE, RED, a_photo
from tests.builders.pieces import NOW, a_piece
from tests.conftest import SHOP

Rows = dict[str, list[tuple[Any, ...]]]
Entries = dict[str, bytes]


def a_kept_shop(data_dir: Path, title: str = "Oak chest") -> Settings:
    """Two pieces, a cost and two photos in a data folder that holds an empty ledger; the shop is closed."""
    settings = Settings(data_dir=data_dir)
    ledger = Ledger(make_engine(settings.url))
    with ledger.writing() as session:
        set_up_shop(session, SHOP, now=NOW)
        chest = a_piece(session, title=title, price_cents=4050)
        a_piece(session, title="Pine table", price_cents=1999, bought_on=date(2026, 10, 2))
        a_cost(session, chest.id, amount_cents=1250)
        for colour in (RED, BLUE):
            a_photo(session, settings.photo_dir, chest.id, colour=colour)
    ledger.close()
    return settings


def rows_of(ledger: Path) -> Rows:
    """Every row of every table."""
    with closing(sqlite3.connect(ledger)) as connection:
        tables = connection.execute("SELECT name FROM sqlite_master WHERE type = 'table' ORDER BY name").fetchall()
        return {table: sorted(connection.execute(f'SELECT * FROM "{table}"'), key=repr) for (table,) in tables}


def files_of(folder: Path) -> Entries:
    """Every file under a folder by its path in it, with its content."""
    found = sorted(path for path in folder.rglob("*") if path.is_file())
    return {path.relative_to(folder).as_posix(): path.read_bytes() for path in found}


def shop_of(settings: Settings) -> tuple[Rows, Entries]:
    """All that a backup must bring back: the rows of the ledger and the bytes of the photos."""
    return rows_of(settings.ledger_file), files_of(settings.photo_dir)


def entries_of(backup: Path) -> Entries:
    """What is in a backup."""
    with zipfile.ZipFile(backup) as archive:
        return {name: archive.read(name) for name in archive.namelist()}


def rewritten(backup: Path, change: Callable[[Entries], None]) -> Path:
    """A backup like another one but for a change to its entries."""
    entries = entries_of(backup)
    change(entries)
    target = backup.with_name(f"changed-{backup.name}")
    with zipfile.ZipFile(target, "w") as archive:
        for name, body in entries.items():
            archive.writestr(name, body)
    return target


def told_again(entries: Entries, **said: Any) -> None:
    """Make the table of contents agree with the entries as they are, as a forger would; `said` replaces parts."""
    manifest = json.loads(entries["manifest.json"])
    manifest["members"] = [
        {"name": name, "size": len(body), "sha256": hashlib.sha256(body).hexdigest()}
        for name, body in entries.items()
        if name != "manifest.json"
    ]
    entries["manifest.json"] = json.dumps(manifest | said).encode()
