"""Log a find together with its photos."""

from collections.abc import Collection, Sequence
from datetime import datetime

from sqlalchemy.orm import Session

from app.photos.actions import attach_photos, put_on_piece
from app.photos.rules import Shows, StoredPhoto
from app.pieces.actions import log_find
from app.pieces.models import Piece
from app.pieces.rules import NewFind


def log_find_with_photos(
    session: Session,
    find: NewFind,
    photos: Sequence[StoredPhoto],
    *,
    piled: Collection[int] = (),
    capture_id: str,
    now: datetime,
) -> Piece:
    """Log a find and put its photos on it, those of the pile first, in their order; all of it or nothing.

    The photos lie in the photo folder already; what is no longer on the pile is left out. Refuses what `log_find`
    refuses.
    """
    piece = log_find(session, find, capture_id=capture_id, now=now)
    put_on_piece(session, piled, piece_id=piece.id, shows=Shows.FOUND, now=now)
    attach_photos(session, photos, piece_id=piece.id, now=now)
    return piece
