"""Rows gathered by table before they are written in one go, and the chance that shapes them."""

import random
from collections import defaultdict
from datetime import UTC, date, datetime, time, timedelta
from typing import Any
from uuid import UUID

from sqlalchemy import insert
from sqlalchemy.orm import Session

from app.costs.models import Adjustment, CostLine
from app.database.base import Base
from app.floor.models import AskingPrice, Channel, Listing
from app.pieces.models import LeavingRow, Piece, Purchase, Step, Transfer
from app.reports.models import WriteDown
from app.sales.models import Deposit, DepositEnd, Sale, SaleRefund, SaleReturn
from app.shelf.models import Material, ShelfCharge, ShelfCount, ShelfPurchase, ShelfUse
from app.timelog.models import TimeEntry
from app.trips.models import Trip, TripPiece

IN_ORDER: tuple[type[Base], ...] = (
    Channel,
    Piece,
    Purchase,
    Transfer,
    CostLine,
    TimeEntry,
    Step,
    Listing,
    AskingPrice,
    Sale,
    SaleReturn,
    SaleRefund,
    LeavingRow,
    Deposit,
    DepositEnd,
    Material,
    ShelfPurchase,
    ShelfUse,
    ShelfCount,
    ShelfCharge,
    Trip,
    TripPiece,
    Adjustment,
    WriteDown,
)
"""Every table a big shop writes, parents before their children."""

Row = dict[str, Any]


class Rows:
    """The rows of a shop in the making; `chance` is seeded, so the same seed makes the same shop."""

    def __init__(self, seed: int) -> None:
        self.chance = random.Random(seed)  # noqa: S311 - made-up rows
        self.of: dict[type[Base], list[Row]] = defaultdict(list)

    def add(self, table: type[Base], **columns: Any) -> Row:
        """A row with the next id of its table; columns not said are left to `write`."""
        row = {"id": len(self.of[table]) + 1, **columns}
        self.of[table].append(row)
        return row

    def captured(self, table: type[Base], on: date, **columns: Any) -> Row:
        """A row with a capture id, made on its day, that counts."""
        return self.add(
            table,
            capture_id=str(UUID(int=self.chance.getrandbits(128))),
            made_at=moment(on),
            struck_at=None,
            struck_reason=None,
            **columns,
        )

    def happens(self, share: float) -> bool:
        """Whether something comes to pass that does in this share of all cases."""
        return self.chance.random() < share

    def some_days(self, least: int, most: int) -> timedelta:
        """A number of days from `least` to `most`."""
        return timedelta(days=self.chance.randint(least, most))

    def write(self, session: Session) -> None:
        """Write every row, table by table."""
        for table in IN_ORDER:
            if self.of[table]:
                session.execute(insert(table), self.of[table])


def moment(on: date) -> datetime:
    """An instant on a day of the shop."""
    return datetime.combine(on, time(20, 0), UTC)
