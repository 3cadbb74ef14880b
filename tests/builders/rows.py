"""Rows of rooms whose own acts are not needed here, laid into the ledger as they stand there."""

from datetime import date, datetime
from uuid import uuid4

from sqlalchemy.orm import Session

from app.pieces.models import Piece
from app.reports.models import WriteDown
from app.sales.models import Deposit, DepositEnd, Sale, SaleRefund
from app.sales.rules import DepositEnding
from app.shelf.models import Material, ShelfCharge, ShelfCount, ShelfPurchase, ShelfUse
from app.shelf.rules import ChargeKind, MaterialClass, Unit
from app.trips.models import Trip, TripPiece
from app.trips.rules import CountsAs, DistanceUnit, TripPurpose
from tests.builders.pieces import NOW


def a_material(session: Session, name: str = "White paint") -> Material:
    """A can of paint on the shelf."""
    can = Material(
        name=name, klass=MaterialClass.PAINT, unit=Unit.ML, sheen="", note="", is_put_away=False, made_at=NOW
    )
    session.add(can)
    session.flush()
    return can


def a_shelf_purchase(
    session: Session, on_date: date, *, cents: int = 2_000, tax: int = 0, piece: Piece | None = None
) -> ShelfPurchase:
    """Paint bought, or parts of a piece taken off at a value."""
    row = ShelfPurchase(
        capture_id=str(uuid4()),
        material_id=a_material(session, f"Material {uuid4()}").id,
        from_piece_id=piece.id if piece else None,
        on_date=on_date,
        quantity_milli=1_000,
        price_cents=cents,
        tax_cents=tax,
        bought_at="",
        note="",
        made_at=NOW,
    )
    session.add(row)
    session.flush()
    return row


def a_shelf_use(session: Session, on_date: date, piece: Piece | None, *, cents: int = 300) -> ShelfUse:
    """Paint used, and what the shelf charged for it."""
    bought = a_shelf_purchase(session, on_date)
    piece_id = piece.id if piece else None
    row = ShelfUse(
        capture_id=str(uuid4()),
        material_id=bought.material_id,
        piece_id=piece_id,
        on_date=on_date,
        quantity_milli=150,
        note="",
        made_at=NOW,
    )
    session.add(row)
    session.flush()
    session.add(
        ShelfCharge(
            material_id=bought.material_id,
            kind=ChargeKind.USE,
            use_id=row.id,
            piece_id=piece_id,
            on_date=on_date,
            quantity_milli=150,
            short_milli=0,
            cents=cents,
        )
    )
    session.flush()
    return row


def a_shelf_count(session: Session, on_date: date) -> ShelfCount:
    """A stock-take."""
    row = ShelfCount(
        capture_id=str(uuid4()),
        material_id=a_material(session, f"Material {uuid4()}").id,
        on_date=on_date,
        counted_milli=0,
        note="",
        made_at=NOW,
    )
    session.add(row)
    session.flush()
    return row


def a_trip(
    session: Session,
    on_date: date,
    pieces: tuple[Piece, ...] = (),
    *,
    charged: int = 1_000,
    extra: int = 0,
    purpose: TripPurpose = TripPurpose.FETCH,
    is_actual: bool = False,
) -> Trip:
    """A trip at 1.00 for a mile (with tolls in `extra`), or at what it cost; shared equally."""
    row = Trip(
        capture_id=str(uuid4()),
        on_date=on_date,
        purpose=purpose,
        purpose_words="to the barn",
        from_place="home",
        to_place="the barn",
        distance_hundredths=1_000 if is_actual else charged - extra,
        distance_unit=DistanceUnit.MILE,
        counts_as=CountsAs.ACTUAL if is_actual else CountsAs.RATE,
        rate_hundredths=None if is_actual else 10_000,
        rate_unit=None if is_actual else DistanceUnit.MILE,
        extra_cents=0 if is_actual else extra,
        actual_cents=charged if is_actual else 0,
        charged_cents=charged,
        by_value=False,
        note="",
        made_at=NOW,
    )
    session.add(row)
    session.flush()
    for place, piece in enumerate(pieces):
        share = charged // len(pieces) + (charged % len(pieces) > place)
        session.add(TripPiece(trip_id=row.id, piece_id=piece.id, weight=1, cents=share))
    session.flush()
    return row


def a_refund(session: Session, sale: Sale, on_date: date) -> SaleRefund:
    """10.00 given back with 0.80 of tax; 0.30 of the fees came back."""
    row = SaleRefund(
        capture_id=str(uuid4()),
        sale_id=sale.id,
        on_date=on_date,
        refund_cents=1_000,
        tax_refunded_cents=80,
        fees_back_cents=30,
        reason="a scratch",
        made_at=NOW,
    )
    session.add(row)
    session.flush()
    return row


def a_deposit(session: Session, piece: Piece, on_date: date) -> Deposit:
    """50.00 taken towards a piece."""
    row = Deposit(
        capture_id=str(uuid4()),
        piece_id=piece.id,
        payer="a neighbour",
        on_date=on_date,
        amount_cents=5_000,
        note="",
        made_at=NOW,
    )
    session.add(row)
    session.flush()
    return row


def a_deposit_end(session: Session, deposit: Deposit, on_date: date) -> DepositEnd:
    """A deposit given back."""
    row = DepositEnd(
        deposit_id=deposit.id,
        how=DepositEnding.REFUNDED,
        on_date=on_date,
        cents=deposit.amount_cents,
        reason="",
        made_at=NOW,
    )
    session.add(row)
    session.flush()
    return row


def a_write_down(session: Session, piece: Piece, on_date: date) -> WriteDown:
    """A piece taken down by 5.00."""
    row = WriteDown(
        capture_id=str(uuid4()),
        piece_id=piece.id,
        on_date=on_date,
        price_expected_cents=3_500,
        finish_cents=0,
        sell_cents=0,
        cost_cents=4_000,
        cents=500,
        reason="out of fashion",
        made_at=NOW,
    )
    session.add(row)
    session.flush()
    return row


def struck(row: ShelfUse | ShelfPurchase | Trip | Deposit | WriteDown, now: datetime = NOW) -> None:
    """The row struck out."""
    row.struck_at, row.struck_reason = now, "wrong"
