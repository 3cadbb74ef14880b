"""The proof that the books hold together: every identity, for every month, in cents."""

from collections import defaultdict
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, field
from datetime import date
from typing import Final

from app.basics.dates import Month, months_between
from app.reports.rules.beside import TableSums, beside_rows, by_month, sides_of_months
from app.reports.rules.ledger import ADJUSTED_OPENING, MOVED, OPENING, CostRow, LedgerError, PieceLedger, ShopCostRow
from app.reports.rules.month import MonthProfit, contribution, profit_of_steps
from app.reports.rules.ownership import realised_by, stock_of_piece
from app.reports.rules.piece import profit_of_movements
from app.reports.rules.stock import StockMovement, stock_identity, stock_of_steps
from app.reports.rules.walk import Movement, Step, walk

# What was owned already is stock that no money paid for; what moved between pieces was paid for on the other one.
_ENTERED: Final = frozenset({OPENING, MOVED, ADJUSTED_OPENING})


@dataclass(frozen=True, slots=True)
class Finding:
    """One identity: both sides (cents, or a count of pieces), whether it holds, and the tags at fault."""

    name: str
    left: int
    right: int
    holds: bool
    tags: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class _Walked:
    """Every piece walked once: its steps by month, and the tags of those whose rows or sums do not hold."""

    ledgers: list[PieceLedger] = field(default_factory=list)
    left_out: list[PieceLedger] = field(default_factory=list)
    steps: dict[Month, list[Step]] = field(default_factory=lambda: defaultdict(list))
    impossible: list[str] = field(default_factory=list)
    unlike_their_months: list[str] = field(default_factory=list)
    unlike_what_is_owned: list[str] = field(default_factory=list)


@dataclass(frozen=True, slots=True)
class _Owned:
    """How stock and realised profit, told from the rows alone, changed in each month."""

    stock: dict[Month, int] = field(default_factory=lambda: defaultdict(int))
    realised: dict[Month, int] = field(default_factory=lambda: defaultdict(int))


@dataclass(frozen=True, slots=True)
class _Between:
    """What lies between profit and cash besides the stock, from the tables alone: changes in each month."""

    shelf: dict[Month, int]
    deposits: dict[Month, int]
    unpaid: dict[Month, int]


def prove(
    ledgers: Sequence[PieceLedger],
    shop_costs: Sequence[ShopCostRow],
    first_month: Month,
    last_month: Month,
    tables: TableSums | None = None,
) -> list[Finding]:
    """Every identity of the books from `first_month` to `last_month`, those that hold and those that do not.

    All ledgers and shop costs must be given with all their rows; each piece is walked once. The left side comes
    from the walk and the reports built on it, the right side from the rows alone; for what stands on the shelf,
    is owed as deposits or was driven, from `tables` (None: there is nothing of it). A piece whose rows cannot
    have happened in their order is named by a finding and left out of the others, so this never raises
    LedgerError.
    """
    walked = _walk_all(ledgers)
    owned = _owned_by_month(walked.ledgers, first_month.previous, last_month)
    months = months_between(first_month, last_month)
    sums = tables or TableSums()
    findings = list(_piece_findings(walked))
    findings += _month_findings(walked, owned, shop_costs, months, _between(walked, sums))
    findings += _transfer_findings(ledgers, months)
    sides = sides_of_months(beside_rows(ledgers, shop_costs), sums, months)
    findings += [_equal(*each) for each in sides]
    return findings


def _walk_all(ledgers: Iterable[PieceLedger]) -> _Walked:
    walked = _Walked()
    for ledger in ledgers:
        try:
            movements = walk(ledger)
        except LedgerError:
            walked.impossible.append(ledger.tag)
            walked.left_out.append(ledger)
            continue
        walked.ledgers.append(ledger)
        for movement in movements:
            walked.steps[Month.of(movement.on)].append(Step(ledger, movement))
        _compare_piece(walked, ledger, movements)
    return walked


def _compare_piece(walked: _Walked, ledger: PieceLedger, movements: list[Movement]) -> None:
    profit = profit_of_movements(ledger, movements)
    if profit.realised != sum(contribution(movement) for movement in movements):
        walked.unlike_their_months.append(ledger.tag)
    if profit.put_in != stock_of_piece(ledger, date.max):
        walked.unlike_what_is_owned.append(ledger.tag)


def _owned_by_month(ledgers: Iterable[PieceLedger], before: Month, last: Month) -> _Owned:
    """The changes up to `last`; all that happened up to the month `before` is gathered in that month."""
    owned = _Owned()
    for ledger in ledgers:
        stock = realised = 0
        # What is owned changes only where a row is dated, so the other months need no look.
        for month in sorted({max(Month.of(day), before) for day in _days_of(ledger)}):
            if month > last:
                break
            stock_now, realised_now = stock_of_piece(ledger, month.last), realised_by(ledger, month.last)
            owned.stock[month] += stock_now - stock
            owned.realised[month] += realised_now - realised
            stock, realised = stock_now, realised_now
    return owned


def _days_of(ledger: PieceLedger) -> set[date]:
    moves = {move.on for move in (*ledger.goings, *ledger.comings)}
    return moves | {cost.on for cost in ledger.costs} | {row.on for row in ledger.at_once}


def _between(walked: _Walked, tables: TableSums) -> _Between:
    """The changes the tables tell, less those of pieces left out, whose rows are in no sum of the walk."""
    between = _Between(by_month(tables.shelf), by_month(tables.deposits), by_month(tables.unpaid))
    of_left_out = beside_rows(walked.left_out, ())
    for month, cents in of_left_out.used_on_pieces.items():
        between.shelf[month] += cents
    for changes, left_out in (
        (between.shelf, of_left_out.parts_off),
        (between.deposits, of_left_out.deposits),
        (between.unpaid, of_left_out.unpaid),
    ):
        for month, cents in left_out.items():
            changes[month] -= cents
    return between


def _piece_findings(walked: _Walked) -> Iterator[Finding]:
    yield _none_of("Pieces whose rows cannot have happened in their order", walked.impossible)
    yield _none_of("Pieces whose months do not add up to their own profit", walked.unlike_their_months)
    yield _none_of("Pieces whose stock is not what is owned", walked.unlike_what_is_owned)


def _month_findings(
    walked: _Walked,
    owned: _Owned,
    shop_costs: Sequence[ShopCostRow],
    months: Sequence[Month],
    between: _Between,
) -> Iterator[Finding]:
    if not months:
        return
    before = months[0].previous
    stock, realised = owned.stock[before], owned.realised[before]
    on_pieces = _brought_by(walked, before)
    profit_of_all = 0
    for month in months:
        profit = _profit_of(walked, shop_costs, month)
        on_pieces += profit.profit_on_pieces
        realised += owned.realised[month]
        profit_of_all += profit.profit
        yield _equal(f"Profit on pieces up to the end of {month.name}", on_pieces, realised)
        opening, stock = stock, stock + owned.stock[month]
        moved = stock_of_steps(walked.steps.get(month, []), opening, stock, profit.first, profit.last)
        yield _equal(f"Stock at cost, {month.name}", stock + stock_identity(moved), stock)
        yield _equal(f"Profit and cash, {month.name}", profit.profit, _from_cash(walked, profit, moved, between))
        yield _equal(f"Sales one by one, {month.name}", *_sales_both_ways(profit))
    first, last = months[0], months[-1]
    spent = sum(cost.cents for cost in shop_costs if first.first <= cost.on <= last.last)
    expected = realised - owned.realised[before] - spent
    yield _equal(f"All months from {first.name} to {last.name}", profit_of_all, expected)


def _brought_by(walked: _Walked, before: Month) -> int:
    """Cents all movements up to the month brought to the profit on pieces."""
    steps = (step for month, steps in walked.steps.items() if month <= before for step in steps)
    return sum(contribution(step.movement) for step in steps)


def _profit_of(walked: _Walked, shop_costs: Iterable[ShopCostRow], month: Month) -> MonthProfit:
    spent = [cost for cost in shop_costs if month.contains(cost.on)]
    return profit_of_steps(walked.steps.get(month, []), spent, month.first, month.last)


def _from_cash(walked: _Walked, profit: MonthProfit, stock: StockMovement, between: _Between) -> int:
    """Profit told from the cash, and from what changed hands without it.

    The stock and the shelf rose by what is no cost yet, deposits owed are no income yet, sales tax is neither,
    what the owner took out is no loss, and distances at the rate cost without a payment.
    """
    month = Month.of(profit.first)
    cash = profit.cash.net - profit.tax.cents - between.deposits.get(month, 0)
    held = stock.closing - stock.opening + between.shelf.get(month, 0)
    entered = sum(
        step.movement.source.cents
        for step in walked.steps.get(month, [])
        if isinstance(step.movement.source, CostRow) and step.movement.source.kind in _ENTERED
    )
    return cash + held - entered - between.unpaid.get(month, 0) - profit.kept.cents


def _sales_both_ways(profit: MonthProfit) -> tuple[int, int]:
    keys = ("sales", "delivery_charged", "cost_of_goods_sold", "fees", "delivery_paid")
    return sum(sale.profit for sale in profit.sales), sum(profit.line(key).cents for key in keys)


def _transfer_findings(ledgers: Iterable[PieceLedger], months: Sequence[Month]) -> Iterator[Finding]:
    moved: dict[Month, list[int]] = defaultdict(list)
    for ledger in ledgers:
        for cost in ledger.costs:
            if cost.kind == MOVED:
                moved[Month.of(cost.on)].append(cost.cents)
    for month in months:
        cents = moved.get(month, [])
        name = f"Moved between pieces, in and out, {month.name}"
        yield _equal(name, sum(c for c in cents if c > 0), -sum(c for c in cents if c < 0))


def _equal(name: str, left: int, right: int) -> Finding:
    return Finding(name, left, right, left == right)


def _none_of(name: str, tags: Sequence[str]) -> Finding:
    return Finding(name, len(tags), 0, not tags, tuple(tags))
