"""Migrations are numbered, reversible, agree with the models, and carry an older ledger over without loss."""

import re
import sqlite3
from collections.abc import Iterator, Sequence
from datetime import datetime
from pathlib import Path

import pytest
from alembic import command
from alembic.autogenerate import compare_metadata
from alembic.runtime.migration import MigrationContext
from alembic.script import ScriptDirectory
from sqlalchemy import CheckConstraint, Connection, Engine, inspect
from sqlalchemy.engine.interfaces import ReflectedColumn

from app.all_models import Base
from app.database.engine import make_engine
from app.database.migrate import LedgerFromTheFuture, alembic_config, present_revision, upgrade
from tests.conftest import NOW

Ledger = dict[str, list[dict[str, object]]]
VERSIONS = Path(__file__).resolve().parent.parent.parent / "migrations" / "versions"


@pytest.fixture
def engine(tmp_path: Path) -> Iterator[Engine]:
    found = make_engine(f"sqlite:///{tmp_path / 'ledger.sqlite'}", foreign_keys=False)
    yield found
    found.dispose()


def revisions() -> list[str]:
    return sorted(path.name[:4] for path in VERSIONS.glob("*.py"))


def run(engine: Engine, move: str, target: str) -> None:
    config = alembic_config(str(engine.url))
    with engine.begin() as connection:
        config.attributes["connection"] = connection
        getattr(command, move)(config, target)


def test_migrations_are_numbered_in_one_line() -> None:
    numbers = revisions()
    assert numbers == [f"{number:04d}" for number in range(1, len(numbers) + 1)]
    assert all(re.fullmatch(r"\d{4}_[a-z0-9_]+\.py", path.name) for path in VERSIONS.glob("*.py"))
    assert len(ScriptDirectory.from_config(alembic_config("sqlite://")).get_heads()) == 1


def test_the_newest_layout_is_what_the_models_say(engine: Engine) -> None:
    run(engine, "upgrade", "head")
    with engine.connect() as connection:
        context = MigrationContext.configure(connection, opts={"compare_type": True})
        assert compare_metadata(context, Base.metadata) == []
        # The comparison above does not look at checks.
        for table in Base.metadata.sorted_tables:
            told = {check["name"] for check in inspect(connection).get_check_constraints(table.name)}
            assert told == {one.name for one in table.constraints if isinstance(one, CheckConstraint)}, table.name


def test_every_step_goes_up_and_down_and_up_again_with_rows_in(engine: Engine) -> None:
    below: Ledger = {}
    for revision in revisions():
        run(engine, "upgrade", revision)
        put_rows_in_each(engine)
        present = list(all_rows(engine))
        run(engine, "downgrade", "-1")
        assert all_rows(engine) == below
        run(engine, "upgrade", revision)
        assert list(all_rows(engine)) == present
        require_kept(below, all_rows(engine))
        put_rows_in_each(engine)
        below = all_rows(engine)


@pytest.mark.parametrize("revision", revisions()[:-1])
def test_an_older_ledger_upgrades_without_loss_and_a_copy_is_kept(tmp_path: Path, revision: str) -> None:
    path = tmp_path / "ledger.sqlite"
    old = make_engine(f"sqlite:///{path}", foreign_keys=False)
    run(old, "upgrade", revision)
    put_rows_in_each(old)
    before = all_rows(old)
    assert all(before.values())
    old.dispose()

    copy = upgrade(f"sqlite:///{path}", ledger_file=path, copies_dir=tmp_path / "copies", now=NOW)

    new = make_engine(f"sqlite:///{path}")
    assert present_revision(new) == revisions()[-1]
    require_kept(before, all_rows(new))
    new.dispose()
    assert copy is not None
    kept = sqlite3.connect(copy)
    assert kept.execute("SELECT version_num FROM alembic_version").fetchone() == (revision,)
    kept.close()


def test_a_ledger_of_a_newer_program_is_left_alone(tmp_path: Path, now: datetime) -> None:
    path = tmp_path / "ledger.sqlite"
    upgrade(f"sqlite:///{path}", ledger_file=path, copies_dir=tmp_path / "copies", now=now)
    raw = sqlite3.connect(path)
    raw.execute("UPDATE alembic_version SET version_num = '9999'")
    raw.commit()
    raw.close()
    before = path.read_bytes()
    with pytest.raises(LedgerFromTheFuture):
        upgrade(f"sqlite:///{path}", ledger_file=path, copies_dir=tmp_path / "copies", now=now)
    assert path.read_bytes() == before


def all_rows(engine: Engine) -> Ledger:
    """Every row of every table of ours."""
    found = {}
    with engine.connect() as connection:
        for name in sorted(set(inspect(connection).get_table_names()) - {"alembic_version"}):
            found_rows = connection.exec_driver_sql(f'SELECT * FROM "{name}" ORDER BY 1').mappings().all()
            found[name] = [dict(row) for row in found_rows]
    return found


def require_kept(before: Ledger, after: Ledger) -> None:
    """No row and no value may be lost; columns and tables may have come."""
    for name, old_rows in before.items():
        for old_row, new_row in zip(old_rows, after[name], strict=True):
            assert old_row.items() <= new_row.items(), name


def put_rows_in_each(engine: Engine) -> None:
    """Two rows in each empty table (one where no more may stand), made from its columns alone.

    The first fills the columns that must be filled, the second all of them, so that a column lost on the way is
    missed. A table that comes later is covered without being named here.
    """
    with engine.begin() as connection:
        looked_at = inspect(connection)
        for table in looked_at.get_table_names():
            if table == "alembic_version" or connection.exec_driver_sql(f'SELECT 1 FROM "{table}"').first():
                continue
            all_columns = looked_at.get_columns(table)
            insert(connection, table, [column for column in all_columns if not column["nullable"]], 1)
            insert(connection, table, all_columns, 2)


def insert(connection: Connection, table: str, columns: Sequence[ReflectedColumn], number: int) -> None:
    names = ", ".join(f'"{column["name"]}"' for column in columns)
    marks = ", ".join("?" for _ in columns)
    values = tuple(sample(column["name"], str(column["type"]), number) for column in columns)
    only_one = "" if number == 1 else "OR IGNORE "
    connection.exec_driver_sql(f'INSERT {only_one}INTO "{table}" ({names}) VALUES ({marks})', values)


def sample(name: str, kind: str, number: int) -> object:
    """A value that the column's type and the checks of our tables accept."""
    if kind.startswith(("VARCHAR", "TEXT")):
        return f"word {number}"
    if kind.startswith("DATETIME"):
        return "2026-01-02 03:04:05.000000"
    if kind.startswith("DATE"):
        return "2026-01-02"
    if name in {"from_piece_id", "to_piece_id"}:
        return 1 if name == "from_piece_id" else 2
    return number
