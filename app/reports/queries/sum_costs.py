"""Every row that puts money into a piece, in one shape: what enters stock, and what comes too late to."""

from dataclasses import dataclass, replace
from typing import Any, Final

from sqlalchemy import ColumnElement, FromClause, and_, case, select

from app.costs.models import Adjustment, CostLine
from app.costs.rules import AdjustedPart
from app.pieces.models import Purchase, Transfer
from app.pieces.rules import PurchaseKind
from app.reports.queries.sum_ground import TIMES_GONE, Arm, arm, as_text, counts, gone_between, in_period
from app.shelf.models import Material, ShelfCharge, ShelfPurchase
from app.trips.models import Trip, TripPiece
from app.trips.rules import CountsAs, TripPurpose

LATE: Final = "late_costs"

FETCHED_AT_COST: Final = and_(Trip.counts_as == CountsAs.ACTUAL, Trip.purpose == TripPurpose.FETCH)
"""A trip to fetch pieces at what it really cost: the one sort of trip that is part of what a piece cost."""


def material_named(material_id: ColumnElement[Any] | Any) -> ColumnElement[Any]:
    """The name of a material; asked of the rows that are shown, and of none that are only added up."""
    named: ColumnElement[Any] = select(Material.name).where(Material.id == material_id).scalar_subquery()
    return named


@dataclass(frozen=True)
class CostSource:
    """Rows that put `cents` into a piece on a day.

    `line` is the line of the stock they stand on, `late` their kind where they come too late for it, and `kind` the
    column that tells parts of both lines apart, where one does.
    """

    table: str
    source: FromClause | Any
    where: tuple[ColumnElement[bool], ...]
    piece: Any
    day: Any
    cents: Any
    row_id: Any
    line: str
    late: str = ""
    kind: Any = None
    page: Any = None
    note: Any = ""

    @property
    def head(self) -> str:
        """The line of the stock, without the part of it."""
        return ":".join(self.line.split(":")[:2])

    def arm(self) -> Arm:
        """The rows of the period: on the line of the stock, or as late costs below zero."""
        stock: Any = self.line if self.kind is None else as_text(f"{self.line}:") + as_text(self.kind)
        late: Any = as_text(f"{LATE}:") + as_text(self.kind) if not self.late else f"{LATE}:{self.late}"
        too_late = TIMES_GONE.c.piece_id.is_not(None)
        return arm(
            (self.head, LATE),
            path=case((too_late, as_text(late)), else_=as_text(stock)),
            cents=case((too_late, -self.cents), else_=self.cents),
            day=self.day,
            piece=self.piece,
            row=(self.table, self.row_id),
            page=self.page,
            note=self.note,
            source=self.source.outerjoin(TIMES_GONE, gone_between(self.piece, self.day)),
            where=(*self.where, counts(self.piece), in_period(self.day)),
        )


_PAID: Final = CostSource(
    table="purchase",
    source=Purchase.__table__,
    where=(Purchase.struck_at.is_(None),),
    piece=Purchase.piece_id,
    day=Purchase.on_date,
    cents=Purchase.price_cents + Purchase.premium_cents + Purchase.tax_cents,
    row_id=Purchase.id,
    line="stock:bought",
)
_OWNED: Final = Purchase.kind == PurchaseKind.OPENING


def _share_of_purchase(name: str, cents: Any) -> CostSource:
    where = (*_PAID.where, Purchase.kind != PurchaseKind.OPENING, cents != 0)
    return replace(_PAID, where=where, cents=cents, line=f"stock:bought:{name}", late=name)


PURCHASES: Final = (
    _share_of_purchase("price", Purchase.price_cents),
    _share_of_purchase("premium", Purchase.premium_cents),
    _share_of_purchase("tax", Purchase.tax_cents),
    replace(_PAID, where=(*_PAID.where, _OWNED), line="stock:opening_entered", late="opening"),
)

_SPENT: Final = CostSource(
    table="cost_line",
    source=CostLine.__table__,
    where=(CostLine.struck_at.is_(None), CostLine.piece_id.is_not(None)),
    piece=CostLine.piece_id,
    day=CostLine.on_date,
    cents=CostLine.amount_cents,
    row_id=CostLine.id,
    line="stock:cost_lines",
    kind=CostLine.kind,
    note=CostLine.note,
)
_MOVED_IN: Final = CostSource(
    table="transfer",
    source=Transfer.__table__,
    where=(Transfer.cents != 0,),
    piece=Transfer.to_piece_id,
    day=Transfer.on_date,
    cents=Transfer.cents,
    row_id=Transfer.id,
    line="stock:moved:in",
    late="moved",
    note=Transfer.reason,
)
_MOVED_OUT: Final = replace(
    _MOVED_IN, piece=Transfer.from_piece_id, cents=-Transfer.cents, line="stock:moved:out", late="moved"
)
_USED: Final = CostSource(
    table="shelf_charge",
    source=ShelfCharge.__table__,
    where=(ShelfCharge.piece_id.is_not(None), ShelfCharge.cents != 0),
    piece=ShelfCharge.piece_id,
    day=ShelfCharge.on_date,
    cents=ShelfCharge.cents,
    row_id=ShelfCharge.id,
    page=ShelfCharge.material_id,
    line="stock:materials_used",
    late="shelf",
    note=material_named(ShelfCharge.material_id),
)
_TAKEN_OFF: Final = CostSource(
    table="shelf_purchase",
    source=ShelfPurchase.__table__,
    where=(
        ShelfPurchase.struck_at.is_(None),
        ShelfPurchase.from_piece_id.is_not(None),
        ShelfPurchase.price_cents != 0,
    ),
    piece=ShelfPurchase.from_piece_id,
    day=ShelfPurchase.on_date,
    cents=-ShelfPurchase.price_cents,
    row_id=ShelfPurchase.id,
    page=ShelfPurchase.material_id,
    line="stock:parts_off",
    late="parts_off",
    note=material_named(ShelfPurchase.material_id),
)
_FETCHED: Final = CostSource(
    table="trip",
    source=TripPiece.__table__.join(Trip.__table__, Trip.id == TripPiece.trip_id),
    where=(Trip.struck_at.is_(None), FETCHED_AT_COST, TripPiece.cents != 0),
    piece=TripPiece.piece_id,
    day=Trip.on_date,
    cents=TripPiece.cents,
    row_id=Trip.id,
    line="stock:trips",
    late="trip_cost",
    note=Trip.purpose_words,
)
_PUT_RIGHT: Final = CostSource(
    table="adjustment",
    source=Adjustment.__table__,
    where=(
        Adjustment.struck_at.is_(None),
        Adjustment.piece_id.is_not(None),
        Adjustment.part.in_((AdjustedPart.COST, AdjustedPart.OPENING)),
    ),
    piece=Adjustment.piece_id,
    day=Adjustment.on_date,
    cents=Adjustment.cents,
    row_id=Adjustment.id,
    line="stock:corrected",
    late="adjusted",
    kind=Adjustment.part,
    note=Adjustment.reason,
)

_BESIDE_PURCHASES: Final = (_SPENT, _MOVED_IN, _MOVED_OUT, _USED, _TAKEN_OFF, _FETCHED, _PUT_RIGHT)

COSTS_BY_LINE: Final = (*PURCHASES, *_BESIDE_PURCHASES)
"""Every cost, told apart as finely as the lines are."""

COSTS: Final = (_PAID, *_BESIDE_PURCHASES)
"""Every cost once, in as few reads as there are tables, for where only the sum counts."""


def cost_arms() -> tuple[Arm, ...]:
    """Every row of the period that puts money into a piece."""
    return tuple(source.arm() for source in COSTS_BY_LINE)
