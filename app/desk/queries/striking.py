"""Read what stands in the way of striking a find out."""

from collections.abc import Iterator

from sqlalchemy import func, select
from sqlalchemy.orm import Session

from app.costs.models import Adjustment
from app.costs.queries import costs_of
from app.floor.models import Listing
from app.reports.models import WriteDown
from app.sales.models import Deposit
from app.sales.queries import sales_of
from app.shelf.models import ShelfPurchase, ShelfUse
from app.timelog.queries import running_timer, times_of
from app.trips.models import Trip, TripPiece


def what_counts_on(session: Session, piece_id: int) -> str:
    """What must be struck out before the piece can be, in plain words; '' when nothing counts on it."""
    if any(not sale.is_struck for sale in sales_of(session, piece_id)):
        return "It has a sale that counts. Strike the sale out first."
    if session.scalar(select(Listing.id).where(Listing.piece_id == piece_id).limit(1)) is not None:
        return "It has been on the floor, so it was there. Let it go without a sale instead."
    for number, words in _counting(session, piece_id):
        if number:
            return words.format(number)
    timer = running_timer(session)
    return "The clock runs on it. Stop the clock first." if timer is not None and timer.piece_id == piece_id else ""


def _counting(session: Session, piece_id: int) -> Iterator[tuple[int, str]]:
    """How many rows of each room count on the piece, and what to do about them."""
    lines = sum(not line.is_struck for line in costs_of(session, piece_id))
    yield lines, "Costs still count on it ({}). Strike them out first, under its cost lines."
    entries = sum(not entry.is_struck for entry in times_of(session, piece_id))
    yield entries, "Work still counts on it ({}). Strike it out first, under its time."
    counting = (
        (
            select(func.count(ShelfUse.id)).where(ShelfUse.piece_id == piece_id, ShelfUse.struck_at.is_(None)),
            "Materials from the shelf were used on it ({}). Strike those uses out first.",
        ),
        (
            select(func.count(ShelfPurchase.id)).where(
                ShelfPurchase.from_piece_id == piece_id, ShelfPurchase.struck_at.is_(None)
            ),
            "Parts of it went to the shelf ({}). Strike that out first, on the shelf.",
        ),
        (
            select(func.count(Trip.id))
            .join(TripPiece, TripPiece.trip_id == Trip.id)
            .where(TripPiece.piece_id == piece_id, Trip.struck_at.is_(None)),
            "Trips were made for it ({}). Strike them out first, or enter them again without it.",
        ),
        (
            select(func.count(Deposit.id)).where(Deposit.piece_id == piece_id, Deposit.struck_at.is_(None)),
            "A deposit was taken on it ({}). Strike the deposit out first.",
        ),
        (
            select(func.count(WriteDown.id)).where(WriteDown.piece_id == piece_id, WriteDown.struck_at.is_(None)),
            "It was written down ({}). Strike the write-down out first.",
        ),
        (
            select(func.count(Adjustment.id)).where(Adjustment.piece_id == piece_id, Adjustment.struck_at.is_(None)),
            "Corrections of closed months count on it ({}). Let it go without a sale instead.",
        ),
    )
    for rows, words in counting:
        yield session.scalar(rows) or 0, words
