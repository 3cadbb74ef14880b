"""Every row that stands on a line of the books without entering stock: sales, the shop, the shelf, deposits."""

from typing import Any, Final

from sqlalchemy import String, and_, case, exists, func, literal, select

from app.costs.models import Adjustment, CostLine
from app.costs.rules import AdjustedPart
from app.reports.queries.sum_costs import FETCHED_AT_COST, material_named
from app.reports.queries.sum_ground import Arm, arm, as_text, counts, in_period
from app.reports.rules.sums import SHOP
from app.sales.models import Deposit, DepositEnd, Sale, SaleRefund, SaleReturn
from app.sales.rules import DepositEnding
from app.shelf.models import ShelfCharge, ShelfPurchase
from app.trips.models import Trip, TripPiece
from app.trips.rules import CountsAs

_RETURNED: Final = SaleReturn.__table__.join(Sale.__table__, Sale.id == SaleReturn.sale_id)
_REFUNDED: Final = SaleRefund.__table__.join(Sale.__table__, Sale.id == SaleRefund.sale_id)
_SHARED: Final = TripPiece.__table__.join(Trip.__table__, Trip.id == TripPiece.trip_id)
_ENDED: Final = DepositEnd.__table__.join(Deposit.__table__, Deposit.id == DepositEnd.deposit_id)

_SIGN_OF_PART: Final = {
    AdjustedPart.PRICE: 1,
    AdjustedPart.DELIVERY_CHARGED: 1,
    AdjustedPart.DELIVERY_PAID: -1,
    AdjustedPart.FEES: -1,
    AdjustedPart.REFUND: -1,
    AdjustedPart.MILEAGE: -1,
    AdjustedPart.TRIP: -1,
}
_GIVEN_BACK: Final = ("sale_return", "sale_refund")


def sale_arms() -> tuple[Arm, ...]:
    """What sales brought and took, and what went back with returns and refunds."""
    return (
        _of_sale("sales", Sale.price_cents),
        _of_sale("delivery_charged", Sale.delivery_charged_cents),
        _of_sale("fees", -Sale.fees_cents),
        _of_sale("delivery_paid", -Sale.delivery_paid_cents),
        _of_sale("tax", Sale.tax_cents, "tax:collected"),
        _of_return("refunds", -SaleReturn.refund_cents, "refunds:returns"),
        _of_return("fees_back", SaleReturn.fees_back_cents, "fees_back:returns"),
        _of_return("delivery_back", SaleReturn.delivery_back_cents),
        _of_return("tax", -SaleReturn.tax_refunded_cents, "tax:given_back"),
        _of_refund("refunds", -SaleRefund.refund_cents, "refunds:in_part"),
        _of_refund("fees_back", SaleRefund.fees_back_cents, "fees_back:in_part"),
        _of_refund("tax", -SaleRefund.tax_refunded_cents, "tax:given_back"),
    )


def _of_sale(head: str, cents: Any, path: str | None = None) -> Arm:
    return arm(
        head,
        path=path,
        cents=cents,
        day=Sale.sold_on,
        piece=Sale.piece_id,
        row=("sale", Sale.id),
        note=Sale.note,
        source=Sale,
        where=(Sale.struck_at.is_(None), cents != 0, counts(Sale.piece_id), in_period(Sale.sold_on)),
    )


def _of_return(head: str, cents: Any, path: str | None = None) -> Arm:
    return arm(
        head,
        path=path,
        cents=cents,
        day=SaleReturn.returned_on,
        piece=Sale.piece_id,
        row=("sale_return", SaleReturn.id),
        page=Sale.id,
        note=SaleReturn.reason,
        source=_RETURNED,
        where=(SaleReturn.struck_at.is_(None), cents != 0, counts(Sale.piece_id), in_period(SaleReturn.returned_on)),
    )


def _of_refund(head: str, cents: Any, path: str) -> Arm:
    return arm(
        head,
        path=path,
        cents=cents,
        day=SaleRefund.on_date,
        piece=Sale.piece_id,
        row=("sale_refund", SaleRefund.id),
        page=Sale.id,
        note=SaleRefund.reason,
        source=_REFUNDED,
        where=(SaleRefund.struck_at.is_(None), cents != 0, counts(Sale.piece_id), in_period(SaleRefund.on_date)),
    )


def at_once_arms() -> tuple[Arm, ...]:
    """What pieces brought or cost at once: trips beside their cost, deposits kept, corrections of sales."""
    trip = arm(
        "trips",
        path=literal("trips:", String) + as_text(Trip.counts_as),
        cents=-TripPiece.cents,
        day=Trip.on_date,
        piece=TripPiece.piece_id,
        row=("trip", Trip.id),
        note=Trip.purpose_words,
        source=_SHARED,
        where=(
            Trip.struck_at.is_(None),
            ~FETCHED_AT_COST,
            TripPiece.cents != 0,
            counts(TripPiece.piece_id),
            in_period(Trip.on_date),
        ),
    )
    kept = _of_deposit_end("deposits_kept", DepositEnd.cents, None, DepositEnding.KEPT)
    return (trip, kept, *_adjustments_at_once())


def _adjustments_at_once() -> tuple[Arm, ...]:
    gives_back = Adjustment.corrects_table.in_(_GIVEN_BACK)
    # What a return or a refund gave back is the other way round: more fees given back are more profit.
    turned = Adjustment.part.in_((AdjustedPart.FEES, AdjustedPart.DELIVERY_PAID)) & gives_back
    raises = Adjustment.part.in_([part for part, sign in _SIGN_OF_PART.items() if sign > 0])
    told: dict[str, Any] = {
        "day": Adjustment.on_date,
        "piece": Adjustment.piece_id,
        "row": ("adjustment", Adjustment.id),
        "note": Adjustment.reason,
        "source": Adjustment,
    }
    counting = (
        Adjustment.struck_at.is_(None),
        Adjustment.piece_id.is_not(None),
        counts(Adjustment.piece_id),
        in_period(Adjustment.on_date),
    )
    return (
        arm(
            "corrected",
            path=literal("corrected:", String) + as_text(Adjustment.part),
            cents=case((turned | raises, Adjustment.cents), else_=-Adjustment.cents),
            where=(*counting, Adjustment.part.in_(list(_SIGN_OF_PART))),
            **told,
        ),
        arm(
            "tax",
            path="tax:corrected",
            cents=case((gives_back, -Adjustment.cents), else_=Adjustment.cents),
            where=(*counting, Adjustment.part == AdjustedPart.TAX),
            **told,
        ),
    )


def shop_arms() -> tuple[Arm, ...]:
    """What the shop itself cost: its cost lines, what it used off the shelf, trips for no piece, corrections."""
    return (_shop_lines(), _shop_materials(), _shop_trips(), _shop_adjustments())


def _shop_lines() -> Arm:
    return arm(
        SHOP,
        path=literal(f"{SHOP}:", String) + as_text(CostLine.kind),
        cents=-CostLine.amount_cents,
        day=CostLine.on_date,
        row=("cost_line", CostLine.id),
        note=CostLine.note,
        source=CostLine,
        where=(CostLine.struck_at.is_(None), CostLine.piece_id.is_(None), in_period(CostLine.on_date)),
    )


def _shop_materials() -> Arm:
    return arm(
        SHOP,
        path=literal(f"{SHOP}:shelf:", String) + as_text(ShelfCharge.kind),
        cents=-ShelfCharge.cents,
        day=ShelfCharge.on_date,
        row=("shelf_charge", ShelfCharge.id),
        page=ShelfCharge.material_id,
        note=material_named(ShelfCharge.material_id),
        source=ShelfCharge,
        where=(ShelfCharge.piece_id.is_(None), ShelfCharge.cents != 0, in_period(ShelfCharge.on_date)),
    )


def _shop_trips() -> Arm:
    return arm(
        SHOP,
        path=literal(f"{SHOP}:trips:", String) + as_text(Trip.counts_as),
        cents=-Trip.charged_cents,
        day=Trip.on_date,
        row=("trip", Trip.id),
        note=Trip.purpose_words,
        source=Trip,
        where=(
            Trip.struck_at.is_(None),
            Trip.charged_cents != 0,
            ~exists(select(TripPiece.trip_id).where(TripPiece.trip_id == Trip.id)),
            in_period(Trip.on_date),
        ),
    )


def _shop_adjustments() -> Arm:
    corrects_line = and_(Adjustment.corrects_table == "cost_line", CostLine.id == Adjustment.corrects_id)
    kind = func.coalesce(as_text(CostLine.kind), as_text(Adjustment.part))
    return arm(
        SHOP,
        path=literal(f"{SHOP}:adjusted:", String) + kind,
        cents=-Adjustment.cents,
        day=Adjustment.on_date,
        row=("adjustment", Adjustment.id),
        note=Adjustment.reason,
        source=Adjustment.__table__.outerjoin(CostLine.__table__, corrects_line),
        where=(Adjustment.struck_at.is_(None), Adjustment.piece_id.is_(None), in_period(Adjustment.on_date)),
    )


def shelf_arms() -> tuple[Arm, ...]:
    """What came on the shelf and left it, in cents."""
    bought, used = ShelfPurchase, ShelfCharge
    came: dict[str, Any] = {
        "day": bought.on_date,
        "row": ("shelf_purchase", bought.id),
        "page": bought.material_id,
        "note": material_named(bought.material_id),
        "source": bought,
    }
    left: dict[str, Any] = {
        "day": used.on_date,
        "row": ("shelf_charge", used.id),
        "page": used.material_id,
        "note": material_named(used.material_id),
        "source": used,
    }
    counting = (bought.struck_at.is_(None), in_period(bought.on_date))
    charged = (used.cents != 0, in_period(used.on_date))
    value = bought.price_cents + bought.tax_cents
    from_piece, to_piece = bought.from_piece_id, used.piece_id
    return (
        arm("shelf:bought", cents=value, where=(*counting, from_piece.is_(None)), **came),
        arm("shelf:parts_off", cents=value, piece=from_piece, where=(*counting, from_piece.is_not(None)), **came),
        arm("shelf:used", cents=-used.cents, piece=to_piece, where=(*charged, to_piece.is_not(None)), **left),
        arm("shelf:shop", cents=-used.cents, where=(*charged, to_piece.is_(None)), **left),
    )


def deposit_arms() -> tuple[Arm, ...]:
    """What was taken in deposits, and what became of them."""
    taken = arm(
        "deposits:taken",
        cents=Deposit.amount_cents,
        day=Deposit.on_date,
        piece=Deposit.piece_id,
        row=("deposit", Deposit.id),
        note=Deposit.payer,
        source=Deposit,
        where=(Deposit.struck_at.is_(None), counts(Deposit.piece_id), in_period(Deposit.on_date)),
    )
    ends = (_of_deposit_end(f"deposits:{how.value}", -DepositEnd.cents, None, how) for how in DepositEnding)
    return (taken, *ends)


def _of_deposit_end(head: str, cents: Any, path: str | None, how: DepositEnding) -> Arm:
    return arm(
        head,
        path=path,
        cents=cents,
        day=DepositEnd.on_date,
        piece=Deposit.piece_id,
        row=("deposit_end", DepositEnd.id),
        page=Deposit.id,
        note=Deposit.payer,
        source=_ENDED,
        where=(
            DepositEnd.struck_at.is_(None),
            DepositEnd.how == how,
            counts(Deposit.piece_id),
            in_period(DepositEnd.on_date),
        ),
    )


def trip_arms() -> tuple[Arm, ...]:
    """What the log of trips says by itself, whether for pieces or not; none of it is a line of the profit.

    `car` are the trips at the rate, tolls and parking apart; `all_trips` is every trip, by how it counts.
    """
    counting = (Trip.struck_at.is_(None), in_period(Trip.on_date))
    at_rate = (*counting, Trip.counts_as == CountsAs.RATE)
    told: dict[str, Any] = {
        "day": Trip.on_date,
        "row": ("trip", Trip.id),
        "note": Trip.purpose_words,
        "source": Trip,
    }
    log = literal("all_trips:", String) + as_text(Trip.counts_as)
    return (
        arm("car:rate", cents=Trip.extra_cents - Trip.charged_cents, where=at_rate, **told),
        arm("car:extra", cents=-Trip.extra_cents, where=(*at_rate, Trip.extra_cents != 0), **told),
        arm("all_trips", path=log, cents=-Trip.charged_cents, where=(*counting, Trip.charged_cents != 0), **told),
    )
