"""Print how long each page of the books takes on a large ledger, beside bare SQL and pandas on the same rows.

`python -m tests.benchmarks.books` makes a shop of 10,000 pieces and some 150,000 rows of money over three years, with
closed months, and takes some minutes. First it holds the answers against each other and ends with 1 where any differ:
the walk through every piece, the sums in SQL, SQL written by hand, and pandas over lists of the same rows. Then it
prints for each page its time, the time of hand-written SQL for the same figures on the same file, the ratio of the two,
the ratio to pandas (with reading the lists), and the most memory a process takes that shows the page. Times are the
processor's own, the least of some trials, so that what else the machine does counts little; ratios are of one run.
"""

import argparse
import sqlite3
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable
from datetime import date
from functools import partial
from pathlib import Path

from flask.testing import FlaskClient

from app.basics.dates import Month, months_between
from app.basics.settings import Settings
from app.database.unit_of_work import Ledger
from app.factory import create_app
from app.reports.queries import months_of, stock_now
from app.reports.queries.year_page import year_books
from tests.benchmarks import bare_sql, by_pandas
from tests.builders.big_shop import FIRST_DAY, LAST_DAY, fill_big_shop

PIECES = 10_000
YEAR = 2025
TRIALS = 5
MOST_TIMES_BARE = 5.0
NEAR, WIDE = 12, 40

Bare = Callable[[sqlite3.Connection], object]


def bare_pages() -> dict[str, Bare]:
    """For each page the hand-written SQL that gives its figures."""
    today, first = date(2026, 11, 25), date(YEAR, 1, 1)
    last_year = Month.of(today)
    since = date(last_year.year - 1, last_year.month, 1)
    year = f"/books/years/{YEAR}"
    return {
        "/books": lambda sql: (bare_sql.month_lines(sql, since, today), bare_sql.stock_on(sql, today)),
        "/books/months": lambda sql: bare_sql.month_lines(sql, FIRST_DAY, today),
        f"/books/months/{YEAR}-06": lambda sql: bare_sql.month_lines(sql, date(YEAR, 6, 1), date(YEAR, 6, 30)),
        "/books/pieces": lambda sql: bare_sql.made_by_pieces(sql, FIRST_DAY, today),
        "/books/stock": lambda sql: (
            bare_sql.stock_on(sql, today),
            bare_sql.month_lines(sql, date(today.year, 1, 1), today),
        ),
        "/books/years": lambda sql: (
            bare_sql.month_lines(sql, FIRST_DAY, date(2026, 12, 31)),
            bare_sql.stock_on(sql, FIRST_DAY),
        ),
        year: lambda sql: bare_sql.year(sql, YEAR),
        f"{year}.csv": lambda sql: bare_sql.year(sql, YEAR),
        f"{year}.pdf": lambda sql: bare_sql.year(sql, YEAR),
        f"{year}/cost_of_goods_sold": lambda sql: bare_sql.month_lines(sql, first, date(YEAR, 12, 31)),
        f"{year}/stock-cost_lines": lambda sql: bare_sql.month_lines(sql, first, date(YEAR, 12, 31)),
        f"{year}/pieces": lambda sql: bare_sql.made_by_pieces(sql, first, date(YEAR, 12, 31)),
    }


def main() -> int:
    """Build, compare, measure, print; 1 where answers differ or the year's page takes too long."""
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0] if __doc__ else None)
    parser.add_argument("--pieces", type=int, default=PIECES)
    parser.add_argument("--trials", type=int, default=TRIALS)
    wanted = parser.parse_args()
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        app = create_app(Settings(data_dir=folder))
        ledger: Ledger = app.extensions["tackcloth_ledger"]
        with ledger.writing() as session:
            rows = fill_big_shop(session, wanted.pieces)
        print(f"{wanted.pieces:,} finds, {rows:,} rows of money, {FIRST_DAY} to {LAST_DAY}")
        with sqlite3.connect(folder / "ledger.sqlite") as sql:
            by_pandas.export(sql, folder / "lists")
            wrong = compare(ledger, sql, folder / "lists")
            slow = measure(partial(shown, app.test_client()), sql, folder, wanted.trials)
        ledger.close()
    return 1 if wrong or slow else 0


def compare(ledger: Ledger, sql: sqlite3.Connection, lists: Path) -> int:
    """Hold the answers against each other, year by year; how many differ."""
    frames, wrong = by_pandas.read(lists), 0
    for number in range(FIRST_DAY.year, LAST_DAY.year + 1):
        with ledger.reading() as session:
            books = year_books(session, number)
            months = months_of(session, months_between(Month(number, 1), Month(number, 12)))
            walked_stock = stock_now(session, LAST_DAY)
        sums, bare, panda = books.sums, bare_sql.year(sql, number), by_pandas.year(frames, number)
        told = {
            "profit_on_pieces": (
                *(sums.profit_on_pieces, sum(month.profit_on_pieces for month in months)),
                *(bare["profit_on_pieces"], panda["profit_on_pieces"], books.made_by_pieces, bare["pieces"]),
            ),
            "shop": (sums.cents("shop"), sum(m.shop_costs.cents for m in months), bare["shop"], panda["shop"]),
            "opening_stock": (sums.opening_stock, bare["opening_stock"], panda["opening_stock"]),
            "closing_stock": (sums.closing_stock, bare["closing_stock"], panda["closing_stock"]),
            "sold": (sums.cents("cost_of_goods_sold") + sums.cents("cost_back"), bare["sold"], panda["sold"]),
            "sales": (sums.cents("sales"), bare["sales"]),
            "refunds": (sums.cents("refunds"), bare["returned"] + bare["refunded"]),
            "late": (-sums.cents("late_costs"), bare["late"], panda["late"]),
            "shelf": (sums.closing.shelf, bare["closing_shelf"]),
            "deposits": (sums.closing.deposits, bare["closing_deposits"]),
            "written": (books.written, bare["written"]),
            "all_trips": (sums.cents("all_trips"), bare["all_trips"]),
            "ties": (0, *(tie.gap for tie in books.ties())),
        }
        if number == LAST_DAY.year:
            told["stock_now"] = (walked_stock, bare["closing_stock"])
        differing = {name: sides for name, sides in told.items() if len(set(sides)) > 1}
        print(f"{number}: {len(told) - len(differing)} figures agree", differing or "")
        wrong += len(differing)
    return wrong


def measure(get: Callable[[str], object], sql: sqlite3.Connection, folder: Path, trials: int) -> int:
    """Measure and print every page; 1 where the year's page takes more than five times the bare SQL."""
    panda_ms = least(lambda: by_pandas.year(by_pandas.read(folder / "lists"), YEAR), trials)
    empty = memory_of(folder, f"/books/years/{FIRST_DAY.year - 1}")
    print(
        f"pandas reads the lists and adds up one year in {panda_ms:.0f} ms; a process without figures: {empty:.0f} MB"
    )
    heads = ("page, ms", "bare SQL, ms", "to bare SQL", "to pandas", "memory, MB")
    print(f"{'page':<{WIDE}}" + "".join(f"{head:>{NEAR + 2}}" for head in heads))
    slow = 0
    for path, bare in bare_pages().items():
        page_ms, bare_ms = least(partial(get, path), trials), least(partial(bare, sql), trials)
        is_year = path.startswith(f"/books/years/{YEAR}")
        beside = f"{page_ms / panda_ms:.2f}" if is_year else "-"
        print(
            f"{path:<{WIDE}}{page_ms:>{NEAR + 2}.0f}{bare_ms:>{NEAR + 2}.0f}{page_ms / bare_ms:>{NEAR + 2}.2f}"
            f"{beside:>{NEAR + 2}}{memory_of(folder, path):>{NEAR + 2}.0f}"
        )
        if path == f"/books/years/{YEAR}" and page_ms > MOST_TIMES_BARE * bare_ms:
            print(f"the year's page takes more than {MOST_TIMES_BARE:g} times the bare SQL")
            slow = 1
    return slow


def shown(client: FlaskClient, path: str) -> bytes:
    """A page; one that does not open is no page to be measured (RuntimeError)."""
    answer = client.get(path)
    if answer.status_code != 200:
        raise RuntimeError(f"{path} answers {answer.status_code}")
    return answer.get_data()


def least(deed: Callable[[], object], trials: int) -> float:
    """The least processor time of some trials in milliseconds, after one that is not counted."""
    deed()
    times = []
    for _ in range(trials):
        start = time.process_time()
        deed()
        times.append((time.process_time() - start) * 1000)
    return min(times)


def memory_of(folder: Path, path: str) -> float:
    """The most memory in megabytes that a process of its own takes to show a page."""
    command = [sys.executable, "-m", "tests.benchmarks.one_page", str(folder), path]
    done = subprocess.run(command, check=True, capture_output=True, text=True)
    return float(done.stdout)


if __name__ == "__main__":
    sys.exit(main())
