"""Write-downs and statements by the real actions, and rows of sales tax, refunds and corrections laid down directly."""

from datetime import UTC, date, datetime
from uuid import uuid4

from sqlalchemy.orm import Session

from app.costs.models import Adjustment
from app.costs.rules import AdjustedPart
from app.pieces.models import Piece
from app.reports.actions.statements import keep_statement
from app.reports.actions.writing_down import write_down
from app.reports.models import ChannelStatement, WriteDown
from app.reports.rules.writing_down import NewWriteDown
from app.sales.models import Sale, SaleRefund, TaxPlace
from app.sales.rules import TaxBasis
from app.shop.models import ClosedMonth

NOW = datetime(2026, 11, 25, 15, 30, tzinfo=UTC)


def a_write_down(
    session: Session,
    piece: Piece,
    price_cents: int = 20_00,
    *,
    finish: int = 0,
    sell: int = 0,
    on: date = date(2026, 11, 20),
    reason: str = "The top is cracked",
    capture_id: str | None = None,
) -> WriteDown:
    """A piece taken down to what it will bring."""
    new = NewWriteDown(piece.id, on, price_cents, finish, sell, reason)
    return write_down(session, new, capture_id=capture_id or str(uuid4()), now=NOW)


def a_statement(
    session: Session, channel_id: int, gross_cents: int = 500_00, *, year: int = 2026, version: int | None = None
) -> ChannelStatement:
    """What a channel says it took in."""
    told = {"gross_cents": gross_cents, "note": "January letter", "version": version, "places": 2, "now": NOW}
    return keep_statement(session, channel_id, year, **told)  # type: ignore[arg-type]


def a_tax_place(session: Session, name: str = "Harbour county") -> TaxPlace:
    """A place sales tax is for."""
    place = TaxPlace(name=name, basis=TaxBasis.INVOICE, is_put_away=False)
    session.add(place)
    session.flush()
    return place


def taxed_in(session: Session, sale: Sale, place: TaxPlace | None, *, channel_tax: int = 0, reason: str = "") -> Sale:
    """The sale with its place, what the channel collected, and why nothing was due."""
    sale.tax_place_id = place.id if place else None
    sale.channel_tax_cents = channel_tax
    sale.untaxed_reason = reason
    session.flush()
    return sale


def refunded(session: Session, sale: Sale, on: date, cents: int, *, tax: int = 0, fees: int = 0) -> SaleRefund:
    """Money given back on a sale that stands."""
    row = SaleRefund(
        capture_id=str(uuid4()),
        sale_id=sale.id,
        on_date=on,
        refund_cents=cents,
        tax_refunded_cents=tax,
        fees_back_cents=fees,
        reason="a scratch",
        made_at=NOW,
    )
    session.add(row)
    session.flush()
    return row


def corrected(
    session: Session, table: str, row_id: int, part: AdjustedPart, cents: int, *, on: date, piece_id: int | None = None
) -> Adjustment:
    """A correction, dated `on`, of one amount of a row that stands in a closed month."""
    row = Adjustment(
        capture_id=str(uuid4()),
        piece_id=piece_id,
        part=part,
        cents=cents,
        on_date=on,
        corrects_table=table,
        corrects_id=row_id,
        corrects_on=on,
        reason="misread",
        made_at=NOW,
    )
    session.add(row)
    session.flush()
    return row


def closed(session: Session, month: str) -> ClosedMonth:
    """A month that is closed, whatever it came to."""
    figures = {"profit_cents": 0, "cash_cents": 0, "stock_cents": 0, "shelf_cents": 0, "deposits_cents": 0}
    row = ClosedMonth(month=month, closed_at=NOW, **figures)
    session.add(row)
    session.flush()
    return row
