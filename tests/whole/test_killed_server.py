"""A server killed in the middle of a save leaves the save whole or not at all, and nothing it acknowledged is lost."""

import os
import random
import shutil
import signal
import sqlite3
import threading
import urllib.error
from datetime import UTC, datetime
from http.client import HTTPException
from pathlib import Path

from app.basics.dates import local_day
from app.database.engine import make_engine
from app.database.unit_of_work import Ledger
from app.pieces.actions import add_source
from app.reports.queries import prove_ledger
from app.shop.actions import set_up_shop
from tests.conftest import SHOP
from tests.live import LiveShop, PlainBrowser, start_server

KILLS = 30
LONGEST_WAIT_SECONDS = 0.3
STARTED = datetime(2024, 1, 2, tzinfo=UTC)


def test_thirty_kills_lose_nothing_and_leave_nothing_half_written(tmp_path: Path, migrated_file: Path) -> None:
    folder = tmp_path / "shop"
    folder.mkdir()
    shutil.copy(migrated_file, folder / "ledger.sqlite")
    source_id = set_up(folder)
    moments = random.Random(20261125)  # noqa: S311 - moments of a test, not secrets
    acknowledged: list[str] = []
    cut_off = 0
    for _ in range(KILLS):
        cut_off += log_finds_until_killed(start_server(folder), source_id, acknowledged, moments.random())
        require_whole(folder, acknowledged)
    assert cut_off >= KILLS // 3, f"only {cut_off} of {KILLS} kills met a save under way"
    assert len(acknowledged) >= KILLS


def set_up(folder: Path) -> int:
    ledger = Ledger(make_engine(f"sqlite:///{folder / 'ledger.sqlite'}"))
    with ledger.writing() as session:
        set_up_shop(session, SHOP, now=STARTED)
        source_id = add_source(session, "estate sale", is_free=False).id
    ledger.close()
    return source_id


def log_finds_until_killed(shop: LiveShop, source_id: int, acknowledged: list[str], share: float) -> int:
    """Log finds one after another while another thread kills the server; 1 when a save was under way."""
    browser = PlainBrowser(shop.url)
    browser.get("/find")
    killer = threading.Timer(share * LONGEST_WAIT_SECONDS, os.kill, (shop.process.pid, signal.SIGKILL))
    killer.start()
    try:
        while True:
            fields = {"form": "chair", "paid": "12.50", "source": str(source_id), "title": "kitchen chair"}
            acknowledged.append(browser.send("/find", fields).rsplit("/", 1)[-1].split("?")[0])
    except urllib.error.HTTPError:
        raise  # an answer was given, and it was a refusal: that is this test's own mistake
    except (OSError, HTTPException):
        return 1
    finally:
        killer.join()
        shop.process.wait()


def require_whole(folder: Path, acknowledged: list[str]) -> None:
    raw = sqlite3.connect(folder / "ledger.sqlite")
    assert raw.execute("PRAGMA integrity_check").fetchone() == ("ok",)
    assert raw.execute("PRAGMA foreign_key_check").fetchall() == []
    tags = {tag for (tag,) in raw.execute("SELECT tag FROM piece")}
    raw.close()
    assert set(acknowledged) <= tags
    ledger = Ledger(make_engine(f"sqlite:///{folder / 'ledger.sqlite'}"))
    with ledger.reading() as session:
        moment = datetime.now(UTC)  # noqa: TID251 - the server under test lives in real time
        findings = prove_ledger(session, local_day(moment, SHOP.time_zone))
    ledger.close()
    assert [finding for finding in findings if not finding.holds] == []
