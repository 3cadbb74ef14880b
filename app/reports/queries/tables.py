"""Sum the tables of the shelf, deposits and trips by day, apart from the rows of the reckoning: for the proof."""

from collections import defaultdict
from datetime import date
from typing import Any

from sqlalchemy import ColumnElement, func, select
from sqlalchemy.orm import InstrumentedAttribute, Session

from app.costs.models import Adjustment
from app.costs.rules import AdjustedPart
from app.reports.rules import TableSums
from app.sales.models import Deposit, DepositEnd
from app.shelf.models import ShelfCharge, ShelfPurchase
from app.trips.models import Trip
from app.trips.rules import CountsAs

Days = dict[date, int]


def table_sums(session: Session) -> TableSums:
    """What those tables say by themselves; eight queries."""
    bought, trip = ShelfPurchase, Trip
    shelf = _by_day(session, bought.on_date, bought.price_cents + bought.tax_cents, bought.struck_at.is_(None))
    charged = _by_day(session, ShelfCharge.on_date, ShelfCharge.cents)
    taken = _by_day(session, Deposit.on_date, Deposit.amount_cents, Deposit.struck_at.is_(None))
    ended = _by_day(session, DepositEnd.on_date, DepositEnd.cents, DepositEnd.struck_at.is_(None))
    parts = _by_day(
        session, bought.on_date, bought.price_cents, bought.struck_at.is_(None), bought.from_piece_id.is_not(None)
    )
    unpaid_of = trip.charged_cents - trip.extra_cents
    at_the_rate = (trip.struck_at.is_(None), trip.counts_as == CountsAs.RATE)
    return TableSums(
        shelf=_less(shelf, charged),
        deposits=_less(taken, ended),
        trips=_by_day(session, trip.on_date, trip.charged_cents, trip.struck_at.is_(None)),
        parts_off=parts,
        unpaid=_less(_by_day(session, trip.on_date, unpaid_of, *at_the_rate), _negative(_unpaid_corrections(session))),
    )


def _unpaid_corrections(session: Session) -> Days:
    """Corrections of distances at the rate, and of charges of the shelf to the shop: neither moves money."""
    made = Adjustment
    of_the_shelf = made.piece_id.is_(None) & made.corrects_table.in_(("shelf_use", "shelf_count"))
    counts = (made.struck_at.is_(None), (made.part == AdjustedPart.MILEAGE) | of_the_shelf)
    return _by_day(session, made.on_date, made.cents, *counts)


def _by_day(
    session: Session,
    day: InstrumentedAttribute[date],
    cents: ColumnElement[Any] | InstrumentedAttribute[int],
    *counts: ColumnElement[bool],
) -> Days:
    found = session.execute(select(day, func.sum(cents)).where(*counts).group_by(day))
    return {on: int(total) for on, total in found}


def _less(more: Days, less: Days) -> Days:
    days: Days = defaultdict(int, more)
    for on, cents in less.items():
        days[on] -= cents
    return days


def _negative(days: Days) -> Days:
    return {on: -cents for on, cents in days.items()}
