"""Hold the sums in SQL against the walk through every piece: line by line, month by month, to the cent."""

from collections.abc import Iterator

from sqlalchemy.orm import Session

from app.basics.dates import Month
from app.reports.queries import months_known, months_of, piece_ledgers
from app.reports.queries.sums import line_total, months_sums, period_sums
from app.reports.rules import KEPT, MEMO_LINES, PROFIT_LINES, STOCK_LINES, MonthProfit, stock_at_cost, stock_movement
from app.reports.rules.sums import PeriodSums


def differences(session: Session) -> list[str]:
    """Every figure on which the two routes disagree; none is what a test wants."""
    months = months_known(session)
    if not months:
        return []
    sums = months_sums(session, months[0].first, months[-1].last)
    assert list(sums) == months
    found: list[str] = []
    ledgers = piece_ledgers(session)
    for profit in months_of(session, months):
        month = Month.of(profit.first)
        found += [f"{month} {what}" for what in _month(profit, sums[month])]
        moved = stock_movement(ledgers, month.first, month.last)
        pairs = [(f"stock:{key}", moved.line(key).cents, sums[month].cents(f"stock:{key}")) for key in STOCK_LINES]
        pairs += [
            ("opening", moved.opening, sums[month].opening_stock),
            ("closing", moved.closing, sums[month].closing_stock),
        ]
        found += [f"{month} {key}: {walked} {summed}" for key, walked, summed in pairs if walked != summed]
    found += _whole(session, months, sums, stock_at_cost(ledgers, months[-1].last))
    return found


def _month(profit: MonthProfit, sums: PeriodSums) -> Iterator[str]:
    pairs = [(key, profit.line(key).cents, sums.cents(key)) for key in PROFIT_LINES]
    pairs += [(key, getattr(profit, key).cents, sums.cents(key)) for key in MEMO_LINES]
    pairs += [
        ("shop", profit.shop_costs.cents, sums.cents("shop")),
        ("profit on pieces", profit.profit_on_pieces, sums.profit_on_pieces),
        ("profit", profit.profit, sums.profit),
    ]
    return (f"{key}: {walked} {summed}" for key, walked, summed in pairs if walked != summed)


def _whole(session: Session, months: list[Month], sums: dict[Month, PeriodSums], closing: int) -> Iterator[str]:
    whole = period_sums(session, months[0].first, months[-1].last)
    pairs = [
        ("profit of all", whole.profit, sum(month.profit for month in sums.values())),
        ("closing of all", whole.closing_stock, closing),
        ("stock met", whole.opening_stock + whole.stock_change, whole.closing_stock),
        ("shelf met", whole.opening.shelf + whole.shelf_change, whole.closing.shelf),
        ("deposits met", whole.opening.deposits + whole.deposits_change, whole.closing.deposits),
    ]
    keys = {*whole.amounts, *(path.split(":")[0] for path in whole.amounts), *(f"stock:{key}" for key in STOCK_LINES)}
    span = whole.first, whole.last
    pairs += [
        (f"rows of {key}", line_total(session, key, *span)[1], whole.cents(key))
        for key in sorted({*keys, KEPT, "trips"})
    ]
    return (f"{key}: {left} {right}" for key, left, right in pairs if left != right)
