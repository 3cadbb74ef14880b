"""Take a capture in: once, whole, and as often as it is sent; and the photos that belong to it."""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime
from types import MappingProxyType

from sqlalchemy import select
from sqlalchemy.orm import Session

from app.basics.errors import NotFound
from app.costs.models import CostLine
from app.database.unit_of_work import taken_back
from app.photos.actions import attach_photo
from app.photos.rules import Shows, StoredPhoto
from app.pocket.actions.entering import Entered, enter
from app.pocket.models import Capture, CapturePhoto
from app.pocket.queries import made_of, photos_wanted
from app.pocket.rules import (
    CaptureDiffers,
    CaptureLetGo,
    CaptureState,
    Made,
    NamedPhoto,
    NewCapture,
    fingerprint,
    read_capture,
)

NO_PHOTOS: Mapping[str, StoredPhoto] = MappingProxyType({})


@dataclass(frozen=True)
class Outcome:
    """What became of a capture: once it is entered what was `made`, and the photos at home and still wanted."""

    id: str
    made: Made | None
    photos: tuple[str, ...]
    missing: tuple[str, ...]
    received_at: datetime
    is_new: bool = False

    @property
    def is_home(self) -> bool:
        """Whether it is entered and all its photos are here, so that the phone may let go of its copy."""
        return self.made is not None and not self.missing


def receive_capture(
    session: Session,
    capture_id: str,
    data: object,
    *,
    places: int,
    browser_id: int | None,
    now: datetime,
    arrived: Mapping[str, StoredPhoto] = NO_PHOTOS,
) -> Outcome:
    """Take in what a phone sent, and enter it at once when all its photos lie here (`arrived`: those that just came).

    Amounts have `places` decimal places. A repeat gives what was made; other content replaces a capture that is not
    entered yet. Raises NoCaptureId, CaptureDiffers for other content of one that is entered, CaptureLetGo, and
    CannotBeEntered with all that is refused, also before its photos are carried over.
    """
    row = session.get(Capture, capture_id)
    if row is not None and row.state is CaptureState.DROPPED:
        raise CaptureLetGo(row.trouble)
    if row is not None and row.state is CaptureState.HOME:
        # Not read anew: it may have been put right here before it was entered.
        return _repeated(session, row, data, arrived, now)
    new = read_capture(data, capture_id, places=places)
    row = write_down(session, row, new, browser_id=browser_id, now=now)
    note_arrived(session, row.id, arrived)
    wanted = photos_wanted(session, row.id)
    if any(photo.stored is None for photo in wanted):
        # What cannot be entered is told before its photos are carried over.
        with taken_back(session):
            enter(session, new, (), now=now)
        return outcome_of(session, row)
    settle(session, row, enter(session, new, [photo.stored for photo in wanted if photo.stored], now=now), now)
    return outcome_of(session, row, is_new=True)


def write_down(
    session: Session, row: Capture | None, new: NewCapture, *, browser_id: int | None, now: datetime
) -> Capture:
    """Keep what a phone said of a capture that is not entered yet, over what it said before."""
    if row is None:
        row = Capture(id=new.id, browser_id=browser_id)
        session.add(row)
    row.kind, row.reference, row.state = new.kind, new.reference, CaptureState.WAITING
    row.body, row.fingerprint = new.said, new.fingerprint
    row.browser_id = browser_id if browser_id is not None else row.browser_id
    row.captured_at, row.received_at, row.trouble = new.captured_at, now, ""
    session.flush()
    name_photos(session, row.id, new.photos)
    return row


def name_photos(session: Session, capture_id: str, named: tuple[NamedPhoto, ...]) -> None:
    """Note which photos a capture wants; one that has arrived and is still named stays arrived."""
    there = {
        row.sha256: row for row in session.scalars(select(CapturePhoto).where(CapturePhoto.capture_id == capture_id))
    }
    for sha256 in there.keys() - {photo.sha256 for photo in named}:
        session.delete(there[sha256])
    for position, photo in enumerate(named):
        row = there.get(photo.sha256) or CapturePhoto(capture_id=capture_id, sha256=photo.sha256)
        row.position, row.given_name, row.bytes = position, photo.name, photo.bytes
        session.add(row)
    session.flush()


def note_arrived(session: Session, capture_id: str, arrived: Mapping[str, StoredPhoto]) -> None:
    """Note of photos that lie on the disk that they are here; what the capture does not name is left out."""
    rows = session.scalars(select(CapturePhoto).where(CapturePhoto.capture_id == capture_id))
    for row in rows:
        stored = arrived.get(row.sha256)
        if stored is not None:
            row.kind, row.width, row.height = stored.kind, stored.width, stored.height
            row.bytes, row.taken_at = stored.bytes, stored.taken_at
    session.flush()


def settle(session: Session, row: Capture, entered: Entered, now: datetime) -> None:
    """Mark a capture as entered."""
    row.piece_id, row.cost_line_id, row.time_entry_id = entered.piece_id, entered.cost_line_id, entered.time_entry_id
    row.state, row.trouble, row.received_at = CaptureState.HOME, "", now
    session.flush()


def outcome_of(session: Session, row: Capture, *, is_new: bool = False) -> Outcome:
    """How a capture stands."""
    wanted = photos_wanted(session, row.id)
    return Outcome(
        id=row.id,
        made=made_of(session, row.id),
        photos=tuple(photo.sha256 for photo in wanted if photo.stored is not None),
        missing=tuple(photo.sha256 for photo in wanted if photo.stored is None),
        received_at=row.received_at,
        is_new=is_new,
    )


def wants_photo(session: Session, capture_id: str, sha256: str) -> bool:
    """Whether a photo is still wanted; False when it has arrived. Raises NotFound when no capture names it."""
    row = session.get(CapturePhoto, (capture_id, sha256))
    if row is None:
        raise NotFound("photo to wait for")
    return row.kind is None


def take_photo(session: Session, capture_id: str, stored: StoredPhoto, *, now: datetime) -> None:
    """Note that a photo lies on the disk; it goes where its capture went, if that is entered already.

    Raises NotFound when the capture does not name it any more.
    """
    if not wants_photo(session, capture_id, stored.sha256):
        return
    note_arrived(session, capture_id, {stored.sha256: stored})
    row = session.get_one(Capture, capture_id)
    photo = next(one.stored for one in photos_wanted(session, capture_id) if one.sha256 == stored.sha256)
    line = session.get(CostLine, row.cost_line_id) if row.cost_line_id is not None else None
    if photo is not None and row.piece_id is not None:
        attach_photo(session, photo, piece_id=row.piece_id, shows=Shows.FOUND, now=now)
    if photo is not None and line is not None and line.receipt_photo_id is None:
        receipt = attach_photo(session, photo, piece_id=line.piece_id, shows=Shows.RECEIPT, now=now)
        line.receipt_photo_id = receipt.id
    session.flush()


def _repeated(
    session: Session, row: Capture, data: object, arrived: Mapping[str, StoredPhoto], now: datetime
) -> Outcome:
    outcome = outcome_of(session, row)
    is_same = isinstance(data, Mapping) and fingerprint(data) == row.fingerprint
    if not is_same and outcome.made is not None:
        raise CaptureDiffers(outcome.made)
    late = [arrived[sha256] for sha256 in outcome.missing if sha256 in arrived]
    for stored in late:
        take_photo(session, row.id, stored, now=now)
    return outcome_of(session, row) if late else outcome
