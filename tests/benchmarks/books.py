"""Print what each page of the books takes over 10,000 pieces, as a ratio to bare SQL and to pandas, from one run.

`python -m tests.benchmarks.books` takes some minutes and needs the extra `benchmarks`. The ledger is written in bulk
and proven first; then every figure is worked out three ways, by the program, by plain SQL on the same file and by
pandas over the tables as CSV, and must be the same. The times are this machine's; the ratios are what to look at.
"""

import argparse
import sys
import tempfile
import time
import tracemalloc
from collections import defaultdict
from collections.abc import Callable
from dataclasses import dataclass
from datetime import date
from pathlib import Path
from typing import Any, Final

from flask import Flask

from app.basics.dates import Month
from app.basics.settings import Settings
from app.factory import create_app
from app.reports.queries import days_to_sale_of, months_of, profits_of, prove_ledger, stock_now
from app.reports.queries.sums import period_sums
from tests.benchmarks import bare, big_ledger

PIECES: Final = 10_000
MONEY_ROWS: Final = 150_000
TRIALS: Final = 5
YEAR_AT_MOST: Final = 5.0
YEAR: Final = 2025
FIRST, LAST = f"{YEAR}-01-01", f"{YEAR}-12-31"
JUNE: Final = {"first": f"{YEAR}-06-01", "last": f"{YEAR}-06-30"}
KIB: Final = 1024


@dataclass(frozen=True)
class Page:
    """A page of the books, and the same figures by plain SQL and by pandas."""

    path: str
    by_sql: Callable[[bare.Bare], Any]
    by_pandas: Callable[[Path], Any]


def _year_by_sql(file: bare.Bare) -> Any:
    return file.ask(bare.YEAR, first=FIRST, last=LAST)


def _year_by_pandas(folder: Path) -> Any:
    return bare.pandas_year(folder, FIRST, LAST)


def _months_by_sql(file: bare.Bare) -> Any:
    return file.ask(bare.MONTHS)


def _stock_by_sql(file: bare.Bare) -> Any:
    return file.ask(bare.STOCK)


def _pieces_by_sql(file: bare.Bare) -> Any:
    return file.ask(bare.PIECES)


PAGES: Final = (
    Page(f"/books/years/{YEAR}", _year_by_sql, _year_by_pandas),
    Page(f"/books/years/{YEAR}/worksheet", _year_by_sql, _year_by_pandas),
    Page(f"/books/ratios?year={YEAR}", _year_by_sql, _year_by_pandas),
    Page("/books", lambda file: (_months_by_sql(file), _stock_by_sql(file)), bare.pandas_months),
    Page("/books/months", _months_by_sql, bare.pandas_months),
    Page(f"/books/months/{YEAR}-06", lambda file: file.ask(bare.YEAR, **JUNE), lambda f: bare.pandas_year(f, **JUNE)),
    Page("/books/stock", _stock_by_sql, bare.pandas_stock),
    Page("/books/pieces", _pieces_by_sql, bare.pandas_pieces),
    Page("/books/hours", _pieces_by_sql, bare.pandas_pieces),
    Page("/books/price", _pieces_by_sql, bare.pandas_pieces),
    Page("/books/days-to-sale", lambda file: file.ask(bare.DAYS), bare.pandas_days),
)


def main() -> int:
    """Build the ledger, compare the answers, measure the pages; 1 where the year's page takes too long."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--pieces", type=int, default=PIECES)
    parser.add_argument("--trials", type=int, default=TRIALS)
    wanted = parser.parse_args()
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        app = create_app(Settings(data_dir=folder))
        build(app, wanted.pieces)
        file, exported = bare.Bare(folder / "ledger.sqlite"), folder / "csv"
        exported.mkdir()
        bare.export(file.path, exported)
        compare(app, file, exported)
        ratios = [measure(app, page, file, exported, wanted.trials) for page in PAGES]
        app.extensions["tackcloth_ledger"].close()
    within = ratios[0] <= YEAR_AT_MOST
    print(f"\nThe year's page takes {ratios[0]:.1f} times the bare SQL; at most {YEAR_AT_MOST:.0f} are wanted.")
    return 0 if within else 1


def build(app: Flask, pieces: int) -> None:
    """Write the ledger and prove it."""
    ledger = app.extensions["tackcloth_ledger"]
    with ledger.writing() as session:
        counts = big_ledger.fill(session, pieces)
    money = sum(counts.get(table.__tablename__, 0) for table in big_ledger.MONEY)
    print(f"{counts['piece']:,} pieces, {money:,} rows of money")
    if pieces >= PIECES and money < MONEY_ROWS:
        raise AssertionError(f"fewer than {MONEY_ROWS:,} rows of money")
    with ledger.reading() as session:
        findings = prove_ledger(session, big_ledger.LAST_DAY)
    broken = [finding.name for finding in findings if not finding.holds]
    if broken:
        raise AssertionError(f"the ledger does not hold: {broken}")
    print(f"{len(findings):,} findings of the check, all hold")


def compare(app: Flask, file: bare.Bare, exported: Path) -> None:
    """Work every figure out three ways and refuse to go on where they differ."""
    with app.extensions["tackcloth_ledger"].reading() as session:
        year = period_sums(session, date(YEAR, 1, 1), date(YEAR, 12, 31))
        months = [Month(YEAR, number) for number in range(1, 13)]
        profits = {str(Month.of(month.first)): month.profit for month in months_of(session, months)}
        stock = stock_now(session, date.max)
        made = sum(sum(term.cents for term in piece.terms) for piece in profits_of(session))
        median = days_to_sale_of(session, big_ledger.LAST_DAY).from_sourced.median
    by_sql = dict(_year_by_sql(file))
    _same("the year", by_sql, _year_by_pandas(exported))
    stood = {"opening": year.opening_stock, "closing": year.closing_stock, "shop_costs": year.cents("shop")}
    _same("the year's lines", by_sql, {line: stood.get(line, year.cents(line)) for line in by_sql})
    by_month: dict[str, int] = defaultdict(int)
    for month, _line, cents in _months_by_sql(file):
        by_month[month] += cents
    _same("the months", dict(by_month), bare.pandas_months(exported))
    _same("the year's months", {month: by_month[month] for month in profits}, profits)
    _same("the stock", sum(cents for _, cents in _stock_by_sql(file)), bare.pandas_stock(exported), stock)
    _same("the pieces", sum(cents for _, cents in _pieces_by_sql(file)), bare.pandas_pieces(exported), made)
    days = [row[0] for row in file.ask(bare.DAYS)]
    middle = (days[(len(days) - 1) // 2] + days[len(days) // 2]) / 2
    _same("days to sale", middle, bare.pandas_days(exported), float(median or 0))
    print("the program, plain SQL and pandas agree to the cent\n")


def _same(what: str, *answers: Any) -> None:
    if any(answer != answers[0] for answer in answers):
        raise AssertionError(f"{what}: {answers}")


def measure(app: Flask, page: Page, file: bare.Bare, exported: Path, trials: int) -> float:
    """Print one page's line and give its ratio to the bare SQL."""
    client = app.test_client()
    status = client.get(page.path).status_code
    if status != 200:
        raise AssertionError(f"{page.path} answers {status}")
    took = best(lambda: client.get(page.path), trials)
    sql, pandas = best(lambda: page.by_sql(file), trials), best(lambda: page.by_pandas(exported), trials)
    own, other = peak(lambda: client.get(page.path)), peak(lambda: page.by_pandas(exported))
    print(
        f"{page.path:<28} {took * 1000:>7.0f} ms  {took / sql:>6.1f} x SQL  {took / pandas:>6.2f} x pandas"
        f"  {own:>7.1f} MiB, pandas {other:.1f} MiB"
    )
    return took / sql


def best(act: Callable[[], Any], trials: int) -> float:
    """The shortest of some trials in seconds: what the work takes when nothing else disturbs it."""
    times = []
    for _ in range(trials):
        start = time.perf_counter()
        act()
        times.append(time.perf_counter() - start)
    return min(times)


def peak(act: Callable[[], Any]) -> float:
    """The most memory Python held at once during a visit, in MiB."""
    tracemalloc.start()
    act()
    _, most = tracemalloc.get_traced_memory()
    tracemalloc.stop()
    return most / KIB / KIB


if __name__ == "__main__":
    sys.exit(main())
