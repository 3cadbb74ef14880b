"""A shop's money for tests: pieces found, worked on, listed, sold, returned and gone, by the real actions."""

from datetime import UTC, date, datetime
from uuid import uuid4

from sqlalchemy.orm import Session

from app.costs.actions import add_cost
from app.costs.models import CostLine
from app.costs.rules import CostKind, NewCost
from app.floor.actions import list_piece
from app.floor.models import Listing
from app.pieces.actions import log_find
from app.pieces.models import Piece
from app.pieces.rules import Facts, Form, NewFind, Stage
from app.sales.actions import record_return, record_sale
from app.sales.models import Sale, SaleReturn
from app.sales.rules import NewReturn, NewSale
from app.timelog.actions import add_time
from app.timelog.models import TimeEntry
from app.timelog.rules import Activity, NewTime

NOW = datetime(2026, 11, 25, 15, 30, tzinfo=UTC)


def found(session: Session, on: date, cents: int, title: str = "Oak chest", *, premium: int = 0, tax: int = 0) -> Piece:
    """A find bought on a day."""
    find = NewFind(Facts(form=Form.CHEST, title=title), None, on, cents, premium, tax)
    return log_find(session, find, capture_id=str(uuid4()), now=NOW)


def spent(
    session: Session, piece: Piece | None, on: date, cents: int, *, kind: CostKind | None = None, note: str = ""
) -> CostLine:
    """A cost line on a piece, or on the shop."""
    usual = CostKind.MATERIALS if piece else CostKind.RENT
    new = NewCost(piece.id if piece else None, kind or usual, cents, on, note=note)
    return add_cost(session, new, capture_id=str(uuid4()), now=NOW)


def worked(session: Session, piece: Piece | None, on: date, minutes: int) -> TimeEntry:
    """Minutes of sanding."""
    new = NewTime(piece.id if piece else None, Activity.SANDING, on, minutes)
    return add_time(session, new, capture_id=str(uuid4()), now=NOW)


def listed(session: Session, piece: Piece, on: date, cents: int = 20_000) -> Listing:
    """The piece on the floor."""
    return list_piece(session, piece.id, asking_cents=cents, channel_ids=(), on_date=on, version=None, now=NOW)


def sold(
    session: Session,
    piece: Piece,
    on: date,
    cents: int,
    *,
    delivery: tuple[int, int] = (0, 0),
    fees: int = 0,
    tax: int = 0,
) -> Sale:
    """A sale; `delivery` is what was charged and what was paid for it."""
    new = NewSale(piece.id, on, None, cents, *delivery, fees, tax)
    return record_sale(session, new, capture_id=str(uuid4()), now=NOW)


def came_back(
    session: Session, sale: Sale, on: date, cents: int, *, tax: int = 0, fees: int = 0, delivery: int = 0
) -> SaleReturn:
    """A sale that came back, for `cents`; the piece stands finished again."""
    new = NewReturn(sale.id, on, cents, tax, fees, delivery, "drawers stick", Stage.FINISHED)
    return record_return(session, new, now=NOW)


def a_round(session: Session, title: str, found_on: date, sold_on: date) -> Sale:
    """A piece bought for 40.00, painted for 12.50, worked on for 3 h, listed and sold for 200.00 less 6.00."""
    piece = found(session, found_on, 4_000, title)
    spent(session, piece, found_on, 1_250)
    worked(session, piece, found_on, 180)
    listed(session, piece, found_on)
    return sold(session, piece, sold_on, 20_000, fees=600)
