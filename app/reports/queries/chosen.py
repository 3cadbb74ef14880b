"""Which pieces a report is about, as queries for their ids: no list of ids ever travels back to the database."""

from collections.abc import Collection
from datetime import date
from typing import Any

from sqlalchemy import ColumnElement, SelectBase, select, union

from app.costs.models import Adjustment, CostLine
from app.pieces.models import LeavingRow, Piece, Purchase, Transfer
from app.pieces.rules import Stage
from app.sales.models import Deposit, DepositEnd, Sale, SaleRefund, SaleReturn
from app.shelf.models import ShelfCharge, ShelfPurchase
from app.trips.models import Trip, TripPiece


def within(column: ColumnElement[Any] | Any, chosen: SelectBase | None) -> tuple[ColumnElement[bool], ...]:
    """The condition that a column names one of the chosen pieces; no condition where all are chosen."""
    return () if chosen is None else (column.in_(chosen),)


def these(piece_ids: Collection[int]) -> SelectBase:
    """The pieces with these ids; meant for a few."""
    return select(Piece.id).where(Piece.id.in_(piece_ids))


def on_hand() -> SelectBase:
    """The pieces that are here now: neither sold nor gone, nor struck out."""
    return select(Piece.id).where(Piece.stage != Stage.SOLD, Piece.left_as.is_(None), Piece.struck_at.is_(None))


def sold_pieces() -> SelectBase:
    """The pieces whose sale stands now."""
    return select(Piece.id).where(Piece.stage == Stage.SOLD)


def left_pieces() -> SelectBase:
    """The pieces that left without a sale and are still gone."""
    return select(Piece.id).where(Piece.left_as.is_not(None))


def with_rows_between(first: date, last: date) -> SelectBase:
    """The pieces with a counting row of money dated from `first` to `last`, both included."""
    return union(
        select(Purchase.piece_id).where(Purchase.struck_at.is_(None), Purchase.on_date.between(first, last)),
        select(CostLine.piece_id).where(
            CostLine.piece_id.is_not(None), CostLine.struck_at.is_(None), CostLine.on_date.between(first, last)
        ),
        select(Transfer.from_piece_id).where(Transfer.on_date.between(first, last)),
        select(Transfer.to_piece_id).where(Transfer.on_date.between(first, last)),
        select(Sale.piece_id).where(Sale.struck_at.is_(None), Sale.sold_on.between(first, last)),
        select(Sale.piece_id)
        .join(SaleReturn, SaleReturn.sale_id == Sale.id)
        .where(SaleReturn.struck_at.is_(None), SaleReturn.returned_on.between(first, last)),
        select(LeavingRow.piece_id).where(LeavingRow.on_date.between(first, last)),
        select(LeavingRow.piece_id).where(LeavingRow.back_on.between(first, last)),
        *_beside_between(first, last),
    )


def _beside_between(first: date, last: date) -> tuple[SelectBase, ...]:
    """The pieces with a row of the shelf, of a trip, a refund in part, a deposit or a correction."""
    used, taken, trip = ShelfCharge, ShelfPurchase, Trip
    refund, end, made = SaleRefund, DepositEnd, Adjustment
    return (
        select(used.piece_id).where(used.piece_id.is_not(None), used.on_date.between(first, last)),
        select(taken.from_piece_id).where(
            taken.from_piece_id.is_not(None), taken.struck_at.is_(None), taken.on_date.between(first, last)
        ),
        select(TripPiece.piece_id)
        .join(trip, trip.id == TripPiece.trip_id)
        .where(trip.struck_at.is_(None), trip.on_date.between(first, last)),
        select(made.piece_id).where(
            made.piece_id.is_not(None), made.struck_at.is_(None), made.on_date.between(first, last)
        ),
        select(Sale.piece_id)
        .join(refund, refund.sale_id == Sale.id)
        .where(refund.struck_at.is_(None), refund.on_date.between(first, last)),
        select(Deposit.piece_id).where(Deposit.struck_at.is_(None), Deposit.on_date.between(first, last)),
        select(Deposit.piece_id)
        .join(end, end.deposit_id == Deposit.id)
        .where(end.struck_at.is_(None), end.on_date.between(first, last)),
    )


def here_or_moved_since(first: date, last: date) -> SelectBase:
    """The pieces that are here now, and those with a counting row of money from `first` to `last`."""
    return union(on_hand(), select(with_rows_between(first, last).subquery().c.piece_id))
