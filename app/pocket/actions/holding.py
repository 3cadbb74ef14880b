"""Keep what a rescue file brought and the ledger refused; enter it put right, or let it go with a reason."""

from collections.abc import Mapping
from datetime import datetime
from typing import Any

from sqlalchemy.orm import Session

from app.basics.errors import NotFound, RuleError
from app.basics.striking import reason_to_keep
from app.photos.rules import StoredPhoto
from app.pocket.actions.entering import enter
from app.pocket.actions.receiving import Outcome, name_photos, note_arrived, outcome_of, settle
from app.pocket.models import Capture
from app.pocket.queries import photos_wanted
from app.pocket.rules import (
    CaptureKind,
    CaptureState,
    NewCapture,
    canonical,
    fingerprint,
    is_reference_of,
    named_photos,
    parse_instant,
    reference_of,
)

WHY_LET_GO = "Say why you let it go; a few words will do."


def hold_capture(
    session: Session,
    capture_id: str,
    data: Mapping[str, Any],
    *,
    arrived: Mapping[str, StoredPhoto],
    trouble: str,
    now: datetime,
) -> bool:
    """Keep a capture that cannot be entered as it stands, with its photos and what is wrong with it.

    `data` may be faulty in everything but its kind (ValueError). One that is entered or let go stays as it is; tells
    whether it is held now.
    """
    kind = CaptureKind(data.get("kind", ""))
    row = session.get(Capture, capture_id)
    if row is not None and row.state in {CaptureState.HOME, CaptureState.DROPPED}:
        return False
    if row is None:
        row = Capture(id=capture_id)
        session.add(row)
    row.kind, row.state, row.trouble = kind, CaptureState.HELD, trouble
    row.reference = _reference(data, capture_id, kind)
    row.body, row.fingerprint = canonical(data), fingerprint(data)
    row.captured_at, row.received_at = _captured_at(data, now), now
    session.flush()
    name_photos(session, capture_id, named_photos(data))
    note_arrived(session, capture_id, arrived)
    return True


def enter_by_hand(session: Session, new: NewCapture, *, now: datetime) -> Outcome:
    """Enter a capture that needed the owner as it was put right, with the photos that are here.

    What the phone sent is kept as it came, so that a repeat of it finds what was made. One entered already stays as
    it is. Raises NotFound, and CannotBeEntered with what is refused.
    """
    row = _open_row(session, new.id)
    if row.state is CaptureState.HOME:
        return outcome_of(session, row)
    photos = [photo.stored for photo in photos_wanted(session, row.id) if photo.stored]
    settle(session, row, enter(session, new, photos, now=now), now)
    return outcome_of(session, row, is_new=True)


def let_go(session: Session, capture_id: str, *, reason: str) -> None:
    """Let a capture go with a reason; its words and photos stay. Refuses one that is entered, and no reason."""
    row = _open_row(session, capture_id)
    if row.state is CaptureState.HOME:
        raise RuleError("This is entered already. Strike out what it became, if it should not count.")
    row.state, row.trouble = CaptureState.DROPPED, reason_to_keep(reason, WHY_LET_GO)
    session.flush()


def take_up(session: Session, capture_id: str) -> None:
    """Hold a capture again that was let go; any other stays as it is."""
    row = _open_row(session, capture_id)
    if row.state is CaptureState.DROPPED:
        row.state, row.trouble = CaptureState.HELD, ""
        session.flush()


def _open_row(session: Session, capture_id: str) -> Capture:
    row = session.get(Capture, capture_id)
    if row is None:
        raise NotFound("capture")
    return row


def _reference(data: Mapping[str, Any], capture_id: str, kind: CaptureKind) -> str:
    said = data.get("reference")
    is_its_own = isinstance(said, str) and is_reference_of(said, capture_id, kind)
    return str(said) if is_its_own else reference_of(capture_id, kind)


def _captured_at(data: Mapping[str, Any], otherwise: datetime) -> datetime:
    try:
        return parse_instant(str(data.get("captured_at", "")))
    except RuleError:
        return otherwise
