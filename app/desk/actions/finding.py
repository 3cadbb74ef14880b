"""Log a find together with its photos."""

from collections.abc import Sequence
from datetime import datetime

from sqlalchemy.orm import Session

from app.photos.actions import attach_photos
from app.photos.rules import StoredPhoto
from app.pieces.actions import log_find
from app.pieces.models import Piece
from app.pieces.rules import NewFind


def log_find_with_photos(
    session: Session, find: NewFind, photos: Sequence[StoredPhoto], *, capture_id: str, now: datetime
) -> Piece:
    """Log a find and put its photos on it, in their order; all of it or nothing.

    The photos lie in the photo folder already. Refuses what `log_find` refuses.
    """
    piece = log_find(session, find, capture_id=capture_id, now=now)
    attach_photos(session, photos, piece_id=piece.id, now=now)
    return piece
