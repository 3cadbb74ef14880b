"""A small book for tests: books rows on one piece in plain words and hands over its ledger."""

from dataclasses import replace
from datetime import date
from typing import Any

from app.reports.rules import (
    MOVED,
    PRICE,
    BackRow,
    CostRow,
    LeavingRow,
    PieceLedger,
    ReturnRow,
    RowRef,
    SaleRow,
    ShopCostRow,
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


def shop_cost(number: int, on: date, cents: int, kind: str = "rent") -> ShopCostRow:
    return ShopCostRow(RowRef("shop_cost", number), on, cents, kind, kind.capitalize())
