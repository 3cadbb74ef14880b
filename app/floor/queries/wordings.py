"""Read the owner's own words for listing pieces and for their care."""

from collections.abc import Collection
from dataclasses import dataclass
from typing import Final

from sqlalchemy import select
from sqlalchemy.orm import Session

from app.floor.models import Wording

NEVER_WORDED: Final = -1
"""The version of a wording nobody wrote yet: that of no row."""


@dataclass(frozen=True)
class WordingRow:
    """The owner's own words for a piece and the version they stand at; empty words are those worked out."""

    version: int = NEVER_WORDED
    listing: str = ""
    care: str = ""


def wording_of(session: Session, piece_id: int) -> WordingRow:
    """The owner's own words for a piece; empty ones where none were written."""
    return wordings_of(session, {piece_id}).get(piece_id, WordingRow())


def wordings_of(session: Session, piece_ids: Collection[int]) -> dict[int, WordingRow]:
    """The same of several pieces, by piece; those nobody wrote words for are left out. One query."""
    rows = session.scalars(select(Wording).where(Wording.piece_id.in_(piece_ids)))
    return {row.piece_id: WordingRow(row.version, row.listing, row.care) for row in rows}
