"""Attach photos to pieces and cost lines, order them, take them off the pages; lay them on the pile and sort it."""

from collections.abc import Collection, Sequence
from datetime import datetime

from sqlalchemy import ColumnElement, func, select
from sqlalchemy.orm import Session

from app.basics.errors import NotFound, RuleError
from app.photos.models import Photo, ReplacedReceipt
from app.photos.queries import ON_PILE, PhotoPlace, may_go_back, where_kept
from app.photos.rules import Shows, StoredPhoto, require_shows
from app.pieces.actions.ground import counting_piece


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


def attach_photos(
    session: Session, stored: Sequence[StoredPhoto], *, piece_id: int, shows: Shows = Shows.FOUND, now: datetime
) -> list[Photo]:
    """Put stored photos behind the others of the piece, in the order given.

    Refuses a piece that is struck out (RuleError); raises NotFound.
    """
    counting_piece(session, piece_id)
    return [attach_photo(session, one, piece_id=piece_id, shows=shows, now=now) for one in stored]


def put_in_front(session: Session, photo_id: int) -> Photo:
    """Make a photo the first of its piece, the others keeping their order; raises NotFound for a removed one."""
    return put_at(session, photo_id, 1)


def put_at(session: Session, photo_id: int, place: int) -> Photo:
    """Put a photo at a place among those of its piece, 1 being the front, the others keeping their order.

    A place beyond the last is the last; doing it twice changes nothing. Removed photos stay behind the ones they
    stood behind. Raises NotFound for a removed photo.
    """
    chosen = _photo_of_a_piece(session, photo_id)
    others = list(
        session.scalars(
            select(Photo)
            .where(Photo.piece_id == chosen.piece_id, Photo.shows != Shows.RECEIPT, Photo.id != chosen.id)
            .order_by(Photo.position, Photo.id)
        )
    )
    shown = [index for index, photo in enumerate(others, start=1) if photo.removed_at is None]
    after = shown[: max(0, place - 1)]
    others.insert(after[-1] if after else 0, chosen)
    for position, photo in enumerate(others):
        photo.position = position
    session.flush()
    return chosen


def describe_photo(session: Session, photo_id: int, *, shows: Shows, caption: str) -> Photo:
    """Say what a photo of a piece shows, in a word and in the owner's own.

    What is said last holds: a photo carries no version, for nothing is counted by these words. Refuses a receipt
    (RuleError); raises NotFound for a removed photo.
    """
    require_shows(shows)
    photo = _photo_of_a_piece(session, photo_id)
    photo.shows, photo.caption = shows, caption
    session.flush()
    return photo


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
            _of_one_row(shows),
            Photo.removed_at.is_(None),
        )
    ).first()


def _next_position(session: Session, piece_id: int | None, shows: Shows) -> int:
    last = session.scalar(select(func.max(Photo.position)).where(Photo.piece_id == piece_id, _of_one_row(shows)))
    return 0 if last is None else last + 1


def _of_one_row(shows: Shows) -> ColumnElement[bool]:
    """Photos of a piece stand in one row whatever they show; receipts stand apart."""
    return Photo.shows == Shows.RECEIPT if shows is Shows.RECEIPT else Photo.shows != Shows.RECEIPT


def add_to_pile(session: Session, stored: StoredPhoto, *, now: datetime) -> PhotoPlace | None:
    """Lay a stored photo on the pile; None when it was laid there, else where the same content stands already."""
    there = where_kept(session, stored.sha256)
    if there is None:
        lay_on_pile(session, [stored], now=now)
    return there


def lay_on_pile(session: Session, stored: Sequence[StoredPhoto], *, now: datetime) -> list[Photo]:
    """Lay stored photos on the pile, even such as stand on a piece already; on the pile itself each is one."""
    return [attach_photo(session, one, piece_id=None, shows=Shows.FOUND, now=now) for one in stored]


def put_on_piece(
    session: Session, photo_ids: Collection[int], *, piece_id: int, shows: Shows, now: datetime
) -> list[Photo]:
    """Put photos of the pile behind the others of a piece, by the time they were taken; gives those put there.

    What is no longer on the pile is left out. A photo whose content the piece has already leaves the pile. Refuses a
    piece that is struck out (RuleError); raises NotFound.
    """
    counting_piece(session, piece_id)
    shown = Photo.piece_id == piece_id, _of_one_row(shows), Photo.removed_at.is_(None)
    there = set(session.scalars(select(Photo.sha256).where(*shown)))
    position = _next_position(session, piece_id, shows)
    put: list[Photo] = []
    for photo in _of_the_pile(session, photo_ids):
        if photo.sha256 in there:
            photo.removed_at = now
            continue
        photo.piece_id, photo.shows, photo.position = piece_id, shows, position + len(put)
        put.append(photo)
    session.flush()
    return put


def take_off_pile(session: Session, photo_ids: Collection[int], *, now: datetime) -> list[Photo]:
    """Take photos off the pile; their files stay, and `back_to_pile` shows them again. Others are left as they are."""
    taken = _of_the_pile(session, photo_ids)
    for photo in taken:
        photo.removed_at = now
    session.flush()
    return taken


def back_to_pile(session: Session, photo_ids: Collection[int], *, from_piece: int | None = None) -> list[Photo]:
    """Lay photos that were put on the piece of that number, or taken off the pile, back on it.

    Those that stand elsewhere by now, receipts among them, are left there. A content that lies on the pile again
    meanwhile is not laid there twice.
    """
    laid = set(session.scalars(select(Photo.sha256).where(ON_PILE)))
    back = []
    for photo in session.scalars(select(Photo).where(Photo.id.in_(photo_ids), may_go_back(from_piece))):
        if photo.sha256 in laid:
            continue
        photo.piece_id, photo.removed_at = None, None
        laid.add(photo.sha256)
        back.append(photo)
    session.flush()
    return back


def make_receipt(session: Session, photo_id: int, *, piece_id: int | None, now: datetime) -> Photo:
    """Make a receipt of a photo on the pile, for a row of a piece or of the shop; refuses any other (RuleError).

    When the same content is a receipt there already, that one stands for both.
    """
    found = _of_the_pile(session, [photo_id])
    if not found:
        raise RuleError("That photo is not on the pile any more. Choose another one.")
    photo = found[0]
    twin = _same_content(session, photo.sha256, piece_id, Shows.RECEIPT)
    if twin is not None:
        photo.removed_at = now
        return twin
    photo.position = _next_position(session, piece_id, Shows.RECEIPT)
    photo.piece_id, photo.shows = piece_id, Shows.RECEIPT
    session.flush()
    return photo


def keep_replaced(session: Session, photo_id: int, *, of_table: str, of_id: int, now: datetime) -> None:
    """Note that a photo was the receipt of a row until now: it is kept and stays in sight beside the new one."""
    session.add(ReplacedReceipt(photo_id=photo_id, of_table=of_table, of_id=of_id, replaced_at=now))
    session.flush()


def take_up_replaced(session: Session, *, of_table: str, of_id: int) -> int | None:
    """Take the newest replaced receipt of a row up again: its photo's number, or None where none was replaced."""
    newest = session.scalars(
        select(ReplacedReceipt)
        .where(ReplacedReceipt.of_table == of_table, ReplacedReceipt.of_id == of_id)
        .order_by(ReplacedReceipt.id.desc())
    ).first()
    if newest is None:
        return None
    session.delete(newest)
    session.flush()
    return newest.photo_id


def receipt_to_pile(session: Session, photo_id: int, *, now: datetime) -> None:
    """Lay a photo that is no row's receipt any longer on the pile; a content that lies there already is not doubled.

    Raises NotFound.
    """
    photo = session.get(Photo, photo_id)
    if photo is None or photo.shows is not Shows.RECEIPT:
        raise NotFound("photo")
    if _same_content(session, photo.sha256, None, Shows.FOUND) is not None:
        photo.removed_at = now
    photo.piece_id, photo.shows = None, Shows.FOUND
    session.flush()


def _of_the_pile(session: Session, photo_ids: Collection[int]) -> list[Photo]:
    wanted = select(Photo).where(Photo.id.in_(photo_ids), ON_PILE)
    return sorted(session.scalars(wanted), key=lambda photo: (photo.taken_at or photo.made_at, photo.id))
