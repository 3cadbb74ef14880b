"""Rows of the shelf, trips, deposits, refunds in part and corrections for tests of the books, put in as they stand."""

from collections.abc import Sequence
from datetime import UTC, date, datetime
from typing import Any, TypeVar
from uuid import uuid4

from sqlalchemy import func, select
from sqlalchemy.orm import Session

from app.basics.money import split_exactly
from app.costs.models import Adjustment, CostLine
from app.costs.rules import AdjustedPart
from app.database.base import Base
from app.pieces.models import Piece
from app.sales.models import Deposit, DepositEnd, Sale, SaleRefund
from app.sales.rules import DepositEnding
from app.shelf.models import Material, ShelfCharge, ShelfCount, ShelfPurchase, ShelfUse
from app.shelf.rules import ChargeKind, MaterialClass, Unit
from app.trips.models import Trip, TripPiece
from app.trips.rules import CountsAs, DistanceUnit, TripPurpose

R = TypeVar("R", bound=Base)

NOW = datetime(2026, 11, 25, 15, 30, tzinfo=UTC)


def a_material(session: Session, name: str = "Chalky paint, slate") -> Material:
    """A paint counted in millilitres."""
    told = {"klass": MaterialClass.PAINT, "unit": Unit.ML, "sheen": "matt", "note": ""}
    return _put(session, Material(name=name, version=1, is_put_away=False, made_at=NOW, **told))


def bought_for_shelf(
    session: Session,
    material: Material,
    on: date,
    cents: int,
    milli: int = 1_000_000,
    *,
    tax: int = 0,
    off: Piece | None = None,
) -> ShelfPurchase:
    """A quantity on the shelf for a price, or taken `off` a piece at a value."""
    told = {"bought_at": "", "note": "", "capture_id": str(uuid4()), "made_at": NOW}
    row = ShelfPurchase(material_id=material.id, on_date=on, quantity_milli=milli, price_cents=cents, **told)
    row.tax_cents, row.from_piece_id = tax, None if off is None else off.id
    return _put(session, row)


def used(
    session: Session, material: Material, on: date, cents: int, *, piece: Piece | None = None, milli: int = 100_000
) -> ShelfCharge:
    """A use for a piece or the shop, charged at `cents`."""
    piece_id = None if piece is None else piece.id
    told = {"note": "", "capture_id": str(uuid4()), "made_at": NOW, "quantity_milli": milli, "on_date": on}
    use = _put(session, ShelfUse(material_id=material.id, piece_id=piece_id, **told))
    return _charge(session, material, ChargeKind.USE, on, cents, milli=milli, piece_id=piece_id, use_id=use.id)


def counted_short(session: Session, material: Material, on: date, cents: int) -> ShelfCharge:
    """A stock-take that found `cents` less than the books said (below zero: more)."""
    told = {"note": "", "capture_id": str(uuid4()), "made_at": NOW, "counted_milli": 0, "on_date": on}
    count = _put(session, ShelfCount(material_id=material.id, **told))
    return _charge(session, material, ChargeKind.COUNT, on, cents, count_id=count.id)


def settled(session: Session, charge: ShelfCharge, purchase: ShelfPurchase, cents: int) -> ShelfCharge:
    """What a later purchase put right of a use beyond what was left."""
    told: dict[str, Any] = {"piece_id": charge.piece_id, "use_id": charge.use_id, "purchase_id": purchase.id}
    material = session.get_one(Material, charge.material_id)
    return _charge(session, material, ChargeKind.SETTLEMENT, purchase.on_date, cents, **told)


def _charge(
    session: Session, material: Material, kind: ChargeKind, on: date, cents: int, *, milli: int = 0, **told: Any
) -> ShelfCharge:
    row = ShelfCharge(material_id=material.id, kind=kind, on_date=on, cents=cents, quantity_milli=milli, **told)
    row.short_milli = 0
    return _put(session, row)


def a_trip(
    session: Session,
    on: date,
    cents: int,
    pieces: Sequence[Piece] = (),
    *,
    counts_as: CountsAs = CountsAs.RATE,
    purpose: TripPurpose = TripPurpose.FETCH,
    extra: int = 0,
    weights: Sequence[int] | None = None,
) -> Trip:
    """A trip that cost `cents` at the rate, tolls of `extra` besides, or `cents` in all where it counts as actual."""
    is_rate = counts_as is CountsAs.RATE
    row = Trip(
        capture_id=str(uuid4()),
        on_date=on,
        purpose=purpose,
        counts_as=counts_as,
        made_at=NOW,
        purpose_words="Fetching",
        from_place="Garage",
        to_place="Barn",
        note="",
        by_value=False,
        distance_hundredths=1_000,
        distance_unit=DistanceUnit.MILE,
        extra_cents=extra,
        rate_hundredths=7_000 if is_rate else None,
        rate_unit=DistanceUnit.MILE if is_rate else None,
        actual_cents=0 if is_rate else cents,
        charged_cents=cents + extra,
    )
    trip, parts = _put(session, row), list(weights or [1] * len(pieces))
    shares = split_exactly(trip.charged_cents, parts) if pieces else []
    for piece, weight, share in zip(pieces, parts, shares, strict=True):
        session.add(TripPiece(trip_id=trip.id, piece_id=piece.id, weight=weight, cents=share))
    session.flush()
    return trip


def a_refund(session: Session, sale: Sale, on: date, cents: int, *, tax: int = 0, fees: int = 0) -> SaleRefund:
    """Money given back on a sale that stands."""
    told = {"capture_id": str(uuid4()), "reason": "a scratch", "made_at": NOW, "tax_refunded_cents": tax}
    return _put(session, SaleRefund(sale_id=sale.id, on_date=on, refund_cents=cents, fees_back_cents=fees, **told))


def a_deposit(session: Session, piece: Piece, on: date, cents: int, payer: str = "a neighbour") -> Deposit:
    """Money taken towards a piece."""
    told = {"capture_id": str(uuid4()), "payer": payer, "note": "", "made_at": NOW}
    return _put(session, Deposit(piece_id=piece.id, on_date=on, amount_cents=cents, **told))


def ended(
    session: Session,
    deposit: Deposit,
    how: DepositEnding,
    on: date,
    *,
    cents: int | None = None,
    sale: Sale | None = None,
) -> DepositEnd:
    """What became of a deposit, or of a part of it."""
    told = {"reason": "", "made_at": NOW, "sale_id": None if sale is None else sale.id}
    amount = deposit.amount_cents if cents is None else cents
    return _put(session, DepositEnd(deposit_id=deposit.id, how=how, on_date=on, cents=amount, **told))


def corrected(
    session: Session,
    part: AdjustedPart,
    on: date,
    cents: int,
    *,
    piece: Piece | None = None,
    corrects: Base | None = None,
    corrects_on: date = date(2026, 9, 9),
) -> Adjustment:
    """A correction of a row in a closed month; of a cost line unless another row is given."""
    table, row_id = "cost_line", session.query(func.max(CostLine.id)).scalar() or 1
    if corrects is not None:
        table, row_id = corrects.__tablename__, corrects.id  # type: ignore[attr-defined]
    told = {"capture_id": str(uuid4()), "reason": "misread", "made_at": NOW, "corrects_on": corrects_on}
    row = Adjustment(part=part, on_date=on, cents=cents, corrects_table=table, corrects_id=row_id, **told)
    row.piece_id = None if piece is None else piece.id
    return _put(session, row)


def struck(session: Session, row: Base) -> None:
    """Strike a row out."""
    row.struck_at, row.struck_reason = NOW, "a slip"  # type: ignore[attr-defined]
    session.flush()


def shelf_cents(session: Session, material: Material) -> int:
    """What a material is worth in the books: bought less charged."""
    bought = select(func.sum(ShelfPurchase.price_cents + ShelfPurchase.tax_cents)).where(
        ShelfPurchase.material_id == material.id, ShelfPurchase.struck_at.is_(None)
    )
    charged = select(func.sum(ShelfCharge.cents)).where(ShelfCharge.material_id == material.id)
    return (session.scalar(bought) or 0) - (session.scalar(charged) or 0)


def _put(session: Session, row: R) -> R:
    session.add(row)
    session.flush()
    return row
