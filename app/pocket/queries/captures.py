"""Read captures: one or many, what was made of them, which photos they still want."""

import json
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from sqlalchemy import case, func, select
from sqlalchemy.orm import Session, aliased

from app.access.models import SignedInBrowser
from app.basics.errors import NotFound
from app.costs.models import CostLine
from app.costs.rules import COST_WORDS
from app.photos.rules import StoredPhoto
from app.pieces.models import Piece
from app.pocket.models import Capture, CapturePhoto
from app.pocket.rules import STATE_WORDS, CaptureKind, CaptureState, Made, do_clocks_differ
from app.timelog.models import TimeEntry
from app.timelog.rules import ACTIVITY_WORDS

_COST_WORDS = {str(kind): words for kind, words in COST_WORDS.items()}
_ACTIVITY_WORDS = {str(activity): words for activity, words in ACTIVITY_WORDS.items()}
_Found = aliased(Piece, name="found")
_CostOn = aliased(Piece, name="cost_on")
_TimeOn = aliased(Piece, name="time_on")


@dataclass(frozen=True)
class CaptureRow:
    """A capture as pages show it; `said` is what the phone sent, `phone` the browser's name ("" for a file)."""

    id: str
    kind: CaptureKind
    state: CaptureState
    reference: str
    said: Mapping[str, Any]
    phone: str
    captured_at: datetime
    received_at: datetime
    trouble: str
    made: Made | None
    photos: int
    photos_here: int

    @property
    def differs(self) -> bool:
        """Whether it was written down and received more than a day apart."""
        return do_clocks_differ(self.captured_at, self.received_at)

    @property
    def is_open(self) -> bool:
        """Whether the owner may still enter it or let it go."""
        return self.state in {CaptureState.HELD, CaptureState.WAITING}

    @property
    def headline(self) -> str:
        """What it says in a few words, as the phone sent them."""
        said = {member: value for member, value in self.said.items() if isinstance(value, str)}
        minutes, cost_kind, activity = said.get("minutes", ""), said.get("cost_kind", ""), said.get("activity", "")
        words = {
            CaptureKind.FIND: [said.get("what", "")],
            CaptureKind.COST: [said.get("amount", ""), _COST_WORDS.get(cost_kind, ""), said.get("tag", "")],
            CaptureKind.TIME: [
                f"{minutes} min" if minutes.isdigit() else minutes,
                _ACTIVITY_WORDS.get(activity, ""),
                said.get("tag", ""),
            ],
        }[self.kind]
        return ", ".join(word for word in words if word) or "Without words"

    @property
    def state_words(self) -> str:
        """How it stands."""
        return STATE_WORDS[self.state]


@dataclass(frozen=True)
class WantedPhoto:
    """A photo that a capture names; `stored` is what lies on the disk, None while it is still on the phone."""

    sha256: str
    name: str
    stored: StoredPhoto | None


def capture_row(session: Session, capture_id: str) -> CaptureRow:
    """One capture; NotFound when there is none."""
    found = _rows(session, _rows_query().where(Capture.id == capture_id))
    if not found:
        raise NotFound("capture")
    return found[0]


def captures(session: Session, *, limit: int | None = None, offset: int = 0) -> list[CaptureRow]:
    """What came from phones: those that need the owner first, then the newest; one query."""
    needs = case({CaptureState.HELD: 0, CaptureState.WAITING: 1}, value=Capture.state, else_=2)
    query = _rows_query().order_by(needs, Capture.captured_at.desc(), Capture.id)
    return _rows(session, query.limit(limit).offset(offset))


def count_captures(session: Session, state: CaptureState | None = None) -> int:
    """How many captures there are, in a state or in all."""
    query = select(func.count(Capture.id))
    return session.scalar(query if state is None else query.where(Capture.state == state)) or 0


def captures_received(session: Session) -> dict[int, int]:
    """How many captures each phone or browser has sent home, by its id."""
    query = select(Capture.browser_id, func.count(Capture.id)).where(Capture.browser_id.is_not(None))
    return {
        browser_id: number
        for browser_id, number in session.execute(query.group_by(Capture.browser_id))
        if browser_id is not None
    }


def photos_wanted(session: Session, capture_id: str) -> list[WantedPhoto]:
    """The photos a capture names, in its order, with those that lie on the disk."""
    rows = session.scalars(
        select(CapturePhoto).where(CapturePhoto.capture_id == capture_id).order_by(CapturePhoto.position)
    )
    return [WantedPhoto(row.sha256, row.given_name, _stored(row)) for row in rows]


def made_of(session: Session, capture_id: str) -> Made | None:
    """What was made of a capture; None while it is not entered."""
    return capture_row(session, capture_id).made


def _stored(row: CapturePhoto) -> StoredPhoto | None:
    if row.kind is None or row.width is None or row.height is None:
        return None
    return StoredPhoto(row.sha256, row.kind, row.width, row.height, row.bytes, row.given_name, row.taken_at)


def _rows_query() -> Any:
    """The query (a `Select`) behind every capture row; narrow and order it as needed."""
    photos = (
        select(
            CapturePhoto.capture_id,
            func.count().label("named"),
            func.count(CapturePhoto.kind).label("here"),
        )
        .group_by(CapturePhoto.capture_id)
        .subquery()
    )
    return (
        select(
            Capture,
            SignedInBrowser.name,
            func.coalesce(photos.c.named, 0),
            func.coalesce(photos.c.here, 0),
            func.coalesce(_Found.tag, _CostOn.tag, _TimeOn.tag, ""),
            func.coalesce(_Found.sourced_on, CostLine.on_date, TimeEntry.on_date),
        )
        .outerjoin(SignedInBrowser, Capture.browser_id == SignedInBrowser.id)
        .outerjoin(photos, photos.c.capture_id == Capture.id)
        .outerjoin(_Found, Capture.piece_id == _Found.id)
        .outerjoin(CostLine, Capture.cost_line_id == CostLine.id)
        .outerjoin(_CostOn, CostLine.piece_id == _CostOn.id)
        .outerjoin(TimeEntry, Capture.time_entry_id == TimeEntry.id)
        .outerjoin(_TimeOn, TimeEntry.piece_id == _TimeOn.id)
    )


def _rows(session: Session, query: Any) -> list[CaptureRow]:
    return [_row(found) for found in session.execute(query)]


def _row(found: Sequence[Any]) -> CaptureRow:
    capture, phone, named, here, tag, on_date = found
    return CaptureRow(
        id=capture.id,
        kind=capture.kind,
        state=capture.state,
        reference=capture.reference,
        said={member: _shown(value) for member, value in json.loads(capture.body).items()},
        phone=phone or "",
        captured_at=capture.captured_at,
        received_at=capture.received_at,
        trouble=capture.trouble,
        made=Made(capture.kind, tag, on_date) if capture.state is CaptureState.HOME else None,
        photos=named,
        photos_here=here,
    )


def _shown(value: Any) -> Any:
    """Words as a page can show them: a phone may send half a character, which no page can hold."""
    return value.encode("utf-8", "replace").decode() if isinstance(value, str) else value
