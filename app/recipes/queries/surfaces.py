"""Read what a piece has on it, as it was looked over."""

from collections.abc import Collection
from dataclasses import dataclass
from typing import Final

from sqlalchemy import select
from sqlalchemy.orm import Session

from app.basics.errors import NotFound
from app.pieces.models import Piece
from app.pieces.rules import Age
from app.recipes.models import PieceSurface
from app.recipes.rules import SEEN_WORDS, Surface

NEVER_LOOKED_OVER: Final = -1
"""The version of the surface of a piece that nobody looked over: that of no row."""


@dataclass(frozen=True)
class SurfaceRow:
    """What is known of a piece's surface, and the version an edit of it is made on."""

    version: int
    surface: Surface

    @property
    def is_looked_over(self) -> bool:
        """Whether somebody looked the piece over."""
        return self.version != NEVER_LOOKED_OVER


def surface_of(session: Session, piece_id: int) -> SurfaceRow:
    """What is known of a piece's surface, with its age and what it is made of; NotFound without the piece.

    A piece that was never looked over has what a `Surface` begins with.
    """
    found = surfaces_of(session, {piece_id})
    if piece_id not in found:
        raise NotFound("piece")
    return found[piece_id]


def surfaces_of(session: Session, piece_ids: Collection[int]) -> dict[int, SurfaceRow]:
    """The same of several pieces, by piece; one query for any number."""
    query = select(Piece.id, Piece.age, Piece.materials, PieceSurface).outerjoin(
        PieceSurface, PieceSurface.piece_id == Piece.id
    )
    found = session.execute(query.where(Piece.id.in_(piece_ids)))
    return {piece_id: _row(age, woods, row) for piece_id, age, woods, row in found}


def _row(age: Age, woods: str, row: PieceSurface | None) -> SurfaceRow:
    if row is None:
        return SurfaceRow(NEVER_LOOKED_OVER, Surface(age=age, woods=woods))
    seen = {name: getattr(row, name) for name in SEEN_WORDS}
    surface = Surface(old_finish=row.old_finish, lead_test=row.lead_test, age=age, woods=woods, note=row.note, **seen)
    return SurfaceRow(row.version, surface)
