"""Read what stands in the way of striking a find out."""

from collections.abc import Iterator

from sqlalchemy import select
from sqlalchemy.orm import Session

from app.costs.queries import costs_of
from app.floor.models import Listing
from app.sales.queries import deposits_of, sales_of
from app.timelog.queries import running_timer, times_of


def what_counts_on(session: Session, piece_id: int) -> str:
    """What must be struck out before the piece can be, in plain words; '' when nothing counts on it."""
    return next(_obstacles(session, piece_id), "")


def _obstacles(session: Session, piece_id: int) -> Iterator[str]:
    if any(not sale.is_struck for sale in sales_of(session, piece_id)):
        yield "It has a sale that counts. Strike the sale out first."
    if session.scalar(select(Listing.id).where(Listing.piece_id == piece_id).limit(1)) is not None:
        yield "It has been on the floor, so it was there. Let it go without a sale instead."
    if any(not deposit.is_struck for deposit in deposits_of(session, piece_id)):
        yield "A deposit was taken on it. Strike that out first, or let the piece go without a sale instead."
    lines = sum(not line.is_struck for line in costs_of(session, piece_id))
    if lines:
        yield f"Costs still count on it ({lines}). Strike them out first, under its cost lines."
    entries = sum(not entry.is_struck for entry in times_of(session, piece_id))
    if entries:
        yield f"Work still counts on it ({entries}). Strike it out first, under its time."
    timer = running_timer(session)
    if timer is not None and timer.piece_id == piece_id:
        yield "The clock runs on it. Stop the clock first."
