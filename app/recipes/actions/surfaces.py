"""Say what a piece has on it: once, and again when a test or a closer look says otherwise."""

from datetime import datetime

from sqlalchemy.orm import Session

from app.basics.errors import StaleEdit
from app.basics.words import NOTE_LIMIT, clean_text
from app.pieces.actions.ground import counting_piece
from app.recipes.models import PieceSurface
from app.recipes.queries import surface_of
from app.recipes.rules import LEAD_TEST_WORDS, OLD_FINISH_WORDS, SEEN_WORDS, Surface


def look_over(session: Session, piece_id: int, surface: Surface, *, version: int | None, now: datetime) -> PieceSurface:
    """Keep what a piece has on it, in place of what was seen before; its age and its woods stay the piece's own.

    `version` is that of the `SurfaceRow` the look was taken on, None for whatever stands there. Raises StaleEdit when
    it was looked over since; refuses a piece that is struck out and a note too long
    (RuleError), NotFound without the piece.
    """
    counting_piece(session, piece_id)
    there = surface_of(session, piece_id)
    if version is not None and there.version != version:
        raise StaleEdit("surface", _as_words(there.surface), there.version)
    row = session.get(PieceSurface, piece_id) or PieceSurface(piece_id=piece_id)
    for name in ("old_finish", "lead_test", *SEEN_WORDS):
        setattr(row, name, getattr(surface, name))
    row.note = clean_text(surface.note, NOTE_LIMIT)
    row.made_at = now
    session.add(row)
    session.flush()
    return row


def _as_words(surface: Surface) -> dict[str, str]:
    return {
        "Old finish": OLD_FINISH_WORDS[surface.old_finish],
        "Seen": ", ".join(SEEN_WORDS[name] for name in surface.seen) or "nothing",
        "Lead": LEAD_TEST_WORDS[surface.lead_test],
        "Note": surface.note,
    }
