"""A small book for tests: books rows on one piece in plain words and hands over its ledger."""

from collections import Counter
from dataclasses import replace
from datetime import date
from typing import Any

from app.reports.rules import (
    CORRECTED,
    CORRECTIONS,
    DEPOSITS,
    DEPOSITS_KEPT,
    FEES_BACK,
    MATERIALS,
    MOVED,
    PARTS_OFF,
    PRICE,
    REFUNDS,
    SHELF,
    SHELF_BOUGHT,
    TRIP,
    TRIPS,
    AtOnceRow,
    BackRow,
    CostRow,
    LeavingRow,
    PieceLedger,
    ReturnRow,
    RowRef,
    SaleRow,
    ShopCostRow,
    TableSums,
    TimeRow,
)


class Book:
    """One piece; amounts in cents; each booking gets the next row number and place in its day."""

    def __init__(
        self,
        tag: str = "T-1",
        sourced_on: date = date(2026, 1, 5),
        *,
        piece_id: int = 1,
        listed_on: date | None = None,
    ) -> None:
        self.ledger = PieceLedger(piece_id, tag, f"Piece {tag}", 1, sourced_on, listed_on)
        self._rows = 0

    def cost(self, on: date, cents: int, kind: str = PRICE) -> CostRow:
        cost = CostRow(self._row("cost_line"), on, cents, kind, kind.capitalize())
        self.ledger = replace(self.ledger, costs=(*self.ledger.costs, cost))
        return cost

    def sell(self, on: date, price: int, *, delivery: tuple[int, int] = (0, 0), fees: int = 0, tax: int = 0) -> SaleRow:
        """`delivery` is what was charged and what was paid for it."""
        sale = SaleRow(self._row("sale"), on, price, *delivery, fees, tax, self._rows)
        self.ledger = replace(self.ledger, sales=(*self.ledger.sales, sale))
        return sale

    def take_back(
        self, sale: SaleRow, on: date, refund: int, *, tax: int = 0, fees: int = 0, delivery: int = 0
    ) -> ReturnRow:
        row = ReturnRow(self._row("sale_return"), sale.row, on, refund, tax, fees, delivery, self._rows)
        self.ledger = replace(self.ledger, returns=(*self.ledger.returns, row))
        return row

    def leave(self, on: date, how: str) -> LeavingRow:
        leaving = LeavingRow(self._row("leaving"), on, how, self._rows)
        self.ledger = replace(self.ledger, leavings=(*self.ledger.leavings, leaving))
        return leaving

    def bring_back(self, leaving: LeavingRow, on: date) -> BackRow:
        back = BackRow(self._row("piece_back"), leaving.row, on, self._rows)
        self.ledger = replace(self.ledger, backs=(*self.ledger.backs, back))
        return back

    def work(self, on: date, minutes: int) -> TimeRow:
        time = TimeRow(self._row("time_entry"), on, minutes, "sanding")
        self.ledger = replace(self.ledger, times=(*self.ledger.times, time))
        return time

    def at_once(self, on: date, key: str, cents: int, *, cash_key: str = "", cash: int = 0, tax: int = 0) -> AtOnceRow:
        row = AtOnceRow(self._row(key), on, key, key.capitalize(), cents, cash_key, cash, tax)
        self.ledger = replace(self.ledger, at_once=(*self.ledger.at_once, row))
        return row

    def list_on(self, on: date) -> None:
        self.ledger = replace(self.ledger, listed_on=on)

    def amend_sale(self, **amounts: Any) -> None:
        """Put further amounts on the newest sale."""
        *earlier, newest = self.ledger.sales
        self.ledger = replace(self.ledger, sales=(*earlier, replace(newest, **amounts)))

    def amend_return(self, **amounts: Any) -> None:
        """Put further amounts on the newest return."""
        *earlier, newest = self.ledger.returns
        self.ledger = replace(self.ledger, returns=(*earlier, replace(newest, **amounts)))

    def _row(self, table: str) -> RowRef:
        self._rows += 1
        return RowRef(table, self.ledger.piece_id * 10_000 + self._rows)


def move(giver: Book, taker: Book, on: date, cents: int) -> None:
    """Move cost from one piece to another."""
    giver.cost(on, -cents, MOVED)
    taker.cost(on, cents, MOVED)


class Beside:
    """What stands beside the pieces: each act books its row, and by itself what a table would say of it."""

    def __init__(self) -> None:
        self.shop_costs: list[ShopCostRow] = []
        self.shelf, self.deposits, self.trips, self.parts_off, self.unpaid = (Counter[date]() for _ in range(5))

    @property
    def tables(self) -> TableSums:
        return TableSums(self.shelf, self.deposits, self.trips, self.parts_off, self.unpaid)

    def buy(self, on: date, cents: int) -> None:
        self.shelf[on] += cents
        self._shop(on, 0, SHELF_BOUGHT, cents, SHELF)

    def use(self, book: Book | None, on: date, cents: int, *, kind: str = MATERIALS) -> None:
        """For a piece, or for the shop; a count is a use for the shop of its own kind."""
        self.shelf[on] -= cents
        if book is None:
            self._shop(on, cents, kind, 0, "shop_costs")
        else:
            book.cost(on, cents, MATERIALS)

    def take_off(self, book: Book, on: date, cents: int) -> None:
        self.shelf[on] += cents
        self.parts_off[on] += cents
        book.cost(on, -cents, PARTS_OFF)

    def drive(self, book: Book | None, on: date, cents: int, tolls: int = 0) -> None:
        """At the rate: `cents` for the distance and tolls besides."""
        self.trips[on] += cents + tolls
        self.unpaid[on] += cents
        if book is None:
            self._shop(on, cents + tolls, TRIPS, tolls, TRIPS)
        else:
            book.at_once(on, TRIPS, -cents - tolls, cash_key=TRIPS, cash=-tolls)

    def fetch(self, book: Book, on: date, cents: int) -> None:
        """A trip to fetch a piece at actual cost."""
        self.trips[on] += cents
        book.cost(on, cents, TRIP)

    def correct_distance(self, book: Book, on: date, cents: int) -> None:
        self.unpaid[on] += cents
        book.at_once(on, CORRECTED, -cents, cash_key=CORRECTIONS)

    def take_deposit(self, book: Book, on: date, cents: int) -> None:
        self.deposits[on] += cents
        book.at_once(on, DEPOSITS, 0, cash_key=DEPOSITS, cash=cents)

    def end_deposit(self, book: Book, on: date, cents: int, *, is_kept: bool) -> None:
        """Kept, or applied or given back."""
        self.deposits[on] -= cents
        if is_kept:
            book.at_once(on, DEPOSITS_KEPT, cents)
        else:
            book.at_once(on, DEPOSITS, 0, cash_key=DEPOSITS, cash=-cents)

    def _shop(self, on: date, cents: int, kind: str, cash: int, cash_key: str) -> None:
        row = RowRef("beside", len(self.shop_costs) + 1)
        self.shop_costs.append(ShopCostRow(row, on, cents, kind, kind.capitalize(), cash, cash_key))


def refund(book: Book, on: date, cents: int, *, tax: int = 0, fees: int = 0) -> None:
    """Give a part of the price back on a sale that stands."""
    book.at_once(on, REFUNDS, -cents, cash_key="refunded", cash=-cents - tax, tax=-tax)
    if fees:
        book.at_once(on, FEES_BACK, fees, cash_key=FEES_BACK, cash=fees)


def shop_cost(number: int, on: date, cents: int, kind: str = "rent") -> ShopCostRow:
    return ShopCostRow(RowRef("shop_cost", number), on, cents, kind, kind.capitalize())
