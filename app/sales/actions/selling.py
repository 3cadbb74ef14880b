"""Record a sale, and strike one out that was a mistake."""

from datetime import datetime

from sqlalchemy import select
from sqlalchemy.orm import Session

from app.basics.errors import NotFound, RuleError
from app.basics.striking import reason_to_keep
from app.basics.words import LINE_LIMIT, NAME_LIMIT, clean_line
from app.floor.actions import end_listing, reopen_listing
from app.floor.queries import shop_today
from app.floor.rules import Ending
from app.pieces.actions import move_piece
from app.pieces.actions.ground import the_piece
from app.pieces.queries import steps_of
from app.pieces.rules import Stage, StepKind, require_capture_id, standing_steps
from app.sales.actions.deposits import apply_deposits, release_deposits
from app.sales.models import Sale
from app.sales.queries import check_sale, sale_row
from app.sales.rules import WHAT_WAS_WRONG, NewSale, require_standing_sale
from app.shop.queries import require_open


def record_sale(session: Session, new: NewSale, *, capture_id: str, now: datetime) -> Sale:
    """Record a sale in cents: the piece becomes sold, its spell on the floor, its hold and its deposits end.

    A `capture_id` seen before returns the sale it made. Refuses a piece that is sold already (AlreadySold) or
    gone (CannotMove), a day or amounts that cannot be, a closed month and a deposit left over (RuleError);
    raises NotFound for an unknown piece.
    """
    require_capture_id(capture_id)
    before = session.scalar(select(Sale).where(Sale.capture_id == capture_id))
    if before is not None:
        return before
    check_sale(session, new, shop_today(session, now))
    piece = the_piece(session, new.piece_id)
    listing = end_listing(session, piece.id, on_date=new.sold_on, ended_by=Ending.SALE, now=now)
    move_piece(session, piece, Stage.SOLD, StepKind.SALE, on_date=new.sold_on, reason="", now=now)
    sale = _new_sale(new, listing.id if listing else None, capture_id, now)
    session.add(sale)
    session.flush()
    apply_deposits(session, new.deposit_ids, sale, now=now)
    return sale


def strike_sale(session: Session, sale_id: int, *, reason: str, now: datetime) -> Sale:
    """Strike out a mistaken sale: the piece goes back to where it was, on the floor again if it was there.

    The deposits applied to it stand again; a hold it ended stays lifted. Refuses a sale struck out before, one
    that came back or has a refund, one in a closed month, and an empty reason (RuleError); raises NotFound.
    """
    sale = _sale(session, sale_id)
    row = sale_row(session, sale_id)
    require_standing_sale(
        is_struck=row.is_struck, is_returned=row.came_back is not None, is_refunded=bool(row.counting_refunds)
    )
    require_open(session, row.sold_on)
    why = reason_to_keep(reason, WHAT_WAS_WRONG)
    piece = the_piece(session, sale.piece_id)
    back_to = _stage_before_sale(session, piece.id)
    today = shop_today(session, now)
    move_piece(session, piece, back_to, StepKind.SALE_STRUCK, on_date=today, reason=why, now=now)
    if sale.listing_id is not None and back_to is Stage.LISTED:
        reopen_listing(session, sale.listing_id)
    sale.struck_at = now
    sale.struck_reason = why
    release_deposits(session, sale.id, reason=why, now=now)
    session.flush()
    return sale


def _sale(session: Session, sale_id: int) -> Sale:
    sale = session.get(Sale, sale_id)
    if sale is None:
        raise NotFound("sale")
    return sale


def _stage_before_sale(session: Session, piece_id: int) -> Stage:
    """Where the piece stood when it was sold; refuses when its newest step is not that sale (RuleError)."""
    steps = standing_steps(steps_of(session, piece_id))
    if steps[-1].kind is not StepKind.SALE or steps[-1].from_stage is None:
        raise RuleError("The piece has moved on since this sale, so it cannot be struck out.")
    return steps[-1].from_stage


def _new_sale(new: NewSale, listing_id: int | None, capture_id: str, now: datetime) -> Sale:
    return Sale(
        capture_id=capture_id,
        piece_id=new.piece_id,
        listing_id=listing_id,
        channel_id=new.channel_id,
        sold_on=new.sold_on,
        price_cents=new.price_cents,
        delivery_charged_cents=new.delivery_charged_cents,
        delivery_paid_cents=new.delivery_paid_cents,
        fees_cents=new.fees_cents,
        tax_cents=new.tax_cents,
        buyer_name=clean_line(new.buyer_name, NAME_LIMIT),
        note=clean_line(new.note, LINE_LIMIT),
        made_at=now,
        tax_place_id=new.tax_place_id,
        tax_rate_ppm=new.tax_rate_ppm,
        tax_basis=new.tax_basis,
        channel_tax_cents=new.channel_tax_cents,
        untaxed_reason=clean_line(new.untaxed_reason, LINE_LIMIT),
    )
