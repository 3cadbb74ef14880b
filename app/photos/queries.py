"""Read photos: those of a piece in their order, the front ones of many pieces, one by its number, the pile."""

from collections.abc import Collection, Iterable
from dataclasses import dataclass
from datetime import datetime

from sqlalchemy import ColumnElement, and_, func, or_, select
from sqlalchemy.orm import Session

from app.basics.errors import NotFound
from app.photos.models import Photo, ReplacedReceipt
from app.photos.rules import SHOWS_WORDS, Box, Shows, Size, alt_words, plan_sizes
from app.pieces.models import Piece
from app.pieces.rules import shown_name

ON_PILE = and_(Photo.piece_id.is_(None), Photo.shows != Shows.RECEIPT, Photo.removed_at.is_(None))
"""Photos that belong to nothing yet."""


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
    caption: str = ""

    @property
    def shows_words(self) -> str:
        """What it shows, for the page; nothing for a receipt."""
        return SHOWS_WORDS.get(self.shows, "")

    @property
    def instant(self) -> datetime:
        """When it was taken, as far as its camera told; else when it was received."""
        return self.taken_at or self.made_at

    @property
    def small(self) -> Box:
        """Width and height of the small size."""
        return self.box(Size.SMALL)

    @property
    def large(self) -> Box:
        """Width and height of the large size."""
        return self.box(Size.LARGE)

    @property
    def sizes(self) -> list[tuple[Size, Box]]:
        """The sizes that differ, the smallest first: a small photo fills no larger one."""
        planned = plan_sizes(self.width, self.height)
        of_width = {box.width: (size, box) for size, box in planned.items()}
        return [of_width[width] for width in sorted(of_width)]

    def box(self, size: Size) -> Box:
        """Width and height of a size in pixels."""
        return plan_sizes(self.width, self.height)[size]

    def alt(self, piece_name: str, number: int, of: int) -> str:
        """What it shows, for who cannot see it."""
        return alt_words(piece_name, number, of, shows=self.shows, caption=self.caption)


@dataclass(frozen=True)
class PlacedPhoto:
    """A photo among those of its piece: the `number`-th `of` them, and the ones beside it."""

    photo: PhotoRow
    piece_id: int
    number: int
    of: int
    previous_id: int | None
    next_id: int | None


def photos_of(session: Session, piece_id: int) -> list[PhotoRow]:
    """The photos of a piece in the owner's order, the front one first; without receipts and removed ones."""
    rows = session.scalars(
        select(Photo)
        .where(Photo.piece_id == piece_id, Photo.shows != Shows.RECEIPT, Photo.removed_at.is_(None))
        .order_by(Photo.position, Photo.id)
    )
    return [_row(photo) for photo in rows]


def front_photos(session: Session, piece_ids: Iterable[int]) -> dict[int, PhotoRow]:
    """The front photo of each piece that has one, by the piece's id; one query for all of them."""
    place = func.row_number().over(partition_by=Photo.piece_id, order_by=(Photo.position, Photo.id))
    ranked = (
        select(Photo.id, place.label("place"))
        .where(Photo.piece_id.in_(list(piece_ids)), Photo.shows != Shows.RECEIPT, Photo.removed_at.is_(None))
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


def placed_photo(session: Session, photo_id: int) -> PlacedPhoto:
    """A photo of a piece and its place there; raises NotFound for a removed one, a receipt, one of no piece."""
    photo = photo_by_id(session, photo_id)
    if photo.piece_id is None or photo.shows is Shows.RECEIPT:
        raise NotFound("photo")
    row = photos_of(session, photo.piece_id)
    at = row.index(photo)
    return PlacedPhoto(
        photo=photo,
        piece_id=photo.piece_id,
        number=at + 1,
        of=len(row),
        previous_id=row[at - 1].id if at else None,
        next_id=row[at + 1].id if at + 1 < len(row) else None,
    )


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
        caption=photo.caption,
    )


@dataclass(frozen=True)
class PhotoPlace:
    """Where a content stands already; without a tag it is a receipt, or lies on the pile."""

    tag: str | None
    is_receipt: bool

    @property
    def words(self) -> str:
        """Where it stands, as said behind "already"."""
        if self.is_receipt:
            return "a receipt"
        return f"on {self.tag}" if self.tag else "on the pile"


@dataclass(frozen=True)
class MovedPhoto:
    """A photo that left the pile: put on the piece of that tag, made a receipt, or taken away."""

    id: int
    tag: str | None
    piece_name: str


def pile(session: Session) -> list[PhotoRow]:
    """The photos that belong to nothing yet, by the time they were taken; one query."""
    return sorted((_row(photo) for photo in session.scalars(select(Photo).where(ON_PILE))), key=_by_time)


def count_pile(session: Session) -> int:
    """How many photos belong to nothing yet."""
    return session.scalar(select(func.count(Photo.id)).where(ON_PILE)) or 0


def pile_photos(session: Session, photo_ids: Collection[int]) -> list[PhotoRow]:
    """Those of the photos that lie on the pile, by the time they were taken; all others are left out."""
    found = session.scalars(select(Photo).where(ON_PILE, Photo.id.in_(photo_ids)))
    return sorted((_row(photo) for photo in found), key=_by_time)


def where_kept(session: Session, sha256: str) -> PhotoPlace | None:
    """Where a content stands: on a piece rather than on the pile, and there rather than as a receipt; else None."""
    found = session.execute(
        select(Piece.tag, Photo.shows)
        .outerjoin(Piece, Piece.id == Photo.piece_id)
        .where(Photo.sha256 == sha256, Photo.removed_at.is_(None), Piece.struck_at.is_(None))
    ).all()
    places = [PhotoPlace(tag, shows is Shows.RECEIPT) for tag, shows in found]
    return min(places, key=lambda place: (place.is_receipt, place.tag is None), default=None)


def may_go_back(piece_id: int | None) -> ColumnElement[bool]:
    """Photos that were taken off the pile, or stand on the piece of that number: they may be laid on the pile."""
    away = and_(Photo.piece_id.is_(None), Photo.removed_at.is_not(None))
    on_the_piece = and_(Photo.piece_id == piece_id, Photo.removed_at.is_(None), Photo.piece_id.is_not(None))
    return and_(Photo.shows != Shows.RECEIPT, or_(away, on_the_piece))


def moved_photos(session: Session, photo_ids: Collection[int], *, to_piece: int | None = None) -> list[MovedPhoto]:
    """Those of the photos that left the pile and may be laid back: put on that piece, or taken away."""
    found = session.execute(
        select(Photo.id, Piece)
        .outerjoin(Piece, Piece.id == Photo.piece_id)
        .where(Photo.id.in_(photo_ids), may_go_back(to_piece))
        .order_by(Photo.id)
    )
    return [
        MovedPhoto(photo_id, piece.tag if piece else None, shown_name(piece.title, piece.form) if piece else "")
        for photo_id, piece in found
    ]


def replaced_receipts(session: Session, table: str, row_id: int) -> list[tuple[PhotoRow, datetime]]:
    """The photos that were the receipt of a row before, each with the instant it was replaced; the newest first."""
    found = session.execute(
        select(Photo, ReplacedReceipt.replaced_at)
        .join(ReplacedReceipt, ReplacedReceipt.photo_id == Photo.id)
        .where(ReplacedReceipt.of_table == table, ReplacedReceipt.of_id == row_id)
        .order_by(ReplacedReceipt.id.desc())
    )
    return [(_row(photo), replaced_at) for photo, replaced_at in found]


def _by_time(photo: PhotoRow) -> tuple[datetime, int]:
    return photo.instant, photo.id
