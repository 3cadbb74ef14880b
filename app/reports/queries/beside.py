"""Read what the shelf, trips, deposits, refunds in part and corrections booked on pieces, as rows of the reckoning."""

from collections import defaultdict
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, field
from itertools import groupby
from operator import attrgetter
from typing import Any, Final

from sqlalchemy import SelectBase, select
from sqlalchemy.orm import Session

from app.basics.money import split_exactly
from app.costs.models import Adjustment
from app.reports.queries.chosen import within
from app.reports.rules import (
    ADJUSTED,
    ADJUSTED_OPENING,
    CORRECTED,
    CORRECTIONS,
    DEPOSITS,
    DEPOSITS_KEPT,
    FEES_BACK,
    INTO_STOCK,
    MATERIALS,
    PARTS_OFF,
    REFUNDS,
    TRIP,
    TRIPS,
    AtOnceRow,
    CostRow,
    RowRef,
    effect_of,
)
from app.sales.models import Deposit, DepositEnd, Sale, SaleRefund
from app.sales.rules import DepositEnding
from app.shelf.models import ShelfCharge, ShelfPurchase
from app.trips.models import Trip, TripPiece
from app.trips.rules import CountsAs, TripPurpose

SHELF_CHARGE: Final = "shelf_charge"
SHELF_PURCHASE: Final = "shelf_purchase"
TRIP_TABLE: Final = "trip"
ADJUSTMENT: Final = "adjustment"
SALE_REFUND: Final = "sale_refund"
DEPOSIT: Final = "deposit"
DEPOSIT_END: Final = "deposit_end"

_ENDING_WORDS: Final = {
    DepositEnding.APPLIED: "Deposit applied",
    DepositEnding.REFUNDED: "Deposit given back",
    DepositEnding.KEPT: "Deposit kept",
}


@dataclass(frozen=True, slots=True)
class Booked:
    """Costs and what counts at once, by piece id."""

    costs: dict[int, list[CostRow]] = field(default_factory=lambda: defaultdict(list))
    at_once: dict[int, list[AtOnceRow]] = field(default_factory=lambda: defaultdict(list))


def booked_beside(session: Session, chosen: SelectBase | None) -> Booked:
    """All of it on the chosen pieces (None: on every one); seven queries, struck rows left away."""
    booked = Booked()
    _from_the_shelf(session, chosen, booked)
    _trips(session, chosen, booked)
    _adjustments(session, chosen, booked)
    _refunds(session, chosen, booked)
    _deposits(session, chosen, booked)
    return booked


def _from_the_shelf(session: Session, chosen: SelectBase | None, booked: Booked) -> None:
    charged = select(ShelfCharge.id, ShelfCharge.piece_id, ShelfCharge.on_date, ShelfCharge.cents)
    charged = charged.where(ShelfCharge.piece_id.is_not(None), *within(ShelfCharge.piece_id, chosen))
    for charge_id, piece_id, on_date, cents in session.execute(charged.order_by(ShelfCharge.on_date, ShelfCharge.id)):
        row = CostRow(RowRef(SHELF_CHARGE, charge_id), on_date, cents, MATERIALS, "Materials from the shelf")
        booked.costs[piece_id or 0].append(row)
    bought = ShelfPurchase
    taken = select(bought.id, bought.from_piece_id, bought.on_date, bought.price_cents).where(
        bought.from_piece_id.is_not(None), bought.struck_at.is_(None), *within(bought.from_piece_id, chosen)
    )
    for purchase_id, piece_id, on_date, cents in session.execute(taken.order_by(bought.on_date, bought.id)):
        row = CostRow(RowRef(SHELF_PURCHASE, purchase_id), on_date, -cents, PARTS_OFF, "Parts taken off")
        booked.costs[piece_id or 0].append(row)


def _trips(session: Session, chosen: SelectBase | None, booked: Booked) -> None:
    """Every piece of a trip is read, also one that was not chosen: the share of the tolls is told from all of them."""
    shares = select(
        *(Trip.id, Trip.on_date, Trip.purpose, Trip.counts_as, Trip.extra_cents),
        *(TripPiece.piece_id, TripPiece.weight, TripPiece.cents),
    ).join(TripPiece, TripPiece.trip_id == Trip.id)
    if chosen is not None:
        shares = shares.where(Trip.id.in_(select(TripPiece.trip_id).where(TripPiece.piece_id.in_(chosen))))
    found = session.execute(shares.where(Trip.struck_at.is_(None)).order_by(Trip.id, TripPiece.piece_id))
    for _, pieces in groupby(found, key=attrgetter("id")):
        _take_trip(list(pieces), booked)


def _take_trip(shares: Sequence[Any], booked: Booked) -> None:
    trip = shares[0]
    row = RowRef(TRIP_TABLE, trip.id)
    if trip.counts_as is CountsAs.ACTUAL and trip.purpose is TripPurpose.FETCH:
        for share in shares:
            booked.costs[share.piece_id].append(CostRow(row, trip.on_date, share.cents, TRIP, "Trip to fetch it"))
        return
    paid = (
        [share.cents for share in shares]
        if trip.counts_as is CountsAs.ACTUAL
        else split_exactly(trip.extra_cents, [share.weight for share in shares])
    )
    for share, cash in zip(shares, paid, strict=True):
        at_once = AtOnceRow(row, trip.on_date, TRIPS, "Trip", -share.cents, TRIPS, -cash)
        booked.at_once[share.piece_id].append(at_once)


def _adjustments(session: Session, chosen: SelectBase | None, booked: Booked) -> None:
    made = select(
        *(Adjustment.id, Adjustment.piece_id, Adjustment.on_date, Adjustment.part, Adjustment.cents),
        Adjustment.corrects_table,
    ).where(Adjustment.piece_id.is_not(None), Adjustment.struck_at.is_(None), *within(Adjustment.piece_id, chosen))
    for made_row in session.execute(made.order_by(Adjustment.on_date, Adjustment.id)):
        row, piece_id = RowRef(ADJUSTMENT, made_row.id), made_row.piece_id or 0
        effect = effect_of(made_row.part, made_row.cents, made_row.corrects_table)
        if made_row.part in INTO_STOCK:
            kind = ADJUSTED if effect.cash else ADJUSTED_OPENING
            booked.costs[piece_id].append(CostRow(row, made_row.on_date, made_row.cents, kind, "Correction"))
        else:
            told = (effect.profit, CORRECTIONS, effect.cash, effect.tax)
            booked.at_once[piece_id].append(AtOnceRow(row, made_row.on_date, CORRECTED, "Correction", *told))


def _refunds(session: Session, chosen: SelectBase | None, booked: Booked) -> None:
    refund = SaleRefund
    amounts = (refund.refund_cents, refund.tax_refunded_cents, refund.fees_back_cents)
    given = select(refund.id, Sale.piece_id, refund.on_date, *amounts).join(Sale, Sale.id == refund.sale_id)
    given = given.where(refund.struck_at.is_(None), *within(Sale.piece_id, chosen))
    for back_id, piece_id, on, cents, tax, fees in session.execute(given.order_by(refund.on_date, refund.id)):
        row = RowRef(SALE_REFUND, back_id)
        refunded = AtOnceRow(row, on, REFUNDS, "Refund in part", -cents, "refunded", -cents - tax, -tax)
        booked.at_once[piece_id].append(refunded)
        if fees:
            fees_back = AtOnceRow(row, on, FEES_BACK, "Fees given back", fees, FEES_BACK, fees)
            booked.at_once[piece_id].append(fees_back)


def _deposits(session: Session, chosen: SelectBase | None, booked: Booked) -> None:
    taken = select(Deposit.id, Deposit.piece_id, Deposit.on_date, Deposit.amount_cents).where(
        Deposit.struck_at.is_(None), *within(Deposit.piece_id, chosen)
    )
    for deposit_id, piece_id, on_date, cents in session.execute(taken.order_by(Deposit.on_date, Deposit.id)):
        row = AtOnceRow(RowRef(DEPOSIT, deposit_id), on_date, DEPOSITS, "Deposit taken", 0, DEPOSITS, cents)
        booked.at_once[piece_id].append(row)
    end = DepositEnd
    ended = select(end.id, Deposit.piece_id, end.on_date, end.how, end.cents)
    ended = ended.join(Deposit, Deposit.id == end.deposit_id).where(
        end.struck_at.is_(None), *within(Deposit.piece_id, chosen)
    )
    for piece_id, ending in _ends(session.execute(ended.order_by(end.on_date, end.id))):
        booked.at_once[piece_id].append(ending)


def _ends(found: Iterable[Any]) -> Iterator[tuple[int, AtOnceRow]]:
    for end_id, piece_id, on_date, how, cents in found:
        row = RowRef(DEPOSIT_END, end_id)
        if how is DepositEnding.KEPT:
            yield piece_id, AtOnceRow(row, on_date, DEPOSITS_KEPT, _ENDING_WORDS[how], cents)
        else:
            yield piece_id, AtOnceRow(row, on_date, DEPOSITS, _ENDING_WORDS[how], 0, DEPOSITS, -cents)
