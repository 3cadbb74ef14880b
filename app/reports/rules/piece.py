"""What one piece really cost, and what it earned: the ladder from its price to its profit."""

from collections import defaultdict
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from fractions import Fraction
from typing import Final

from app.basics.money import half_up
from app.reports.rules.ledger import (
    ADJUSTED,
    ADJUSTED_OPENING,
    CORRECTED,
    DEPOSITS_KEPT,
    FEES_BACK,
    KEPT,
    MATERIALS,
    MOVED,
    OPENING,
    PARTS_OFF,
    PREMIUM,
    PRICE,
    REFUNDS,
    TAX,
    TRIP,
    TRIPS,
    AtOnceRow,
    CostRow,
    PieceLedger,
    RowRef,
)
from app.reports.rules.walk import Movement, MovementKind, walk

ON_HAND: Final = "on hand"
SOLD: Final = "sold"

_COST_TERMS: Final = {
    PRICE: "Price paid",
    PREMIUM: "Buyer's premium",
    TAX: "Sales tax on the purchase",
    OPENING: "Cost when the shop began",
    MOVED: "Moved from or to other pieces",
    MATERIALS: "Materials from the shelf",
    PARTS_OFF: "Parts taken off",
    TRIP: "Trips to fetch it",
    ADJUSTED: "Cost corrected later",
    ADJUSTED_OPENING: "Cost corrected later, without a payment",
}
# Keeps a kind of cost line, named by the owner, apart from the rungs that are always there.
_COST_PREFIX: Final = "cost:"
_MINUTES_PER_HOUR: Final = 60


@dataclass(frozen=True, slots=True)
class Term:
    """One rung of a piece's ladder: signed cents, the rows that make them, and what each row brings."""

    key: str
    label: str
    cents: int
    rows: tuple[RowRef, ...]
    amounts: tuple[int, ...]

    @property
    def is_cost(self) -> bool:
        """Whether it is money put into the piece, and not what a sale or a return brought."""
        return self.key in _COST_TERMS or self.key.startswith(_COST_PREFIX)


@dataclass(frozen=True, slots=True)
class PieceProfit:
    """What a piece stands at, or what it made, in cents.

    `state` is "on hand", "sold", "kept", "given_away" or "scrapped". `money_in` is all that was ever put into
    the piece, which trips that count at once are not; `put_in` is what of it stands in stock now (0 once gone).
    `realised` is the profit or loss made so far, with what counted at once; `profit` is the sum of the terms
    once the piece is gone and None while it is on hand.
    """

    piece_id: int
    tag: str
    title: str
    state: str
    terms: tuple[Term, ...]
    money_in: int
    put_in: int
    realised: int
    profit: int | None
    minutes: int

    @property
    def is_only_cost(self) -> bool:
        """Whether the piece is on hand and all that was booked on it stands in stock: its ladder is what was put in."""
        return self.state == ON_HAND and self.realised == 0 and all(term.is_cost for term in self.terms)

    @property
    def per_hour_cents(self) -> int | None:
        """Profit per hour worked, rounded half-up; None until sold, and where no time was logged."""
        if self.state != SOLD or self.profit is None:
            return None
        return per_hour(self.profit, self.minutes)

    @property
    def return_on_cash(self) -> Fraction | None:
        """Profit over all money put in; None while on hand, when kept, and where nothing was put in."""
        if self.profit is None or self.state == KEPT or self.money_in <= 0:
            return None
        return Fraction(self.profit, self.money_in)

    def term(self, key: str) -> Term | None:
        """The rung with the key, or None where the piece has no such rung."""
        return next((term for term in self.terms if term.key == key), None)


def per_hour(profit_cents: int, minutes: int) -> int | None:
    """Cents earned per hour, rounded half-up once; None where no minute was logged."""
    if minutes <= 0:
        return None
    return half_up(Fraction(profit_cents * _MINUTES_PER_HOUR, minutes))


def piece_profit(ledger: PieceLedger) -> PieceProfit:
    """The whole reckoning of one piece over all its rows; time and costs after the sale count too.

    For every piece `realised` is the sum of its terms plus what stands in stock, and equals the sum of what
    it brought to each month. Raises LedgerError where the rows cannot have happened in their order.
    """
    return profit_of_movements(ledger, walk(ledger))


def profit_of_movements(ledger: PieceLedger, movements: Sequence[Movement]) -> PieceProfit:
    """The reckoning of a piece whose walk is already made: see `piece_profit`."""
    terms = tuple(_terms(ledger, movements))
    put_in = sum(movement.stock_change for movement in movements)
    total = sum(term.cents for term in terms)
    state = _state(movements)
    return PieceProfit(
        piece_id=ledger.piece_id,
        tag=ledger.tag,
        title=ledger.title,
        state=state,
        terms=terms,
        money_in=sum(cost.cents for cost in ledger.costs),
        put_in=put_in,
        realised=total + put_in,
        profit=None if state == ON_HAND else total,
        minutes=ledger.minutes,
    )


def _state(movements: Sequence[Movement]) -> str:
    for movement in reversed(movements):
        if movement.kind is MovementKind.SOLD:
            return SOLD
        if movement.kind is MovementKind.LEFT:
            return movement.how
        if movement.kind in {MovementKind.RETURNED, MovementKind.BACK}:
            return ON_HAND
    return ON_HAND


def _terms(ledger: PieceLedger, movements: Sequence[Movement]) -> Iterator[Term]:
    sales, returns, at_once = ledger.sales, ledger.returns, _at_once_by_key(ledger)
    yield from _term("sales", "Sale price", [(sale.row, sale.price) for sale in sales])
    yield from _term("delivery_charged", "Delivery charged", [(s.row, s.delivery_charged) for s in sales])
    yield from _term(DEPOSITS_KEPT, "Deposits kept", at_once[DEPOSITS_KEPT])
    yield from _term(REFUNDS, "Refunds", [(back.row, -back.refund) for back in returns] + at_once[REFUNDS])
    yield from _cost_terms(ledger.costs)
    yield from _term("fees", "Selling fees", [(sale.row, -sale.fees) for sale in sales])
    fees_back = [(back.row, back.fees_back) for back in returns] + at_once[FEES_BACK]
    yield from _term(FEES_BACK, "Fees given back", fees_back)
    yield from _term("delivery_paid", "Delivery paid", [(sale.row, -sale.delivery_paid) for sale in sales])
    yield from _term("delivery_back", "Delivery recovered", [(b.row, b.delivery_back) for b in returns])
    yield from _term(TRIPS, "Trips", at_once[TRIPS])
    yield from _term(CORRECTED, "Corrections of closed months", at_once[CORRECTED])
    yield from _taken_out(movements)


def _at_once_by_key(ledger: PieceLedger) -> Mapping[str, list[tuple[RowRef, int]]]:
    amounts: dict[str, list[tuple[RowRef, int]]] = defaultdict(list)
    for row in ledger.at_once:
        amounts[row.key].append((row.row, row.cents))
    return amounts


def _cost_terms(costs: tuple[CostRow, ...]) -> Iterator[Term]:
    amounts: dict[str, list[tuple[RowRef, int]]] = {kind: [] for kind in _COST_TERMS}
    labels = dict(_COST_TERMS)
    for cost in costs:
        amounts.setdefault(cost.kind, []).append((cost.row, -cost.cents))
        if cost.kind not in _COST_TERMS:
            labels[cost.kind] = cost.label
    for kind, of_kind in amounts.items():
        yield from _term(kind if kind in _COST_TERMS else f"{_COST_PREFIX}{kind}", labels[kind], of_kind)


def _taken_out(movements: Sequence[Movement]) -> Iterator[Term]:
    going = next((move for move in reversed(movements) if not isinstance(move.source, CostRow | AtOnceRow)), None)
    if going is not None and going.kind is MovementKind.LEFT and going.how == KEPT:
        yield from _term("taken_out", "Taken out by the owner, at cost", [(going.source.row, -going.cents)])


def _term(key: str, label: str, amounts: list[tuple[RowRef, int]]) -> Iterator[Term]:
    that_count = [(row, cents) for row, cents in amounts if cents]
    if that_count:
        rows, cents = zip(*that_count, strict=True)
        yield Term(key, label, sum(cents), rows, cents)
