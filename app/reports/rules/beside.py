"""What stands beside the pieces' own costs: the shelf, deposits and trips, told twice and held against each other."""

from collections import defaultdict
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date
from typing import Final

from app.basics.dates import Month
from app.reports.rules.cash import SHELF
from app.reports.rules.ledger import (
    DEPOSITS,
    DEPOSITS_KEPT,
    MATERIALS,
    PARTS_OFF,
    SHELF_COUNT,
    TRIP,
    TRIPS,
    PieceLedger,
    ShopCostRow,
)

ByDay = Mapping[date, int]
_ByMonth = Mapping[Month, int]

_OFF_THE_SHELF: Final = frozenset({MATERIALS, SHELF_COUNT})
_DEPOSIT_KEYS: Final = frozenset({DEPOSITS, DEPOSITS_KEPT})


@dataclass(frozen=True, slots=True)
class TableSums:
    """What the tables of the shelf, the deposits and the trips say by themselves: changes in cents by day.

    `shelf` is what came on the shelf less what was charged, `deposits` what was taken less what ended, `trips` what
    trips cost, `parts_off` the value of parts that came from pieces. `unpaid` are expenses that move no money:
    distances at the rate, and corrections that only put a charge right.
    """

    shelf: ByDay = field(default_factory=dict)
    deposits: ByDay = field(default_factory=dict)
    trips: ByDay = field(default_factory=dict)
    parts_off: ByDay = field(default_factory=dict)
    unpaid: ByDay = field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class BesideRows:
    """The same told from the rows of the reckoning, by month, and each series of the shelf by itself."""

    bought: dict[Month, int] = field(default_factory=lambda: defaultdict(int))
    parts_off: dict[Month, int] = field(default_factory=lambda: defaultdict(int))
    used_on_pieces: dict[Month, int] = field(default_factory=lambda: defaultdict(int))
    used_by_shop: dict[Month, int] = field(default_factory=lambda: defaultdict(int))
    deposits: dict[Month, int] = field(default_factory=lambda: defaultdict(int))
    trips: dict[Month, int] = field(default_factory=lambda: defaultdict(int))
    unpaid: dict[Month, int] = field(default_factory=lambda: defaultdict(int))

    def shelf(self, month: Month) -> int:
        """By how many cents the shelf rose in the month."""
        came = self.bought.get(month, 0) + self.parts_off.get(month, 0)
        return came - self.used_on_pieces.get(month, 0) - self.used_by_shop.get(month, 0)


def beside_rows(ledgers: Iterable[PieceLedger], shop_costs: Iterable[ShopCostRow]) -> BesideRows:
    """Gather what the rows of pieces and of the shop say of the shelf, deposits and trips."""
    rows = BesideRows()
    for ledger in ledgers:
        _take_piece(rows, ledger)
    for cost in shop_costs:
        month = Month.of(cost.on)
        if cost.cash_key == SHELF:
            rows.bought[month] += cost.paid
        elif cost.kind in _OFF_THE_SHELF:
            rows.used_by_shop[month] += cost.cents
        elif cost.kind == TRIPS:
            rows.trips[month] += cost.cents
    return rows


def _take_piece(rows: BesideRows, ledger: PieceLedger) -> None:
    for cost in ledger.costs:
        if cost.kind == MATERIALS:
            rows.used_on_pieces[Month.of(cost.on)] += cost.cents
        elif cost.kind == PARTS_OFF:
            rows.parts_off[Month.of(cost.on)] -= cost.cents
        elif cost.kind == TRIP:
            rows.trips[Month.of(cost.on)] += cost.cents
    for row in ledger.at_once:
        month = Month.of(row.on)
        if row.key in _DEPOSIT_KEYS:
            rows.deposits[month] += row.cash - row.cents
            continue
        rows.unpaid[month] -= row.cents + row.tax - row.cash
        if row.key == TRIPS:
            rows.trips[month] -= row.cents


def by_month(days: ByDay) -> dict[Month, int]:
    """Changes by day as changes by month."""
    months: dict[Month, int] = defaultdict(int)
    for day, cents in days.items():
        months[Month.of(day)] += cents
    return months


Sides = tuple[str, int, int]


def sides_of_months(rows: BesideRows, tables: TableSums, months: Sequence[Month]) -> Iterator[Sides]:
    """For each month, what rows and tables say of the shelf, deposits, trips and parts taken off: name, left, right."""
    if not months:
        return
    shelf, deposits = by_month(tables.shelf), by_month(tables.deposits)
    trips, parts_off = by_month(tables.trips), by_month(tables.parts_off)
    before = months[0].previous
    shelf_rows, shelf_tables = _shelf_up_to(rows, before), _up_to(shelf, before)
    owed_rows, owed_tables = _up_to(rows.deposits, before), _up_to(deposits, before)
    for month in months:
        shelf_rows, shelf_tables = shelf_rows + rows.shelf(month), shelf_tables + shelf.get(month, 0)
        owed_rows, owed_tables = owed_rows + rows.deposits.get(month, 0), owed_tables + deposits.get(month, 0)
        yield f"The shelf at cost, {month.name}", shelf_rows, shelf_tables
        yield f"Deposits owed to buyers, {month.name}", owed_rows, owed_tables
        yield f"Trips and the shares of them, {month.name}", rows.trips.get(month, 0), trips.get(month, 0)
        yield f"Parts off pieces and on the shelf, {month.name}", rows.parts_off.get(month, 0), parts_off.get(month, 0)


def _shelf_up_to(rows: BesideRows, last: Month) -> int:
    known = {*rows.bought, *rows.parts_off, *rows.used_on_pieces, *rows.used_by_shop}
    return sum(rows.shelf(month) for month in known if month <= last)


def _up_to(changes: _ByMonth, last: Month) -> int:
    return sum(cents for month, cents in changes.items() if month <= last)
