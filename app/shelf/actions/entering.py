"""Buy, use and count a material, and take parts off a piece; the material is charged anew with every row."""

from datetime import datetime
from typing import TypeVar

from sqlalchemy import select
from sqlalchemy.orm import Session

from app.basics.dates import require_not_before
from app.photos.actions import attach_photo
from app.photos.rules import Shows, StoredPhoto
from app.pieces.actions.ground import counting_piece
from app.pieces.rules import require_capture_id, require_on_hand
from app.shelf.actions.charging import (
    keep_charges,
    numbered,
    require_as_shown,
    require_day_to_enter,
    the_material,
)
from app.shelf.models import ShelfCount, ShelfPurchase, ShelfUse
from app.shelf.queries import plan_with
from app.shelf.rules import (
    NewCount,
    NewParts,
    NewPurchase,
    NewUse,
    ShelfRow,
    require_counted,
    require_paid,
    require_quantity,
    require_value_there,
)

Row = TypeVar("Row", ShelfPurchase, ShelfUse, ShelfCount)


def buy_material(
    session: Session,
    new: NewPurchase,
    *,
    capture_id: str,
    now: datetime,
    receipt: StoredPhoto | None = None,
    agreed: str | None = None,
) -> ShelfPurchase:
    """Put what was bought on the shelf; uses beyond what was left before are settled with it, on its day.

    `agreed` is the mark of the changes to other charges that were shown; without one nothing had to be shown. A
    capture id seen before gives the row that is there. Refuses no quantity, an amount below zero, a day to come,
    before the books began or in a closed month (RuleError), and other changes than shown (NotAsShown).
    """
    if (there := _seen(session, ShelfPurchase, capture_id)) is not None:
        return there
    the_material(session, new.material_id)
    require_quantity(new.milli)
    require_paid(new.price_cents, new.tax_cents)
    require_day_to_enter(session, new.on_date, now)
    photo = None if receipt is None else attach_photo(session, receipt, piece_id=None, shows=Shows.RECEIPT, now=now)
    purchase = ShelfPurchase(
        capture_id=capture_id,
        material_id=new.material_id,
        from_piece_id=None,
        on_date=new.on_date,
        quantity_milli=new.milli,
        price_cents=new.price_cents,
        tax_cents=new.tax_cents,
        bought_at=new.bought_at,
        note=new.note,
        receipt_photo_id=photo.id if photo else None,
        made_at=now,
    )
    return _enter(session, purchase, new.row, agreed)


def use_material(
    session: Session, new: NewUse, *, capture_id: str, now: datetime, agreed: str | None = None
) -> ShelfUse:
    """Take a quantity off the shelf for a piece, sold and gone ones too, or for the shop.

    More than is left is taken at the last average and settled by the next purchase. Refuses a piece struck out,
    and a material of which nothing was bought by that day (NothingBought); `agreed` and the rest as
    `buy_material`.
    """
    if (there := _seen(session, ShelfUse, capture_id)) is not None:
        return there
    the_material(session, new.material_id)
    if new.piece_id is not None:
        counting_piece(session, new.piece_id)
    require_quantity(new.milli)
    require_day_to_enter(session, new.on_date, now)
    use = ShelfUse(
        capture_id=capture_id,
        material_id=new.material_id,
        piece_id=new.piece_id,
        on_date=new.on_date,
        quantity_milli=new.milli,
        note=new.note,
        made_at=now,
    )
    return _enter(session, use, new.row, agreed)


def count_material(
    session: Session, new: NewCount, *, capture_id: str, now: datetime, agreed: str | None = None
) -> ShelfCount:
    """Keep what was really there at the end of a day; the difference is charged to the shop, or given back.

    Refuses a count below zero, and one of a material of which nothing was bought by that day (NothingBought);
    `agreed` and the rest as `buy_material`.
    """
    if (there := _seen(session, ShelfCount, capture_id)) is not None:
        return there
    the_material(session, new.material_id)
    require_counted(new.milli)
    require_day_to_enter(session, new.on_date, now)
    count = ShelfCount(
        capture_id=capture_id,
        material_id=new.material_id,
        on_date=new.on_date,
        counted_milli=new.milli,
        note=new.note,
        made_at=now,
    )
    return _enter(session, count, new.row, agreed)


def take_parts_off(
    session: Session,
    new: NewParts,
    *,
    stands_at_cents: int,
    capture_id: str,
    now: datetime,
    agreed: str | None = None,
) -> ShelfPurchase:
    """Put parts taken off a piece on the shelf at a value that leaves its cost; no money moves.

    `stands_at_cents` is what the piece stands at on that day. Refuses a piece that is sold or gone, a day before
    it was found, and a value above that (TooMuchOff); `agreed` and the rest as `buy_material`.
    """
    if (there := _seen(session, ShelfPurchase, capture_id)) is not None:
        return there
    the_material(session, new.material_id)
    piece = counting_piece(session, new.piece_id)
    require_on_hand(piece.stage, piece.left_as)
    require_quantity(new.milli)
    require_day_to_enter(session, new.on_date, now)
    require_not_before(new.on_date, piece.sourced_on, "on_date", "the day it was found")
    require_value_there(new.value_cents, stands_at_cents)
    purchase = ShelfPurchase(
        capture_id=capture_id,
        material_id=new.material_id,
        from_piece_id=piece.id,
        on_date=new.on_date,
        quantity_milli=new.milli,
        price_cents=new.value_cents,
        tax_cents=0,
        bought_at="",
        note=new.note,
        made_at=now,
    )
    return _enter(session, purchase, new.row, agreed)


def _seen(session: Session, table: type[Row], capture_id: str) -> Row | None:
    require_capture_id(capture_id)
    return session.scalars(select(table).where(table.capture_id == capture_id)).first()


def _enter(session: Session, stored: Row, row: ShelfRow, agreed: str | None) -> Row:
    plan = plan_with(session, stored.material_id, row)
    require_as_shown(plan, agreed)
    session.add(stored)
    session.flush()
    keep_charges(session, stored.material_id, numbered(plan.charges, row.kind, stored.id))
    return stored
