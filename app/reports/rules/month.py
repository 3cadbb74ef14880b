"""The profit of a month (or any period) on what sold in it, with the cash beside it."""

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from datetime import date
from fractions import Fraction
from typing import Final

from app.basics.dates import Month
from app.reports.rules.cash import CashView, cash_of_steps, shop_cost_parts
from app.reports.rules.ledger import (
    CORRECTED,
    DEPOSITS_KEPT,
    FEES_BACK,
    GIVEN_AWAY,
    KEPT,
    REFUNDS,
    SCRAPPED,
    TRIPS,
    AtOnceRow,
    PieceLedger,
    ReturnRow,
    RowRef,
    SaleRow,
    ShopCostRow,
)
from app.reports.rules.lines import Line, LineSheet, line_named, line_of
from app.reports.rules.walk import Movement, MovementKind, Step, steps_between, walk

PROFIT_LINES: Final = {
    "sales": "Sale prices",
    "delivery_charged": "Delivery charged",
    REFUNDS: "Refunds",
    "cost_of_goods_sold": "Cost of what sold",
    "cost_back": "Cost back in stock from returns",
    "fees": "Selling fees",
    FEES_BACK: "Fees given back",
    "delivery_paid": "Delivery paid",
    "delivery_back": "Delivery recovered",
    DEPOSITS_KEPT: "Deposits kept",
    TRIPS: "Trips",
    "late_costs": "Costs on pieces already gone",
    GIVEN_AWAY: "Given away, at cost",
    SCRAPPED: "Scrapped, at cost",
    CORRECTED: "Corrections of closed months",
}
"""What makes the profit on pieces, in the order it is read."""

MEMO_LINES: Final = {
    KEPT: "Taken out by the owner, at cost",
    "tax": "Sales tax collected less given back",
}
"""What is shown beside the profit and is no part of it."""


@dataclass(frozen=True, slots=True)
class SaleLine:
    """One sale of the period as it stood on its day, in cents; `came_back` says it was returned since."""

    row: RowRef
    piece_id: int
    tag: str
    title: str
    on: date
    revenue: int
    cost_of_goods_sold: int
    fees: int
    delivery_paid: int
    came_back: bool

    @property
    def profit(self) -> int:
        """Revenue less the cost of the piece, the fees and the delivery."""
        return self.revenue - self.cost_of_goods_sold - self.fees - self.delivery_paid


@dataclass(frozen=True, slots=True)
class MonthProfit:
    """Profit of the period from `first` to `last`, a month or longer, in cents.

    `lines` make the profit on pieces, each signed; `kept` and `tax` stand beside it: what the owner took out
    at cost is neither profit nor loss, and sales tax is never income.
    """

    first: date
    last: date
    lines: tuple[Line, ...]
    shop_costs: Line
    kept: Line
    tax: Line
    sales: tuple[SaleLine, ...]
    returned_count: int
    cash: CashView

    def line(self, key: str) -> Line:
        """One line of the profit on pieces by its key."""
        return line_named(self.lines, key)

    @property
    def sold_count(self) -> int:
        """How many sales were made in the period, those returned later too."""
        return len(self.sales)

    @property
    def profit_on_pieces(self) -> int:
        """What the pieces brought before the shop's own costs."""
        return sum(line.cents for line in self.lines)

    @property
    def profit(self) -> int:
        """Profit on pieces less the shop costs."""
        return self.profit_on_pieces + self.shop_costs.cents

    @property
    def net_receipts(self) -> int:
        """Sale prices and delivery charged less refunds."""
        return sum(self.line(key).cents for key in ("sales", "delivery_charged", "refunds"))

    @property
    def gross_profit(self) -> int:
        """Net receipts less the cost of what sold, given what came back."""
        return self.net_receipts + self.line("cost_of_goods_sold").cents + self.line("cost_back").cents

    @property
    def gross_profit_ratio(self) -> Fraction | None:
        """Gross profit over net receipts (not over cost); None where nothing was received."""
        return Fraction(self.gross_profit, self.net_receipts) if self.net_receipts > 0 else None


def month_profit(ledgers: Iterable[PieceLedger], shop_costs: Iterable[ShopCostRow], month: Month) -> MonthProfit:
    """The profit of one month: see `period_profit`."""
    return period_profit(ledgers, shop_costs, month.first, month.last)


def period_profit(
    ledgers: Iterable[PieceLedger], shop_costs: Iterable[ShopCostRow], first: date, last: date
) -> MonthProfit:
    """The profit of all rows dated from `first` to `last`, both included.

    A piece without a row in the period changes nothing, so it need not be given; one that has a row must come
    with all its rows. Raises LedgerError where a piece's rows cannot have happened in their order.
    """
    within = [cost for cost in shop_costs if first <= cost.on <= last]
    return profit_of_steps(steps_between(ledgers, first, last), within, first, last)


def months_profit(
    ledgers: Iterable[PieceLedger], shop_costs: Iterable[ShopCostRow], months: Sequence[Month]
) -> list[MonthProfit]:
    """The profit of each month, every piece being walked once for all of them: see `period_profit`."""
    steps: dict[Month, list[Step]] = {month: [] for month in months}
    spent: dict[Month, list[ShopCostRow]] = {month: [] for month in months}
    for ledger in ledgers:
        for movement in walk(ledger):
            if (within := steps.get(Month.of(movement.on))) is not None:
                within.append(Step(ledger, movement))
    for cost in shop_costs:
        if (costs := spent.get(Month.of(cost.on))) is not None:
            costs.append(cost)
    return [profit_of_steps(steps[month], spent[month], month.first, month.last) for month in months]


def profit_of_steps(steps: Sequence[Step], shop_costs: Sequence[ShopCostRow], first: date, last: date) -> MonthProfit:
    """The profit of steps and shop costs that all lie in the period."""
    sheet = LineSheet({**PROFIT_LINES, **MEMO_LINES})
    for ledger, movement in steps:
        for key, cents, rows in _postings(movement):
            sheet.add(key, ledger, movement.on, cents, rows)
    lines = sheet.lines()
    return MonthProfit(
        first=first,
        last=last,
        lines=lines[: len(PROFIT_LINES)],
        shop_costs=line_of("shop_costs", "Shop costs", shop_cost_parts(shop_costs)),
        kept=line_named(lines, KEPT),
        tax=line_named(lines, "tax"),
        sales=tuple(_sale_lines(steps)),
        returned_count=sum(step.movement.kind is MovementKind.RETURNED for step in steps),
        cash=cash_of_steps(steps, shop_costs, first, last),
    )


def contribution(movement: Movement) -> int:
    """Cents one movement brings to the profit on pieces of its month."""
    return sum(cents for key, cents, _ in _postings(movement) if key in PROFIT_LINES)


def _postings(movement: Movement) -> Iterator[tuple[str, int, tuple[RowRef, ...]]]:
    source, own = movement.source, (movement.source.row,)
    if isinstance(source, SaleRow):
        yield "sales", source.price, own
        yield "delivery_charged", source.delivery_charged, own
        yield "cost_of_goods_sold", movement.cents, movement.rows
        yield "fees", -source.fees, own
        yield "delivery_paid", -source.delivery_paid, own
        yield "tax", source.tax_collected, own
    elif isinstance(source, ReturnRow):
        yield "refunds", -source.refund, own
        yield "cost_back", movement.cents, movement.rows
        yield "fees_back", source.fees_back, own
        yield "delivery_back", source.delivery_back, own
        yield "tax", -source.tax_refunded, own
    elif isinstance(source, AtOnceRow):
        yield source.key, source.cents, own
        yield "tax", source.tax, own
    elif movement.kind is MovementKind.LATE_COST:
        yield "late_costs", -movement.cents, own
    elif movement.how:
        yield movement.how, movement.cents, movement.rows


def _sale_lines(steps: Iterable[Step]) -> Iterator[SaleLine]:
    for ledger, movement in steps:
        sale = movement.source
        if isinstance(sale, SaleRow):
            yield SaleLine(
                row=sale.row,
                piece_id=ledger.piece_id,
                tag=ledger.tag,
                title=ledger.title,
                on=sale.on,
                revenue=sale.price + sale.delivery_charged,
                cost_of_goods_sold=-movement.cents,
                fees=sale.fees,
                delivery_paid=sale.delivery_paid,
                came_back=any(back.sale == sale.row for back in ledger.returns),
            )
