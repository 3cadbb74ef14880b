"""Read what was booked on pieces into ledgers, in a fixed number of queries; struck rows are left away."""

from collections import defaultdict
from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date
from typing import Any

from sqlalchemy import SelectBase, func, select
from sqlalchemy.orm import Session

from app.floor.models import Listing
from app.pieces.models import LeavingRow as StoredLeaving
from app.pieces.models import Piece
from app.pieces.rules import shown_name
from app.reports.queries.beside import Booked, booked_beside
from app.reports.queries.chosen import these, within
from app.reports.queries.costs import MovedRow, cost_rows, moved_rows, time_rows
from app.reports.queries.order import BACK, LEAVING, RETURN, SALE, PieceAndRow, places_in_order
from app.reports.rules import BackRow, LeavingRow, PieceLedger, ReturnRow, RowRef, SaleRow, TimeRow
from app.sales.models import Sale, SaleReturn


def piece_ledgers(session: Session, piece_ids: Collection[int] | None = None) -> list[PieceLedger]:
    """All that counts on every piece, or on those with the given ids, in the order they were entered.

    Twelve queries whatever the number of pieces; struck-out rows are not in it.
    """
    return ledgers_of(session, None if piece_ids is None else these(piece_ids))


def ledgers_of(session: Session, chosen: SelectBase | None) -> list[PieceLedger]:
    """All that counts on the chosen pieces (None: on every one): see `piece_ledgers`.

    A piece struck out as logged by mistake counts nowhere, so it has no ledger.
    """
    moved = moved_rows(session, chosen)
    return _ledgers(session, chosen, _booked(session, chosen, moved), time_rows(session, chosen, moved))


def ledgers_of_money(session: Session, chosen: SelectBase | None) -> list[PieceLedger]:
    """As `ledgers_of` without any time, for what tells of money alone."""
    return _ledgers(session, chosen, _booked(session, chosen, moved_rows(session, chosen)), {})


def ledgers_of_days(session: Session, chosen: SelectBase | None) -> list[PieceLedger]:
    """As `ledgers_of` without any cost or time, for what tells of days alone."""
    return _ledgers(session, chosen, Booked(), {})


def _booked(session: Session, chosen: SelectBase | None, moved: list[MovedRow]) -> Booked:
    """What was put into the pieces and what counted at once, all that moves money but goings and comings."""
    costs, beside = cost_rows(session, chosen, moved), booked_beside(session, chosen)
    for piece_id, rows in beside.costs.items():
        costs[piece_id] += rows
    return Booked(costs, beside.at_once)


def _ledgers(
    session: Session,
    chosen: SelectBase | None,
    booked: Booked,
    times: Mapping[int, Sequence[TimeRow]],
) -> list[PieceLedger]:
    moves, listed_on = _moves(session, chosen), _first_listed(session, chosen)
    pieces = select(Piece.id, Piece.tag, Piece.title, Piece.form, Piece.count, Piece.sourced_on)
    found = session.execute(pieces.where(Piece.struck_at.is_(None), *within(Piece.id, chosen)).order_by(Piece.id))
    return [
        PieceLedger(
            piece_id=piece_id,
            tag=tag,
            title=shown_name(title, form),
            count=count,
            sourced_on=sourced_on,
            listed_on=listed_on.get(piece_id),
            costs=tuple(booked.costs.get(piece_id, ())),
            sales=tuple(moves.sales.get(piece_id, ())),
            returns=tuple(moves.returns.get(piece_id, ())),
            leavings=tuple(moves.leavings.get(piece_id, ())),
            backs=tuple(moves.backs.get(piece_id, ())),
            times=tuple(times.get(piece_id, ())),
            at_once=tuple(booked.at_once.get(piece_id, ())),
        )
        for piece_id, tag, title, form, count, sourced_on in found
    ]


@dataclass(frozen=True, slots=True)
class _Moves:
    """Sales, returns, leavings and comings back by piece id."""

    sales: dict[int, list[SaleRow]] = field(default_factory=lambda: defaultdict(list))
    returns: dict[int, list[ReturnRow]] = field(default_factory=lambda: defaultdict(list))
    leavings: dict[int, list[LeavingRow]] = field(default_factory=lambda: defaultdict(list))
    backs: dict[int, list[BackRow]] = field(default_factory=lambda: defaultdict(list))


def _moves(session: Session, chosen: SelectBase | None) -> _Moves:
    sales = session.execute(_SALES.where(*within(Sale.piece_id, chosen)).order_by(Sale.id)).all()
    came_back = select(SaleReturn, Sale.piece_id).join(Sale, Sale.id == SaleReturn.sale_id)
    returns = session.execute(came_back.where(*within(Sale.piece_id, chosen)).order_by(SaleReturn.id)).all()
    left = select(StoredLeaving).where(*within(StoredLeaving.piece_id, chosen)).order_by(StoredLeaving.id)
    leavings = list(session.scalars(left))
    made: list[PieceAndRow] = [(sale.piece_id, RowRef(SALE, sale.id)) for sale in sales]
    made += [(piece_id, RowRef(RETURN, back.id)) for back, piece_id in returns]
    made += [(leaving.piece_id, RowRef(LEAVING, leaving.id)) for leaving in leavings]
    places = places_in_order(session, chosen, made)
    moves = _Moves()
    for sale in sales:
        if sale.struck_at is None:
            moves.sales[sale.piece_id].append(_sale_row(sale, places))
    for back, piece_id in returns:
        if back.struck_at is None:
            moves.returns[piece_id].append(_return_row(back, places))
    for leaving in leavings:
        _add_leaving(moves, leaving, places)
    return moves


# Nearly every piece has a sale, so only what the reckoning asks of it is read.
_SALES = select(
    *(Sale.id, Sale.piece_id, Sale.struck_at, Sale.sold_on, Sale.price_cents, Sale.delivery_charged_cents),
    *(Sale.delivery_paid_cents, Sale.fees_cents, Sale.tax_cents),
)


def _sale_row(sale: Any, places: dict[RowRef, int]) -> SaleRow:
    row = RowRef(SALE, sale.id)
    return SaleRow(
        row=row,
        on=sale.sold_on,
        price=sale.price_cents,
        delivery_charged=sale.delivery_charged_cents,
        delivery_paid=sale.delivery_paid_cents,
        fees=sale.fees_cents,
        tax_collected=sale.tax_cents,
        seq=places.get(row, 0),
    )


def _return_row(back: SaleReturn, places: dict[RowRef, int]) -> ReturnRow:
    row = RowRef(RETURN, back.id)
    return ReturnRow(
        row=row,
        sale=RowRef(SALE, back.sale_id),
        on=back.returned_on,
        refund=back.refund_cents,
        tax_refunded=back.tax_refunded_cents,
        fees_back=back.fees_back_cents,
        delivery_back=back.delivery_back_cents,
        seq=places.get(row, 0),
    )


def _add_leaving(moves: _Moves, leaving: StoredLeaving, places: dict[RowRef, int]) -> None:
    row, back = RowRef(LEAVING, leaving.id), RowRef(BACK, leaving.id)
    moves.leavings[leaving.piece_id].append(LeavingRow(row, leaving.on_date, str(leaving.how), places.get(row, 0)))
    if leaving.back_on is not None:
        moves.backs[leaving.piece_id].append(BackRow(back, row, leaving.back_on, places.get(back, 0)))


def _first_listed(session: Session, chosen: SelectBase | None) -> dict[int, date]:
    first = select(Listing.piece_id, func.min(Listing.listed_on)).where(*within(Listing.piece_id, chosen))
    found = session.execute(first.group_by(Listing.piece_id))
    return {piece_id: day for piece_id, day in found if day is not None}
