"""Read the money and the minutes put into pieces as rows of the reckoning."""

from collections import defaultdict
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from datetime import date
from typing import Any, Final

from sqlalchemy import SelectBase, or_, select
from sqlalchemy.orm import Session

from app.costs.models import CostLine
from app.costs.rules import COST_WORDS
from app.pieces.models import Purchase, Transfer
from app.pieces.rules import PurchaseKind
from app.reports.queries.chosen import within
from app.reports.rules import MOVED, OPENING, PREMIUM, PRICE, TAX, CostRow, RowRef, TimeRow
from app.timelog.models import TimeEntry

PURCHASE: Final = "purchase"
COST_LINE: Final = "cost_line"
TRANSFER: Final = "transfer"
TIME_ENTRY: Final = "time_entry"

MOVED_WORDS: Final = "Moved from or to other pieces"


@dataclass(frozen=True, slots=True)
class MovedRow:
    """One transfer as one of its two pieces sees it: cents and minutes below zero for the giver."""

    piece_id: int
    id: int
    on: date
    cents: int
    minutes: int


def cost_rows(session: Session, chosen: SelectBase | None, moved: Iterable[MovedRow]) -> dict[int, list[CostRow]]:
    """What was put into the chosen pieces, by piece id, with what moved; two queries."""
    costs: dict[int, list[CostRow]] = defaultdict(list)
    amounts = (Purchase.price_cents, Purchase.premium_cents, Purchase.tax_cents)
    bought = select(Purchase.piece_id, Purchase.id, Purchase.on_date, Purchase.kind, *amounts).where(
        Purchase.struck_at.is_(None), *within(Purchase.piece_id, chosen)
    )
    for purchase in session.execute(bought.order_by(Purchase.on_date, Purchase.id)):
        costs[purchase.piece_id] += _purchase_rows(purchase)
    spent = select(CostLine.id, CostLine.piece_id, CostLine.on_date, CostLine.amount_cents, CostLine.kind).where(
        CostLine.piece_id.is_not(None), CostLine.struck_at.is_(None), *within(CostLine.piece_id, chosen)
    )
    for line_id, piece_id, on_date, cents, kind in session.execute(spent.order_by(CostLine.on_date, CostLine.id)):
        row = CostRow(RowRef(COST_LINE, line_id), on_date, cents, kind.value, COST_WORDS[kind])
        costs[piece_id or 0].append(row)
    for move in moved:
        if move.cents:
            costs[move.piece_id].append(CostRow(RowRef(TRANSFER, move.id), move.on, move.cents, MOVED, MOVED_WORDS))
    return costs


def time_rows(session: Session, chosen: SelectBase | None, moved: Iterable[MovedRow]) -> dict[int, list[TimeRow]]:
    """Minutes worked on the chosen pieces, by piece id, with those that moved; one query."""
    times: dict[int, list[TimeRow]] = defaultdict(list)
    worked = select(TimeEntry.id, TimeEntry.piece_id, TimeEntry.on_date, TimeEntry.minutes, TimeEntry.activity).where(
        TimeEntry.piece_id.is_not(None), TimeEntry.struck_at.is_(None), *within(TimeEntry.piece_id, chosen)
    )
    for entry_id, piece_id, on_date, minutes, activity in session.execute(worked.order_by(TimeEntry.on_date)):
        times[piece_id or 0].append(TimeRow(RowRef(TIME_ENTRY, entry_id), on_date, minutes, activity.value))
    for move in moved:
        if move.minutes:
            times[move.piece_id].append(TimeRow(RowRef(TRANSFER, move.id), move.on, move.minutes, MOVED))
    return times


def moved_rows(session: Session, chosen: SelectBase | None) -> list[MovedRow]:
    """Every transfer from or to a chosen piece, once for each of its two sides; one query."""
    moved = Transfer
    transfers = select(moved.id, moved.from_piece_id, moved.to_piece_id, moved.on_date, moved.cents, moved.minutes)
    if chosen is not None:
        transfers = transfers.where(or_(moved.from_piece_id.in_(chosen), moved.to_piece_id.in_(chosen)))
    found: list[MovedRow] = []
    for row_id, giver, taker, on, cents, minutes in session.execute(transfers.order_by(moved.on_date, moved.id)):
        found.append(MovedRow(taker, row_id, on, cents, minutes))
        found.append(MovedRow(giver, row_id, on, -cents, -minutes))
    return found


def _purchase_rows(bought: Any) -> Iterator[CostRow]:
    row, on_date = RowRef(PURCHASE, bought.id), bought.on_date
    amounts = [
        (bought.price_cents, PRICE, "Price paid"),
        (bought.premium_cents, PREMIUM, "Buyer's premium"),
        (bought.tax_cents, TAX, "Sales tax on the purchase"),
    ]
    if bought.kind is PurchaseKind.OPENING:
        amounts = [(sum(cents for cents, *_ in amounts), OPENING, "Cost when the shop began")]
    return (CostRow(row, on_date, cents, kind, label) for cents, kind, label in amounts if cents)
