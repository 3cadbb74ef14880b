"""Read the note on how to look after a piece: as worked out from its finish, and as the owner put it."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime

from sqlalchemy.orm import Session

from app.basics.dates import day_in_words, local_day
from app.floor.queries import WordingRow, wordings_of
from app.pieces.queries import PieceRow
from app.pieces.rules import Stage
from app.recipes.queries import CareNote, care_of, finishes_by_piece

FINISHED: frozenset[Stage] = frozenset({Stage.FINISHED, Stage.LISTED, Stage.SOLD})


@dataclass(frozen=True)
class CareSheet:
    """The note on care of a piece; the owner's own words stand in place of those worked out."""

    note: CareNote
    wording: WordingRow

    @property
    def words(self) -> str:
        """What it says now, beside until when the piece is to be treated gently."""
        return self.wording.care or self.note.words

    def gentle_words(self, zone: str) -> str:
        """Until when it is to be treated gently; nothing once it is hard through."""
        until = self.note.gentle_until
        if until is None:
            return ""
        return f"Treat it gently until {day_in_words(local_day(until, zone))}: its finish is still hardening."

    def lines(self, zone: str) -> tuple[str, ...]:
        """All lines of the note; nothing where there are no words."""
        words = self.words.splitlines()
        return tuple(line for line in (self.gentle_words(zone), *words) if line) if words else ()


def care_sheets(session: Session, pieces: Sequence[PieceRow], now: datetime) -> dict[int, CareSheet]:
    """The notes of several pieces, by piece; the same few queries for any number."""
    ids = [piece.id for piece in pieces]
    finishes, wordings = finishes_by_piece(session, ids), wordings_of(session, ids)
    return {each: CareSheet(care_of(finishes.get(each, ()), now), wordings.get(each, WordingRow())) for each in ids}
