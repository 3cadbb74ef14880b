"""Read how long pieces sit, how long they took to sell, and what an hour earned."""

from datetime import date

from sqlalchemy import SelectBase, func, select, union
from sqlalchemy.orm import Session

from app.floor.models import AskingPrice, Listing
from app.pieces.models import Piece
from app.pieces.rules import shown_name
from app.reports.queries.chosen import on_hand, sold_pieces
from app.reports.queries.ledgers import ledgers_of, ledgers_of_days
from app.reports.rules import (
    DaysToSale,
    ListedPiece,
    ReturnOnTime,
    SittingPiece,
    days_to_sale,
    return_on_time,
    sitting_too_long,
)
from app.sales.models import SaleReturn


def sitting(session: Session, today: date, days: int) -> tuple[SittingPiece, ...]:
    """The pieces on the floor for `days` days or more, the longest first; one query."""
    return sitting_too_long(listed_pieces(session), days, today)


def listed_pieces(session: Session) -> list[ListedPiece]:
    """Every piece on the floor, since when, and what is asked for it now; one query."""
    newest = select(func.max(AskingPrice.id)).where(AskingPrice.listing_id == Listing.id).correlate(Listing)
    found = session.execute(
        select(Piece.tag, Piece.title, Piece.form, Listing.listed_on, AskingPrice.cents)
        .join(Listing, Listing.piece_id == Piece.id)
        .join(AskingPrice, AskingPrice.id == newest.scalar_subquery())
        .where(Listing.ended_on.is_(None))
        .order_by(Listing.listed_on, Piece.id)
    )
    return [ListedPiece(tag, shown_name(title, form), listed_on, cents) for tag, title, form, listed_on, cents in found]


def days_to_sale_of(session: Session, today: date) -> DaysToSale:
    """How long the pieces took that are sold, and how long those take that are still here."""
    return days_to_sale(ledgers_of_days(session, sold_or_here()), today)


def hours_of(session: Session) -> ReturnOnTime:
    """What an hour earned: per sold piece, per month of sale, and over all."""
    return return_on_time(ledgers_of(session, sold_pieces()))


def sales_that_came_back(session: Session) -> int:
    """How many sales were taken back by a return that stands; one query."""
    taken_back = select(func.count(SaleReturn.sale_id.distinct())).where(SaleReturn.struck_at.is_(None))
    return session.scalar(taken_back) or 0


def sold_or_here() -> SelectBase:
    """The pieces that are sold and those that are here; not those that left without a sale."""
    return union(on_hand(), sold_pieces())
