"""Attach photos to pieces and cost lines, order them, and take them off the pages."""

from collections.abc import Sequence
from datetime import datetime

from sqlalchemy import func, select
from sqlalchemy.orm import Session

from app.basics.errors import NotFound, RuleError
from app.photos.models import Photo
from app.photos.rules import Shows, StoredPhoto


def attach_photo(session: Session, stored: StoredPhoto, *, piece_id: int | None, shows: Shows, now: datetime) -> Photo:
    """Put a stored photo behind the others of the piece (or, for a shop's receipt, of no piece).

    The same content attached to the same piece again is the photo that is there already.
    """
    there = _same_content(session, stored.sha256, piece_id, shows)
    if there is not None:
        return there
    photo = Photo(
        piece_id=piece_id,
        sha256=stored.sha256,
        shows=shows,
        position=_next_position(session, piece_id, shows),
        width=stored.width,
        height=stored.height,
        bytes=stored.bytes,
        kind=stored.kind,
        given_name=stored.given_name,
        taken_at=stored.taken_at,
        made_at=now,
    )
    session.add(photo)
    session.flush()
    return photo


def attach_photos(session: Session, stored: Sequence[StoredPhoto], *, piece_id: int, now: datetime) -> list[Photo]:
    """Put stored photos behind the others of the piece, in the order given."""
    return [attach_photo(session, one, piece_id=piece_id, shows=Shows.PIECE, now=now) for one in stored]


def put_in_front(session: Session, photo_id: int) -> Photo:
    """Make a photo the first of its piece, the others keeping their order; raises NotFound for a removed one."""
    chosen = _photo_of_a_piece(session, photo_id)
    others = session.scalars(
        select(Photo)
        .where(Photo.piece_id == chosen.piece_id, Photo.shows == Shows.PIECE, Photo.id != chosen.id)
        .order_by(Photo.position, Photo.id)
    )
    for position, photo in enumerate([chosen, *others]):
        photo.position = position
    session.flush()
    return chosen


def remove_photo(session: Session, photo_id: int, *, now: datetime) -> Photo:
    """Take a photo of a piece off its pages; the file stays, and removing it twice changes nothing.

    Refuses a receipt (RuleError): it stands with its cost line. Raises NotFound for an unknown number.
    """
    photo = _photo_of_a_piece(session, photo_id, even_if_removed=True)
    if photo.removed_at is None:
        photo.removed_at = now
        session.flush()
    return photo


def put_back_photo(session: Session, photo_id: int) -> Photo:
    """Show a removed photo of a piece again, where it was; a photo that is there stays as it is.

    When the same content was sent again meanwhile, that photo stands for both. Raises NotFound.
    """
    photo = _photo_of_a_piece(session, photo_id, even_if_removed=True)
    twin = _same_content(session, photo.sha256, photo.piece_id, photo.shows)
    if twin is not None:
        return twin
    photo.removed_at = None
    session.flush()
    return photo


def _photo_of_a_piece(session: Session, photo_id: int, *, even_if_removed: bool = False) -> Photo:
    photo = session.get(Photo, photo_id)
    if photo is None or (photo.removed_at is not None and not even_if_removed):
        raise NotFound("photo")
    if photo.shows is Shows.RECEIPT:
        raise RuleError("A receipt stays with the cost line it belongs to.")
    return photo


def _same_content(session: Session, sha256: str, piece_id: int | None, shows: Shows) -> Photo | None:
    return session.scalars(
        select(Photo).where(
            Photo.sha256 == sha256,
            Photo.piece_id == piece_id,
            Photo.shows == shows,
            Photo.removed_at.is_(None),
        )
    ).first()


def _next_position(session: Session, piece_id: int | None, shows: Shows) -> int:
    last = session.scalar(select(func.max(Photo.position)).where(Photo.piece_id == piece_id, Photo.shows == shows))
    return 0 if last is None else last + 1
