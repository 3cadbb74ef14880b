"""Make of a capture what it is: a piece, a cost or time, by the rooms' own actions."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime

from sqlalchemy import select
from sqlalchemy.orm import Session

from app.basics.errors import NotFound, RuleError
from app.basics.words import fold
from app.costs.actions import add_cost
from app.costs.rules import NewCost
from app.photos.actions import attach_photos
from app.photos.rules import StoredPhoto
from app.pieces.actions import log_find, note_next
from app.pieces.queries import SourceRow, piece_by_tag, sources, tag_meant
from app.pieces.rules import Facts, NewFind
from app.pocket.models import Capture
from app.pocket.rules import (
    PAID_IS_MISSING,
    CannotBeEntered,
    CaptureState,
    FieldTrouble,
    FoundPiece,
    NewCapture,
    SpentMoney,
    WorkedTime,
    find_meant,
    notes_of,
    refused_at,
)
from app.timelog.actions import add_time
from app.timelog.rules import NewTime


@dataclass(frozen=True)
class Entered:
    """The number of the row that was made; one of the three."""

    piece_id: int | None = None
    cost_line_id: int | None = None
    time_entry_id: int | None = None


def enter(session: Session, new: NewCapture, photos: Sequence[StoredPhoto], *, now: datetime) -> Entered:
    """Make a piece with its photos, a cost with its receipt, or an entry of time.

    Raises CannotBeEntered with what the rooms refuse, at the capture's own fields.
    """
    try:
        if isinstance(new.content, FoundPiece):
            return _enter_find(session, new, new.content, photos, now)
        if isinstance(new.content, SpentMoney):
            return _enter_cost(session, new, new.content, photos, now)
        return _enter_time(session, new, new.content, now)
    except RuleError as refusal:
        raise refused_at(refusal) from refusal


def _enter_find(
    session: Session, new: NewCapture, found: FoundPiece, photos: Sequence[StoredPhoto], now: datetime
) -> Entered:
    source = _source_named(session, found.where)
    notes = notes_of(found, new.reference, is_place_known=source is not None)
    find = NewFind(
        facts=Facts(form=found.form, title=found.title, notes=notes),
        source_id=source.id if source else None,
        bought_on=new.on_date,
        price_cents=found.paid_cents or 0,
    )
    piece = log_find(session, find, capture_id=new.id, now=now)
    if found.paid_cents is None and not (source and source.is_free):
        note_next(session, piece.id, PAID_IS_MISSING, version=None, now=now)
    attach_photos(session, photos, piece_id=piece.id, now=now)
    return Entered(piece_id=piece.id)


def _enter_cost(
    session: Session, new: NewCapture, spent: SpentMoney, photos: Sequence[StoredPhoto], now: datetime
) -> Entered:
    cost = NewCost(
        piece_id=_piece_meant(session, spent.tag),
        kind=spent.kind,
        amount_cents=spent.cents,
        on_date=new.on_date,
        note=spent.note,
    )
    receipt = photos[0] if photos else None
    return Entered(cost_line_id=add_cost(session, cost, capture_id=new.id, now=now, receipt=receipt).id)


def _enter_time(session: Session, new: NewCapture, worked: WorkedTime, now: datetime) -> Entered:
    time = NewTime(
        piece_id=_piece_meant(session, worked.tag),
        activity=worked.activity,
        on_date=new.on_date,
        minutes=worked.minutes,
        note=worked.note,
    )
    return Entered(time_entry_id=add_time(session, time, capture_id=new.id, now=now).id)


def _source_named(session: Session, name: str) -> SourceRow | None:
    """The place of that name, put away or not, whatever its capitals and accents."""
    known = {fold(source.name): source for source in sources(session, include_put_away=True)}
    return known.get(fold(name)) if name else None


def _piece_meant(session: Session, words: str) -> int | None:
    """The piece that a tag, or the reference of an earlier find, means; None for the shop."""
    if not words:
        return None
    reference = find_meant(words)
    if reference is not None:
        return _piece_found_as(session, reference)
    tag = tag_meant(session, words)
    try:
        return piece_by_tag(session, tag or words).id
    except NotFound as unknown:
        raise _at_tag(f"No piece here has the tag {words}.") from unknown


def _piece_found_as(session: Session, reference: str) -> int:
    named = session.scalars(select(Capture).where(Capture.reference == reference)).all()
    pieces = {one.piece_id for one in named if one.state is CaptureState.HOME and one.piece_id is not None}
    if len(pieces) > 1:
        raise _at_tag(f"Two finds were written down as {reference}. Give the tag of the piece instead.")
    if not pieces:
        raise _at_tag(f"The find {reference} has not been entered yet. Send that find first, then this.")
    return pieces.pop()


def _at_tag(detail: str) -> CannotBeEntered:
    return CannotBeEntered([FieldTrouble("tag", detail)])
