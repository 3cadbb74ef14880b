"""Keep the owner's own words for listing a piece and for its care."""

from datetime import datetime

from sqlalchemy.orm import Session

from app.basics.errors import RuleError, StaleEdit
from app.basics.words import clean_text
from app.floor.models import Wording
from app.floor.queries.wordings import NEVER_WORDED, wording_of
from app.floor.rules import CARE_LIMIT, LISTING_LIMIT
from app.pieces.actions.ground import counting_piece


def word_listing(session: Session, piece_id: int, words: str, *, version: int | None, now: datetime) -> Wording:
    """Keep the words a piece is offered with; empty ones go back to those worked out.

    `version` is that of the `WordingRow` the edit was made on, None for whatever stands there. Raises StaleEdit when
    they were changed since; refuses words too long, at "words", and a piece that is struck out (RuleError); NotFound.
    """
    row = _row_to_change(session, piece_id, version, "listing")
    row.listing = _kept(words, LISTING_LIMIT)
    return _keep(session, row, now)


def word_care(session: Session, piece_id: int, words: str, *, version: int | None, now: datetime) -> Wording:
    """Keep the note on how to look after a piece; empty words go back to those worked out. Refuses as above."""
    row = _row_to_change(session, piece_id, version, "care")
    row.care = _kept(words, CARE_LIMIT)
    return _keep(session, row, now)


def _row_to_change(session: Session, piece_id: int, version: int | None, what: str) -> Wording:
    counting_piece(session, piece_id)
    there = wording_of(session, piece_id)
    if version is not None and there.version != version:
        now_values = {"Words": getattr(there, what) or "as worked out"}
        raise StaleEdit("wording", now_values, there.version)
    if there.version == NEVER_WORDED:
        return Wording(piece_id=piece_id, listing="", care="")
    return session.get_one(Wording, piece_id)


def _kept(words: str, limit: int) -> str:
    try:
        return clean_text(words, limit)
    except RuleError as refusal:
        raise RuleError(refusal.message, "words") from refusal


def _keep(session: Session, row: Wording, now: datetime) -> Wording:
    row.made_at = now
    session.add(row)
    session.flush()
    return row
