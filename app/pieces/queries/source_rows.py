"""Read the kinds of places where pieces are found."""

from dataclasses import dataclass

from sqlalchemy import func, select
from sqlalchemy.orm import Session

from app.basics.errors import NotFound
from app.pieces.models import Piece, Source

# A piece struck out as logged by mistake came from nowhere.
_FROM_THERE = (Piece.source_id == Source.id) & Piece.struck_at.is_(None)


@dataclass(frozen=True)
class SourceRow:
    """A kind of place where pieces are found, and how many came from it."""

    id: int
    name: str
    is_free: bool
    is_put_away: bool
    version: int
    pieces: int = 0


def sources(session: Session, include_put_away: bool = False) -> list[SourceRow]:  # noqa: FBT001, FBT002
    """The sources by name, those in use alone unless the ones put away are wanted too; one query."""
    pieces = func.count(Piece.id)
    query = select(Source, pieces).outerjoin(Piece, _FROM_THERE).group_by(Source.id)
    if not include_put_away:
        query = query.where(Source.is_put_away.is_(False))
    found = [
        SourceRow(row.id, row.name, row.is_free, row.is_put_away, row.version, number)
        for row, number in session.execute(query)
    ]
    return sorted(found, key=lambda row: row.name.casefold())


def source_row(session: Session, source_id: int) -> SourceRow:
    """One source, put away or not; NotFound when there is none."""
    row = session.get(Source, source_id)
    if row is None:
        raise NotFound("source")
    counted = select(func.count(Piece.id)).where(Piece.source_id == source_id, Piece.struck_at.is_(None))
    pieces = session.scalar(counted) or 0
    return SourceRow(row.id, row.name, row.is_free, row.is_put_away, row.version, pieces)
