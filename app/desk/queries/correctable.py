"""Read rows of money of every room as they may be corrected once their month is closed: one reader for each table."""

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from datetime import date
from types import MappingProxyType
from typing import Any, Final, TypeAlias, TypeVar

from sqlalchemy import func, select
from sqlalchemy.orm import Session

from app.basics.errors import NotFound
from app.costs.models import CostLine
from app.costs.queries import AdjustmentRow
from app.costs.rules import COST_WORDS, ROW_WORDS, AdjustedPart, CorrectableAmount
from app.database.base import Base
from app.pieces.models import LeavingRow, Purchase, Transfer
from app.pieces.queries import PieceRow, piece_row
from app.pieces.rules import PurchaseKind
from app.reports.models import WriteDown
from app.sales.models import Deposit, DepositEnd, Sale, SaleRefund, SaleReturn
from app.shelf.models import Material, ShelfCharge, ShelfCount, ShelfPurchase, ShelfUse
from app.shop.queries import last_closed_day
from app.trips.models import Trip, TripPiece
from app.trips.rules import CountsAs, TripPurpose

NOT_TO_CORRECT: Final[Mapping[str, str]] = MappingProxyType(
    {
        "leaving": "It left at what it had cost by then. A wrong cost is corrected on its own row; a piece that is"
        " here after all is brought back, with a day in an open month.",
        "transfer": "What moved when a set was split stays. A wrong cost is corrected on the row it came from.",
        "deposit": "What was taken stays. What becomes of it now, refunded or kept, is dated in an open month.",
        "deposit_end": "What became of it stays. Take a new deposit, or record a sale or a refund in an open month.",
        "shelf_count": "Count the shelf again: the difference is charged with the day of the new count.",
        "write_down": "Value the piece anew with a day in an open month: up or down, as it is now.",
    }
)
"""Tables whose rows stand as they are once their month is closed, and what is done instead."""


_OTHER_SIDE: Final = "No money moved, so the shop's own costs take the other side."

T = TypeVar("T", bound=Base)


@dataclass(frozen=True)
class RowSheet:
    """One row of money: what it is, its day, its amounts, the earlier corrections, and why it cannot be corrected.

    `home` is the number of what the row stands under (its haul, sale, material or trip), 0 where that is its piece
    or the shop. `note` says what a correction does not do; `cannot` is '' where the row can be corrected.
    """

    table: str
    row_id: int
    what: str
    on_date: date
    amounts: tuple[CorrectableAmount, ...]
    piece: PieceRow | None = None
    home: int = 0
    struck_reason: str | None = None
    cannot: str = ""
    note: str = ""
    earlier: tuple[AdjustmentRow, ...] = ()

    @property
    def version(self) -> int:
        """Rises with every correction, and every correction struck out: what the row says has changed then."""
        return 1 + len(self.earlier) + sum(row.is_struck for row in self.earlier)

    @property
    def corrections(self) -> int:
        """What the corrections that count add up to over all amounts, in cents."""
        return sum(amount.corrected for amount in self.amounts)


Reader: TypeAlias = Callable[[Session, int], RowSheet]


def _purchase(session: Session, row_id: int) -> RowSheet:
    row = _stored(session, Purchase, row_id)
    piece = piece_row(session, row.piece_id)
    is_opening = row.kind is PurchaseKind.OPENING
    paid = row.price_cents + row.premium_cents + row.tax_cents
    label = "Cost when the books began" if is_opening else "Paid, with premium and tax"
    part = AdjustedPart.OPENING if is_opening else AdjustedPart.COST
    share = f"its share of haul {row.haul_id}" if row.haul_id is not None else ""
    return RowSheet(
        table=Purchase.__tablename__,
        row_id=row_id,
        what=_words("Owned when the books began" if is_opening else ROW_WORDS["purchase"], share),
        on_date=row.on_date,
        amounts=(CorrectableAmount(part, label, paid, pieces=((piece.id, 1),)),),
        piece=piece,
        home=row.haul_id or 0,
        struck_reason=row.struck_reason,
    )


def _cost_line(session: Session, row_id: int) -> RowSheet:
    row = _stored(session, CostLine, row_id)
    piece = piece_row(session, row.piece_id) if row.piece_id is not None else None
    part = AdjustedPart.COST if piece else AdjustedPart.SHOP_COST
    return RowSheet(
        table=CostLine.__tablename__,
        row_id=row_id,
        what=_words(COST_WORDS[row.kind], row.note, row.bought_at),
        on_date=row.on_date,
        amounts=(CorrectableAmount(part, "Amount", row.amount_cents, pieces=((piece.id, 1),) if piece else ()),),
        piece=piece,
        struck_reason=row.struck_reason,
    )


def _sale(session: Session, row_id: int) -> RowSheet:
    row = _stored(session, Sale, row_id)
    on_it = ((row.piece_id, 1),)
    said = (
        (AdjustedPart.PRICE, "Price", row.price_cents),
        (AdjustedPart.DELIVERY_CHARGED, "Delivery charged", row.delivery_charged_cents),
        (AdjustedPart.DELIVERY_PAID, "Delivery paid", row.delivery_paid_cents),
        (AdjustedPart.FEES, "Selling fees", row.fees_cents),
        (AdjustedPart.TAX, "Sales tax collected", row.tax_cents),
    )
    return RowSheet(
        table=Sale.__tablename__,
        row_id=row_id,
        what=_words(ROW_WORDS["sale"], row.note),
        on_date=row.sold_on,
        amounts=tuple(CorrectableAmount(part, label, cents, pieces=on_it) for part, label, cents in said),
        piece=piece_row(session, row.piece_id),
        home=row.id,
        struck_reason=row.struck_reason,
    )


def _sale_return(session: Session, row_id: int) -> RowSheet:
    row = _stored(session, SaleReturn, row_id)
    sale = _stored(session, Sale, row.sale_id)
    amounts = (
        *_given_back(sale, row),
        _back(sale, AdjustedPart.DELIVERY_PAID, "Delivery recovered", row.delivery_back_cents),
    )
    return RowSheet(
        table=SaleReturn.__tablename__,
        row_id=row_id,
        what=_words(ROW_WORDS["sale_return"], row.reason),
        on_date=row.returned_on,
        amounts=amounts,
        piece=piece_row(session, sale.piece_id),
        home=sale.id,
        struck_reason=row.struck_reason,
    )


def _sale_refund(session: Session, row_id: int) -> RowSheet:
    row = _stored(session, SaleRefund, row_id)
    sale = _stored(session, Sale, row.sale_id)
    return RowSheet(
        table=SaleRefund.__tablename__,
        row_id=row_id,
        what=_words(ROW_WORDS["sale_refund"], row.reason),
        on_date=row.on_date,
        amounts=_given_back(sale, row),
        piece=piece_row(session, sale.piece_id),
        home=sale.id,
        struck_reason=row.struck_reason,
    )


def _given_back(sale: Sale, row: SaleReturn | SaleRefund) -> tuple[CorrectableAmount, ...]:
    return (
        _back(sale, AdjustedPart.REFUND, "Refund", row.refund_cents),
        _back(sale, AdjustedPart.TAX, "Sales tax given back", row.tax_refunded_cents),
        _back(sale, AdjustedPart.FEES, "Fees given back", row.fees_back_cents),
    )


def _back(sale: Sale, part: AdjustedPart, label: str, cents: int) -> CorrectableAmount:
    return CorrectableAmount(part, label, cents, pieces=((sale.piece_id, 1),))


def _shelf_purchase(session: Session, row_id: int) -> RowSheet:
    row = _stored(session, ShelfPurchase, row_id)
    from_piece = row.from_piece_id
    cents = row.price_cents + row.tax_cents
    if from_piece is None:
        amount = CorrectableAmount(AdjustedPart.SHOP_COST, "Paid, with tax", cents)
        what, note = ROW_WORDS["shelf_purchase"], "What the shelf charges stays; the difference is a cost of the shop."
    else:
        amount = CorrectableAmount(
            AdjustedPart.COST, "Value", cents, pieces=((from_piece, 1),), is_taken_off=True, is_moved=True
        )
        what, note = "Parts taken off", _OTHER_SIDE
    return RowSheet(
        table=ShelfPurchase.__tablename__,
        row_id=row_id,
        what=_words(what, _material(session, row.material_id), row.note),
        on_date=row.on_date,
        amounts=(amount,),
        piece=piece_row(session, from_piece) if from_piece is not None else None,
        home=row.material_id,
        struck_reason=row.struck_reason,
        note=note,
    )


def _shelf_use(session: Session, row_id: int) -> RowSheet:
    row = _stored(session, ShelfUse, row_id)
    closed_through = last_closed_day(session) or row.on_date
    charged = session.scalar(
        select(func.sum(ShelfCharge.cents)).where(ShelfCharge.use_id == row_id, ShelfCharge.on_date <= closed_through)
    )
    cost = CorrectableAmount(
        AdjustedPart.COST, "Cost on the piece", charged or 0, pieces=((row.piece_id or 0, 1),), is_moved=True
    )
    return RowSheet(
        table=ShelfUse.__tablename__,
        row_id=row_id,
        what=_words(ROW_WORDS["shelf_use"], _material(session, row.material_id), row.note),
        on_date=row.on_date,
        amounts=(cost,) if row.piece_id is not None else (),
        piece=piece_row(session, row.piece_id) if row.piece_id is not None else None,
        home=row.material_id,
        struck_reason=row.struck_reason,
        note=f"This corrects the cost on the piece, not the quantity. {_OTHER_SIDE} A count puts the quantity right.",
        cannot="" if row.piece_id is not None else "It was used for the shop. Count the shelf: that puts it right.",
    )


def _trip(session: Session, row_id: int) -> RowSheet:
    row = _stored(session, Trip, row_id)
    shares = session.execute(
        select(TripPiece.piece_id, TripPiece.weight).where(TripPiece.trip_id == row_id).order_by(TripPiece.piece_id)
    )
    pieces = tuple((piece_id, weight) for piece_id, weight in shares)
    return RowSheet(
        table=Trip.__tablename__,
        row_id=row_id,
        what=_words(ROW_WORDS["trip"], row.purpose_words, row.to_place),
        on_date=row.on_date,
        amounts=_trip_amounts(row, pieces),
        piece=piece_row(session, pieces[0][0]) if len(pieces) == 1 else None,
        home=row.id,
        struck_reason=row.struck_reason,
        note="A difference is shared over the pieces of the trip as the trip was." if len(pieces) > 1 else "",
    )


def _trip_amounts(row: Trip, pieces: tuple[tuple[int, int], ...]) -> tuple[CorrectableAmount, ...]:
    paid = AdjustedPart.TRIP if pieces else AdjustedPart.SHOP_COST
    if row.counts_as is CountsAs.RATE:
        at_rate = row.charged_cents - row.extra_cents
        return (
            CorrectableAmount(AdjustedPart.MILEAGE, "Distance at the rate", at_rate, pieces=pieces),
            CorrectableAmount(paid, "Tolls and parking", row.extra_cents, pieces=pieces),
        )
    part = AdjustedPart.COST if pieces and row.purpose is TripPurpose.FETCH else paid
    return (CorrectableAmount(part, "What it cost", row.charged_cents, pieces=pieces),)


def _standing(model: type[Base], what: str, piece_of: Callable[[Session, Any], int | None]) -> Reader:
    """A reader of rows that carry no amount to be corrected: it says what is done instead."""

    def read(session: Session, row_id: int) -> RowSheet:
        row: Any = _stored(session, model, row_id)
        piece_id = piece_of(session, row)
        return RowSheet(
            table=model.__tablename__,
            row_id=row_id,
            what=what,
            on_date=row.on_date,
            amounts=(),
            piece=piece_row(session, piece_id) if piece_id is not None else None,
            cannot=NOT_TO_CORRECT[model.__tablename__],
        )

    return read


def _own_piece(_session: Session, row: Any) -> int | None:
    found: int = row.piece_id
    return found


def _piece_of_end(session: Session, row: DepositEnd) -> int | None:
    return _stored(session, Deposit, row.deposit_id).piece_id


def _stored(session: Session, model: type[T], row_id: int) -> T:
    row = session.get(model, row_id)
    if row is None:
        raise NotFound("row")
    return row


def _material(session: Session, material_id: int) -> str:
    return session.get_one(Material, material_id).name


def _words(*parts: str) -> str:
    return ", ".join(part for part in parts if part)


READERS: Final[Mapping[str, Reader]] = MappingProxyType(
    {
        "purchase": _purchase,
        "cost_line": _cost_line,
        "sale": _sale,
        "sale_return": _sale_return,
        "sale_refund": _sale_refund,
        "shelf_purchase": _shelf_purchase,
        "shelf_use": _shelf_use,
        "trip": _trip,
        "leaving": _standing(LeavingRow, "Left without a sale", _own_piece),
        "transfer": _standing(Transfer, "A set was split", lambda _session, row: row.from_piece_id),
        "deposit": _standing(Deposit, "Deposit", _own_piece),
        "deposit_end": _standing(DepositEnd, "What became of a deposit", _piece_of_end),
        "shelf_count": _standing(ShelfCount, "Count of the shelf", lambda _session, _row: None),
        "write_down": _standing(WriteDown, "Write-down", _own_piece),
    }
)
"""Who reads a row, by the name of its table."""
