"""A server killed in the middle of a save leaves the save whole or not at all, and nothing it acknowledged is lost."""

import os
import random
import shutil
import signal
import sqlite3
import threading
import time
from contextlib import closing
from dataclasses import dataclass, field
from datetime import UTC, datetime
from http.client import HTTPConnection, HTTPException
from pathlib import Path
from urllib.parse import urlencode
from uuid import UUID

from app.basics.dates import local_day
from app.database.engine import journal_pragmas, make_engine
from app.database.unit_of_work import Ledger
from app.pieces.actions import add_source
from app.reports.queries import prove_ledger
from app.shop.actions import set_up_shop
from tests.conftest import SHOP
from tests.examining_client import Page
from tests.live import PATIENCE_SECONDS, free_port, start_loaded_server

KILLS = 30
LONGEST_WAIT_IN_SAVES = 4
STARTED = datetime(2024, 1, 2, tzinfo=UTC)
# Each find logged here leaves one row in each of these, or none in any.
ROWS_OF_A_FIND = ("piece", "purchase", "step", "submission")


@dataclass
class Told:
    """What the servers told before they were killed, and how often they were killed in the middle of a save."""

    tags: list[str] = field(default_factory=list)
    kills_in_a_save: int = 0
    cut_transactions: int = 0


def test_thirty_kills_lose_nothing_and_leave_nothing_half_written(tmp_path: Path, migrated_file: Path) -> None:
    folder = tmp_path / "shop"
    folder.mkdir()
    shutil.copy(migrated_file, folder / "ledger.sqlite")
    source_id = set_up(folder)
    moments = random.Random(20261125)  # noqa: S311 - moments of a test, not secrets
    told = Told()
    for _ in range(KILLS):
        log_finds_until_killed(folder, source_id, told, moments)
        told.cut_transactions += has_open_journal(folder)
        require_whole(folder, told)
    assert len(told.tags) >= KILLS
    assert told.kills_in_a_save >= KILLS // 2, told
    if journal_pragmas(sqlite3.sqlite_version_info)["journal_mode"] == "delete":
        assert told.cut_transactions, "no kill cut a transaction in two"
    print(f"{KILLS} kills: {told.kills_in_a_save} in a save, {told.cut_transactions} in a transaction")  # noqa: T201


def set_up(folder: Path) -> int:
    ledger = Ledger(make_engine(f"sqlite:///{folder / 'ledger.sqlite'}"))
    with ledger.writing() as session:
        set_up_shop(session, SHOP, now=STARTED)
        source_id = add_source(session, "estate sale", is_free=False).id
    ledger.close()
    return source_id


def log_finds_until_killed(folder: Path, source_id: int, told: Told, moments: random.Random) -> None:
    """Log finds one after another while another thread kills the server at a moment by chance."""
    port = free_port()
    server = start_loaded_server(folder, port)
    assert server.pid is not None
    counter = Counter(port, {"form": "chair", "paid": "12.50", "source": str(source_id), "title": "kitchen chair"})
    before = time.monotonic()
    told.tags.append(counter.log_find(moments))
    one_save = time.monotonic() - before
    moment = moments.random() * LONGEST_WAIT_IN_SAVES * one_save
    killer = threading.Timer(moment, os.kill, (server.pid, signal.SIGKILL))
    killer.start()
    try:
        while True:
            told.tags.append(counter.log_find(moments))
    except (OSError, HTTPException):
        told.kills_in_a_save += counter.is_saving
    finally:
        killer.join()
        server.join(PATIENCE_SECONDS)
    assert server.exitcode == -signal.SIGKILL


class Counter:
    """A browser with the page for logging a find open, which sends its form again and again, each time as a new one."""

    def __init__(self, port: int, fields: dict[str, str]) -> None:
        self.port = port
        self.is_saving = False
        with closing(HTTPConnection("127.0.0.1", port, timeout=PATIENCE_SECONDS)) as line:
            line.request("GET", "/find")
            answer = line.getresponse()
            self.cookie = str(answer.headers["Set-Cookie"]).partition(";")[0]
            filled = next(form["filled"] for form in Page(answer.read().decode()).forms if form["action"] == "/find")
        self.fields = {**filled, **fields}

    def log_find(self, chance: random.Random) -> str:
        """Send the form; give the tag number that was acknowledged."""
        body = urlencode({**self.fields, "submit_token": str(UUID(int=chance.getrandbits(128)))})
        kind = "application/x-www-form-urlencoded"
        headers = {"Origin": f"http://127.0.0.1:{self.port}", "Cookie": self.cookie, "Content-Type": kind}
        with closing(HTTPConnection("127.0.0.1", self.port, timeout=PATIENCE_SECONDS)) as line:
            line.connect()
            self.is_saving = True
            line.request("POST", "/find", body, headers)
            answer = line.getresponse()
            self.is_saving = False
            assert answer.status == 303, answer.read().decode()
            return str(answer.headers["Location"]).rsplit("/", 1)[-1].partition("?")[0]


def has_open_journal(folder: Path) -> bool:
    """Whether a transaction was cut in two: its rollback journal is still there."""
    journal = folder / "ledger.sqlite-journal"
    return journal.exists() and journal.stat().st_size > 0


def require_whole(folder: Path, told: Told) -> None:
    with closing(sqlite3.connect(folder / "ledger.sqlite")) as raw:
        assert raw.execute("PRAGMA integrity_check").fetchone() == ("ok",)
        assert raw.execute("PRAGMA foreign_key_check").fetchall() == []
        tags = {tag for (tag,) in raw.execute("SELECT tag FROM piece")}
        counts = {name: raw.execute(f"SELECT count(*) FROM {name}").fetchone()[0] for name in ROWS_OF_A_FIND}
    assert set(told.tags) <= tags
    assert set(counts.values()) == {len(tags)}, counts
    ledger = Ledger(make_engine(f"sqlite:///{folder / 'ledger.sqlite'}"))
    with ledger.reading() as session:
        moment = datetime.now(UTC)  # noqa: TID251 - the server under test lives in real time
        findings = prove_ledger(session, local_day(moment, SHOP.time_zone))
    ledger.close()
    assert [finding for finding in findings if not finding.holds] == []
