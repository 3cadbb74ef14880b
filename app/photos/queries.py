"""Read photos: those of a piece in their order, the front ones of many pieces, one by its number."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime

from sqlalchemy import func, select
from sqlalchemy.orm import Session

from app.basics.errors import NotFound
from app.photos.models import Photo
from app.photos.rules import LONG_EDGE, Box, Shows, Size, fit_within


@dataclass(frozen=True)
class PhotoRow:
    """One photo that is shown; `width` and `height` are those of the upright original in pixels."""

    id: int
    piece_id: int | None
    sha256: str
    shows: Shows
    width: int
    height: int
    taken_at: datetime | None
    made_at: datetime

    @property
    def small(self) -> Box:
        """Width and height of the small size."""
        return self.box(Size.SMALL)

    @property
    def large(self) -> Box:
        """Width and height of the large size."""
        return self.box(Size.LARGE)

    def box(self, size: Size) -> Box:
        """Width and height of a size in pixels."""
        return fit_within(self.width, self.height, LONG_EDGE[size])


def photos_of(session: Session, piece_id: int) -> list[PhotoRow]:
    """The photos of a piece in the owner's order, the front one first; without receipts and removed ones."""
    rows = session.scalars(
        select(Photo)
        .where(Photo.piece_id == piece_id, Photo.shows == Shows.PIECE, Photo.removed_at.is_(None))
        .order_by(Photo.position, Photo.id)
    )
    return [_row(photo) for photo in rows]


def front_photos(session: Session, piece_ids: Iterable[int]) -> dict[int, PhotoRow]:
    """The front photo of each piece that has one, by the piece's id; one query for all of them."""
    place = func.row_number().over(partition_by=Photo.piece_id, order_by=(Photo.position, Photo.id))
    ranked = (
        select(Photo.id, place.label("place"))
        .where(Photo.piece_id.in_(list(piece_ids)), Photo.shows == Shows.PIECE, Photo.removed_at.is_(None))
        .subquery()
    )
    rows = session.scalars(select(Photo).join(ranked, Photo.id == ranked.c.id).where(ranked.c.place == 1))
    return {photo.piece_id: _row(photo) for photo in rows if photo.piece_id is not None}


def photo_by_id(session: Session, photo_id: int) -> PhotoRow:
    """A photo or receipt by its number; raises NotFound when there is none, or when it was removed."""
    photo = session.get(Photo, photo_id)
    if photo is None or photo.removed_at is not None:
        raise NotFound("photo")
    return _row(photo)


def removed_photo(session: Session, piece_id: int, photo_id: int | None) -> int | None:
    """The number itself when it is a removed photo of the piece, which may be put back; else None."""
    # The number comes from the address and may be longer than any the ledger holds: it is not asked for.
    removed = session.scalars(select(Photo.id).where(Photo.piece_id == piece_id, Photo.removed_at.is_not(None)))
    return photo_id if photo_id in set(removed) else None


def _row(photo: Photo) -> PhotoRow:
    return PhotoRow(
        id=photo.id,
        piece_id=photo.piece_id,
        sha256=photo.sha256,
        shows=photo.shows,
        width=photo.width,
        height=photo.height,
        taken_at=photo.taken_at,
        made_at=photo.made_at,
    )
