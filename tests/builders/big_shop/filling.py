"""Fill a ledger with a big shop: so many pieces over six years, some fifteen rows of money on each."""

from datetime import date, timedelta

from sqlalchemy.orm import Session

from app.basics.dates import Month, months_between
from app.costs.models import Adjustment, CostLine
from app.database.base import Base
from app.floor.models import Channel
from app.pieces.models import LeavingRow, Purchase, Transfer
from app.reports.models import WriteDown
from app.reports.queries import months_of
from app.reports.queries.sums import months_sums
from app.sales.models import Deposit, DepositEnd, Sale, SaleRefund, SaleReturn
from app.shelf.models import ShelfCharge, ShelfPurchase
from app.shop.actions import keep_closed, set_up_shop
from app.shop.rules import MonthFigures
from app.trips.models import Trip, TripPiece
from tests.builders.big_shop.beside import make_trips, put_right, run_the_shop, stock_the_shelf
from tests.builders.big_shop.lives import Lives
from tests.builders.big_shop.rows import Rows
from tests.conftest import NOW, SHOP

FIRST_DAY = SHOP.started_on
LAST_DAY = date(2026, 11, 24)
LAST_CLOSED = Month(2026, 8)

MONEY_TABLES: tuple[type[Base], ...] = (
    Purchase,
    CostLine,
    Transfer,
    Sale,
    SaleReturn,
    SaleRefund,
    LeavingRow,
    Deposit,
    DepositEnd,
    ShelfPurchase,
    ShelfCharge,
    Trip,
    TripPiece,
    Adjustment,
    WriteDown,
)
"""The tables whose rows are money."""


def fill_big_shop(session: Session, pieces: int, *, seed: int = 1, costs: int = 6) -> int:
    """Write a shop of that many finds; how many rows of money it has."""
    set_up_shop(session, SHOP, now=NOW)
    rows = Rows(seed)
    rows.add(Channel, version=2, name="Local classifieds", percent_hundredths=0, fixed_cents=0, is_put_away=False)
    lives = Lives(rows, FIRST_DAY, LAST_DAY)
    span = (LAST_DAY - FIRST_DAY).days
    for number in range(pieces):
        lives.live(FIRST_DAY + timedelta(days=span * number // pieces), costs=costs)
    stock_the_shelf(rows, lives.days_at_work)
    make_trips(rows, lives.days_at_work, 0.17)
    run_the_shop(rows, FIRST_DAY, LAST_DAY, every_days=2)
    put_right(rows, LAST_CLOSED.last, LAST_DAY, 0.02)
    rows.write(session)
    close_months(session)
    return sum(len(rows.of[table]) for table in MONEY_TABLES)


def close_months(session: Session) -> None:
    """Close every month but the last ones, each with its figures as they stand."""
    months = months_between(Month.of(FIRST_DAY), LAST_CLOSED)
    sums = months_sums(session, FIRST_DAY, LAST_CLOSED.last)
    for month, profit in zip(months, months_of(session, months), strict=True):
        closing = sums[month].closing
        figures = MonthFigures(profit.profit, profit.cash.net, closing.stock, closing.shelf, closing.deposits)
        keep_closed(session, month, figures, first=months[0], now=NOW)
