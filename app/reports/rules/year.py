"""The year's page: its lines in the order they are read, and both sides of every sum that must meet."""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from enum import StrEnum
from typing import Final

from app.basics.dates import Month
from app.costs.rules import COST_WORDS, AdjustedPart
from app.reports.rules.ledger import GIVEN_AWAY, KEPT, SCRAPPED
from app.reports.rules.month import MEMO_LINES, PROFIT_LINES
from app.reports.rules.stock import STOCK_LINES
from app.reports.rules.sums import SHOP, STOCK_KEYS, PeriodSums, is_part_of

RECEIPTS: Final = ("sales", "delivery_charged", "refunds")
"""The lines that make the net receipts."""

COST_OF_SALES: Final = ("cost_of_goods_sold", "cost_back")
"""The lines that make the cost of what sold and stayed sold."""

OUT_OF_STOCK: Final = (
    "stock:sold",
    "stock:returned",
    "stock:brought_back",
    *(f"stock:{how}" for how in (KEPT, GIVEN_AWAY, SCRAPPED)),
)
"""What takes pieces out of stock and brings them back; all else in the stock is put into it."""

INTO_STOCK: Final = tuple(key for key in STOCK_KEYS if key not in OUT_OF_STOCK)

STANDING_WORDS: Final[Mapping[str, str]] = {
    "opening:stock": "Opening stock at cost",
    "closing:stock": "Closing stock at cost",
    "opening:shelf": "On the shelf at the start",
    "closing:shelf": "On the shelf at the end",
    "opening:deposits": "Owed to buyers at the start",
    "closing:deposits": "Owed to buyers at the end",
    "closing:written": "Written down",
    "pieces": "What each piece made",
}
SHELF_WORDS: Final[Mapping[str, str]] = {
    "shelf:bought": "Bought for the shelf",
    "shelf:parts_off": "Parts that came from pieces",
    "shelf:used": "Used on pieces",
    "shelf:shop": "Used by the shop, or missing when counted",
}
DEPOSIT_WORDS: Final[Mapping[str, str]] = {
    "deposits:taken": "Deposits taken",
    "deposits:applied": "Applied to sales",
    "deposits:refunded": "Given back",
    "deposits:kept": "Kept",
}
LINE_WORDS: Final[Mapping[str, str]] = {
    **PROFIT_LINES,
    **MEMO_LINES,
    SHOP: "Shop costs",
    **{f"stock:{key}": words for key, words in STOCK_LINES.items()},
    **SHELF_WORDS,
    **DEPOSIT_WORDS,
    **STANDING_WORDS,
    "all_trips": "All trips of the log",
}
"""Every line that opens to its rows, in words."""

PART_WORDS: Final[Mapping[str, str]] = {
    **{kind.value: words for kind, words in COST_WORDS.items()},
    "price": "Price",
    "premium": "Buyer's premium",
    "tax": "Sales tax",
    "opening": "Opening cost",
    "moved": "Moved between pieces",
    "shelf": "Materials from the shelf",
    "parts_off": "Parts taken off",
    "trip_cost": "Trips to fetch",
    "trips": "Trips for no piece",
    "adjusted": "Corrections of closed months",
    "rate": "At the rate",
    "actual": "At actual cost",
    "in": "To a piece",
    "out": "From a piece",
    "left": "Went",
    "back": "Came back",
    "returns": "Of returns",
    "in_part": "In part",
    "collected": "Collected",
    "given_back": "Given back",
    "corrected": "Corrected",
    "use": "Used",
    "count": "Counted",
    "settlement": "Settled by a purchase",
    AdjustedPart.COST: "Cost",
    AdjustedPart.SHOP_COST: "Shop cost",
    AdjustedPart.MILEAGE: "Distance at the rate",
    AdjustedPart.TRIP: "Trip at actual cost",
    AdjustedPart.DELIVERY_CHARGED: "Delivery charged",
    AdjustedPart.DELIVERY_PAID: "Delivery paid",
    AdjustedPart.FEES: "Selling fees",
    AdjustedPart.REFUND: "Refund",
}
"""The parts of lines in words, by the last word of their keys."""

SHOP_WORDS: Final[Mapping[str, str]] = {
    **PART_WORDS,
    "shelf": "Materials for the shop",
    "adjusted": "Corrections of shop costs",
}
"""The kinds of shop costs where they stand among the lines of the pieces."""

PROFIT_NOTE: Final = "What sold in the year, less what it had cost and the shop's own costs."
STOCK_NOTE: Final = (
    "What the pieces cost: there at the start, put in, gone out, still there. Trips at the rate are never in it:"
    " they lower the profit at once."
)
SHELF_NOTE: Final = "Materials: what was bought and what was used, at cost."
DEPOSITS_NOTE: Final = "Money taken before a sale is owed to the buyer until it is applied, given back or kept."
WRITTEN_NOTE: Final = "Stands apart: a write-down changes neither the stock at cost nor any profit on this page."
BESIDE_NOTE: Final = "No part of it: what you kept is taken out at cost, and sales tax is passed on."


def words_of_line(key: str) -> str:
    """A line in words, a part of one with the line before it; refuses what is no line (KeyError)."""
    line = next((line for line in sorted(LINE_WORDS, key=len, reverse=True) if is_part_of(key, line)), None)
    if line is None:
        raise KeyError(key)
    parts = key[len(line) + 1 :].split(":") if key != line else []
    return ": ".join([LINE_WORDS[line], *(PART_WORDS[part] for part in parts)])


class LineKind(StrEnum):
    """A line, a sum of the lines above it, or what a section comes to at last."""

    LINE = "line"
    SUM = "sum"
    TOTAL = "total"


@dataclass(frozen=True, slots=True)
class YearLine:
    """One line of the year in signed cents; its rows are opened by the key, which a sum has none of."""

    key: str
    label: str
    cents: int
    kind: LineKind = LineKind.LINE


@dataclass(frozen=True, slots=True)
class Section:
    """A part of the year: its title, a sentence on what it tells, and its lines."""

    key: str
    title: str
    words: str
    lines: tuple[YearLine, ...]


@dataclass(frozen=True, slots=True)
class Tie:
    """A sum worked out in two ways or three, in cents: with what each of them is called."""

    name: str
    sides: tuple[tuple[str, int], ...]

    @property
    def gap(self) -> int:
        """By how much the sides differ; 0 where they meet."""
        amounts = [cents for _, cents in self.sides]
        return max(amounts) - min(amounts)


@dataclass(frozen=True, slots=True)
class YearBooks:
    """A year: its sums, its months, what its pieces made one by one, and what stands written down at its end."""

    year: int
    sums: PeriodSums
    months: tuple[tuple[Month, PeriodSums], ...]
    piece_count: int
    made_by_pieces: int
    written: int

    @property
    def is_empty(self) -> bool:
        """Whether nothing is booked in the year and nothing stands from before."""
        standing = (self.sums.opening.stock, self.sums.opening.shelf, self.sums.opening.deposits)
        return not self.sums.amounts and not any(standing)

    @property
    def net_receipts(self) -> int:
        """Sale prices and delivery charged less refunds."""
        return sum(self.sums.cents(key) for key in RECEIPTS)

    @property
    def cost_of_sales(self) -> int:
        """What the pieces that sold and stayed sold had cost, below zero."""
        return sum(self.sums.cents(key) for key in COST_OF_SALES)

    @property
    def lower_of_both(self) -> int:
        """The closing stock at cost, less what is written down."""
        return self.sums.closing_stock + self.written

    def lines(self, words: Mapping[str, str]) -> tuple[YearLine, ...]:
        """The lines of a section that have anything booked on them."""
        return tuple(
            YearLine(key, label, self.sums.cents(key)) for key, label in words.items() if self.sums.is_booked(key)
        )

    def sections(self) -> Iterator[Section]:
        """The year part by part; what has nothing booked and nothing standing is left out."""
        yield Section("profit", "Profit", PROFIT_NOTE, self._profit_lines())
        yield Section("stock", "Stock at cost", STOCK_NOTE, self._stock_lines())
        opening, closing = self.sums.opening, self.sums.closing
        shelf = self._framed("shelf", (opening.shelf, closing.shelf), SHELF_WORDS)
        deposits = self._framed("deposits", (opening.deposits, closing.deposits), DEPOSIT_WORDS)
        if shelf:
            yield Section("shelf", "The shelf", SHELF_NOTE, shelf)
        if deposits:
            yield Section("deposits", "Deposits", DEPOSITS_NOTE, deposits)
        yield Section("written", "What the stock will bring", WRITTEN_NOTE, self._written_lines())
        beside = self.lines({KEPT: MEMO_LINES[KEPT], "tax": MEMO_LINES["tax"]})
        if beside:
            yield Section("beside", "Beside the profit", BESIDE_NOTE, beside)

    def _profit_lines(self) -> tuple[YearLine, ...]:
        sums = self.sums
        pieces = {key: words for key, words in PROFIT_LINES.items() if key not in {*RECEIPTS, *COST_OF_SALES}}
        kinds = sorted(sums.parts(SHOP).items(), key=lambda kind: (kind[0] == "adjusted", SHOP_WORDS[kind[0]]))
        return (
            *self.lines({key: PROFIT_LINES[key] for key in RECEIPTS}),
            YearLine("", "Net receipts", self.net_receipts, LineKind.SUM),
            *self.lines({key: PROFIT_LINES[key] for key in COST_OF_SALES}),
            YearLine("", "Gross profit", self.net_receipts + self.cost_of_sales, LineKind.SUM),
            *self.lines(pieces),
            YearLine("pieces", "Profit on pieces", sums.profit_on_pieces, LineKind.SUM),
            *(YearLine(f"{SHOP}:{kind}", SHOP_WORDS[kind], cents) for kind, cents in kinds),
            YearLine("", f"Profit of {self.year}", sums.profit, LineKind.TOTAL),
        )

    def _stock_lines(self) -> tuple[YearLine, ...]:
        # First what was put in, then what went out, and what sold at the last.
        keys = (*INTO_STOCK, *OUT_OF_STOCK[1:], OUT_OF_STOCK[0])
        return (
            YearLine("opening:stock", "Opening", self.sums.opening.stock, LineKind.SUM),
            *self.lines({key: LINE_WORDS[key] for key in keys}),
            YearLine("closing:stock", "Closing", self.sums.closing.stock, LineKind.TOTAL),
        )

    def _framed(self, key: str, standing: tuple[int, int], words: Mapping[str, str]) -> tuple[YearLine, ...]:
        opening, closing = standing
        lines = self.lines(words)
        if not (lines or opening or closing):
            return ()
        return (
            YearLine(f"opening:{key}", "At the start", opening, LineKind.SUM),
            *lines,
            YearLine(f"closing:{key}", "At the end", closing, LineKind.TOTAL),
        )

    def _written_lines(self) -> tuple[YearLine, ...]:
        return (
            YearLine("closing:stock", "Closing stock at cost", self.sums.closing.stock),
            YearLine("closing:written", "Written down", self.written),
            YearLine("", "The lower of the two", self.lower_of_both, LineKind.TOTAL),
        )

    @property
    def profit_from_stock(self) -> int:
        """Profit on pieces from the stock before and after, as a shop without any row of a sale's cost would tell it.

        What was there and came in, less what is still there, is what went out; what the owner kept is no loss.
        """
        went_out = self.sums.opening_stock + sum(self.sums.cents(key) for key in INTO_STOCK) - self.sums.closing_stock
        at_cost = {*COST_OF_SALES, GIVEN_AWAY, SCRAPPED}
        others = sum(self.sums.cents(key) for key in PROFIT_LINES if key not in at_cost)
        return others - went_out - self.sums.cents(KEPT)

    def ties(self) -> Iterator[Tie]:
        """Every sum of the year that is worked out in more than one way."""
        sums = self.sums
        yield Tie(
            "Stock at cost at the end",
            (
                ("opening and all that changed it", sums.opening_stock + sums.stock_change),
                ("what the pieces here stand at", sums.closing_stock),
            ),
        )
        left = sum(sums.cents(key) for key in OUT_OF_STOCK[2:])
        came = sums.opening_stock + sum(sums.cents(key) for key in INTO_STOCK)
        yield Tie(
            "Cost of what sold",
            (
                ("sale by sale", -self.cost_of_sales),
                ("opening, all that came in, less closing", came + left - sums.closing_stock),
            ),
        )
        yield Tie(
            "Profit on pieces",
            (
                ("piece by piece", self.made_by_pieces),
                ("the months together", sum(month.profit_on_pieces for _, month in self.months)),
                ("the year, from its stock", self.profit_from_stock),
            ),
        )
        yield from self._ties_beside()

    def _ties_beside(self) -> Iterator[Tie]:
        sums = self.sums
        if sums.opening.shelf or sums.shelf_change:
            both = ("opening and all that changed it", sums.opening.shelf + sums.shelf_change)
            yield Tie("The shelf at the end", (both, ("bought less charged, ever", sums.closing.shelf)))
        if any(sums.is_booked(key) for key in DEPOSIT_WORDS) or sums.opening.deposits:
            both = ("opening and all that changed it", sums.opening.deposits + sums.deposits_change)
            yield Tie("Deposits owed at the end", (both, ("taken less ended, ever", sums.closing.deposits)))
        if sums.is_booked("all_trips"):
            at_rate = sums.cents("trips:rate") + sums.cents(f"{SHOP}:trips:rate")
            yield Tie(
                "Trips at the rate, none of it in stock",
                (("all of them in the log", sums.cents("all_trips:rate")), ("what stands in the profit", at_rate)),
            )
            yield Tie(
                "Trips at actual cost",
                (
                    ("all of them in the log", sums.cents("all_trips:actual")),
                    ("in the profit and in stock", self._actual_trips()),
                ),
            )

    def _actual_trips(self) -> int:
        at_once = self.sums.cents("trips:actual") + self.sums.cents(f"{SHOP}:trips:actual")
        return at_once + self.sums.cents("late_costs:trip_cost") - self.sums.cents("stock:trips")
