"""Attach receipts to cost lines, purchases for the shelf and trips, then or later, and take them off again."""

from datetime import datetime
from typing import Any

from sqlalchemy.orm import Session

from app.basics.errors import NotFound
from app.basics.striking import require_not_struck
from app.desk.queries.receipts import MAY_HAVE_ONE, is_receipt_of_any, row_named
from app.photos import actions as photos
from app.photos.rules import Shows, StoredPhoto


def attach_receipt(session: Session, name: str, receipt: StoredPhoto | int, *, now: datetime) -> int:
    """Attach a receipt to the row of that name: a stored photo, or one that lies on the pile, by its number.

    Gives the number of the photo that is its receipt now. One that is there already is replaced, kept, and stays in
    sight. A row in a closed month may have its receipt too: it changes no amount. Refuses a row that was struck out
    and a photo that is not on the pile any more (RuleError); raises NotFound for a row that is not there.
    """
    row = _row(session, name)
    require_not_struck("row", row.struck_reason)
    piece_id = getattr(row, "piece_id", None)
    if isinstance(receipt, StoredPhoto):
        photo = photos.attach_photo(session, receipt, piece_id=piece_id, shows=Shows.RECEIPT, now=now)
    else:
        photo = photos.make_receipt(session, receipt, piece_id=piece_id, now=now)
    before = row.receipt_photo_id
    if before is not None and before != photo.id:
        photos.keep_replaced(session, before, of_table=row.__tablename__, of_id=row.id, now=now)
    row.receipt_photo_id = photo.id
    session.flush()
    return photo.id


def take_receipt_off(session: Session, name: str, photo_id: int, *, now: datetime) -> bool:
    """Take that photo off the row of that name; the one it replaced takes its place again, where there is one.

    The photo is laid back on the pile, unless it is the receipt of another row too. In a closed month as well: no
    amount changes. A row with another receipt, or none, stays as it is, and the answer is no: pressing twice takes one
    off. Raises NotFound.
    """
    row = _row(session, name)
    if row.receipt_photo_id != photo_id:
        return False
    row.receipt_photo_id = photos.take_up_replaced(session, of_table=row.__tablename__, of_id=row.id)
    session.flush()
    if not is_receipt_of_any(session, photo_id):
        photos.receipt_to_pile(session, photo_id, now=now)
    return True


def _row(session: Session, name: str) -> Any:
    word, row_id = row_named(name)
    row = session.get(MAY_HAVE_ONE[word], row_id)
    if row is None:
        raise NotFound("receipt")
    return row
