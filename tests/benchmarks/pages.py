"""Print p95 and queries of every page over 2,000 pieces, beside the same over 100, from one run.

`python -m tests.benchmarks.pages` takes a few minutes. The times are this machine's; the ratio and the number of
queries are what to look at: a page whose ratio is near the growth of the ledger, or whose queries grow, is to be
mended.
"""

import argparse
import random
import sys
import tempfile
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from datetime import UTC, date, datetime, timedelta
from pathlib import Path
from typing import Any
from uuid import UUID

from flask import Flask
from sqlalchemy import event
from sqlalchemy.orm import Session

from app.basics.settings import Settings
from app.costs.actions import add_cost
from app.costs.rules import PIECE_KINDS, SHOP_KINDS, NewCost
from app.factory import create_app
from app.floor.actions import add_channel, list_piece
from app.pieces.actions import add_source, log_find, step_forward
from app.pieces.rules import Facts, Form, NewFind, Stage
from app.sales.actions import record_sale
from app.sales.rules import NewSale
from app.shop.actions import set_up_shop
from app.timelog.actions import add_time
from app.timelog.rules import Activity, NewTime
from tests.conftest import SHOP
from tests.every_page import examples

SMALL, LARGE = 100, 2000
FIRST_DAY = date(2024, 1, 2)
LAST_DAY = date(2026, 11, 20)
TRIALS = 20


@dataclass
class Measured:
    """One page at one size."""

    p95_ms: float
    queries: int


def main() -> int:
    """Build both ledgers, measure every page, print the table."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--pieces", type=int, default=LARGE)
    parser.add_argument("--trials", type=int, default=TRIALS)
    wanted = parser.parse_args()
    with tempfile.TemporaryDirectory() as folder:
        small = measure(Path(folder) / "small", SMALL, wanted.trials)
        large = measure(Path(folder) / "large", wanted.pieces, wanted.trials)
    heads = (f"p95 ms, {SMALL}", f"p95 ms, {wanted.pieces}", "ratio", f"queries, {SMALL}", f"queries, {wanted.pieces}")
    print(f"{'page':<28}" + "".join(f"{head:>18}" for head in heads))
    for endpoint in sorted(set(small) & set(large), key=lambda name: -large[name].p95_ms):
        few, many = small[endpoint], large[endpoint]
        print(
            f"{endpoint:<28}{few.p95_ms:>18.1f}{many.p95_ms:>18.1f}{many.p95_ms / few.p95_ms:>18.1f}"
            f"{few.queries:>18}{many.queries:>18}"
        )
    return 0


def measure(folder: Path, pieces: int, trials: int) -> dict[str, Measured]:
    """p95 of every page that opens, over a ledger of `pieces`."""
    app = create_app(Settings(data_dir=folder))
    ledger = app.extensions["tackcloth_ledger"]
    with ledger.writing() as session:
        fill(session, pieces)
    with ledger.reading() as session:
        pages = examples(session).paths(app)
    client = app.test_client()
    found = {}
    for endpoint, paths in pages.items():
        opened = [path for path in paths if client.get(path).status_code == 200]
        if opened:
            found[endpoint] = time_page(app, client.get, opened[0], trials)
    ledger.close()
    return found


def time_page(app: Flask, get: Callable[[str], Any], path: str, trials: int) -> Measured:
    """The p95 of `trials` visits in milliseconds, and the queries of one."""
    with counting(app) as count:
        get(path)
    times = []
    for _ in range(trials):
        start = time.perf_counter()
        get(path)
        times.append((time.perf_counter() - start) * 1000)
    return Measured(sorted(times)[min(trials - 1, int(trials * 0.95))], count[0])


@contextmanager
def counting(app: Flask) -> Iterator[list[int]]:
    """Count the statements of a block."""
    engine = app.extensions["tackcloth_ledger"].engine
    count = [0]

    def add(_connection: Any, _cursor: Any, statement: str, *_rest: Any) -> None:
        count[0] += not statement.startswith(("BEGIN", "PRAGMA"))

    event.listen(engine, "before_cursor_execute", add)
    try:
        yield count
    finally:
        event.remove(engine, "before_cursor_execute", add)


def fill(session: Session, pieces: int) -> None:
    """A plausible ledger through the real actions: most sold, some listed, some on the bench."""
    chance = random.Random(pieces)  # noqa: S311 - made-up rows
    set_up_shop(session, SHOP, now=moment(FIRST_DAY))
    source = add_source(session, "estate sale", is_free=False).id
    channel = add_channel(session, name="local classifieds", percent_hundredths=500, fixed_cents=50).id
    span = (LAST_DAY - FIRST_DAY).days
    for number in range(pieces):
        enter(session, chance, number, FIRST_DAY + timedelta(days=span * number // pieces), (source, channel))
    for month in range(34):
        day = FIRST_DAY + timedelta(days=30 * month)
        cost = NewCost(None, chance.choice(SHOP_KINDS), 15000, day)
        add_cost(session, cost, capture_id=capture(chance), now=moment(day))


def enter(session: Session, chance: random.Random, number: int, day: date, places: tuple[int, int]) -> None:
    """One piece with its costs, its hours and its way through the stages."""
    source, channel = places
    facts = Facts(form=chance.choice(list(Form)), title=f"piece number {number}")
    find = NewFind(facts, source, day, chance.randrange(500, 12000))
    piece = log_find(session, find, capture_id=capture(chance), now=moment(day)).id
    for later in (1, 2, 3):
        on = min(day + timedelta(days=later), LAST_DAY)
        cost = NewCost(piece, chance.choice(PIECE_KINDS), chance.randrange(200, 3000), on)
        add_cost(session, cost, capture_id=capture(chance), now=moment(on))
        time_spent = NewTime(piece, chance.choice(list(Activity)), on, chance.randrange(5, 90))
        add_time(session, time_spent, capture_id=capture(chance), now=moment(on))
    if number % 20 == 0:
        return
    on = min(day + timedelta(days=6), LAST_DAY)
    step_forward(session, piece, Stage.FINISHED, on_date=on, version=None, now=moment(on))
    asking = chance.randrange(8000, 40000)
    list_piece(session, piece, asking_cents=asking, channel_ids=[channel], on_date=on, version=None, now=moment(on))
    if number % 10:
        on = min(on + timedelta(days=chance.randrange(1, 90)), LAST_DAY)
        sale = NewSale(piece, on, channel, asking, fees_cents=asking // 20 + 50)
        record_sale(session, sale, capture_id=capture(chance), now=moment(on))


def moment(day: date) -> datetime:
    """Noon of a day."""
    return datetime(day.year, day.month, day.day, 18, tzinfo=UTC)


def capture(chance: random.Random) -> str:
    """A capture number."""
    return str(UUID(int=chance.getrandbits(128), version=4))


if __name__ == "__main__":
    sys.exit(main())
