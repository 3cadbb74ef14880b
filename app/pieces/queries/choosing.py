"""Read the list of pieces: searched, narrowed down, sorted, a page at a time."""

from typing import Any

from sqlalchemy import func, select
from sqlalchemy.orm import Session

from app.basics.words import fold
from app.pieces.models import Piece
from app.pieces.queries.one import PieceRow, rows_of, rows_query
from app.pieces.rules import Leaving, PieceChoice, PieceSort, Stage, Whereabouts

MOST_SEARCH_WORDS = 12


ORDERS: dict[PieceSort, tuple[Any, ...]] = {
    PieceSort.NEWEST: (Piece.sourced_on.desc(), Piece.id.desc()),
    PieceSort.OLDEST: (Piece.sourced_on, Piece.id),
    PieceSort.NAME: (Piece.folded, Piece.id),
    PieceSort.STAGE_SINCE: (Piece.stage_since, Piece.id),
}


def pieces_chosen(
    session: Session, choice: PieceChoice, *, limit: int | None = None, offset: int = 0
) -> list[PieceRow]:
    """The chosen pieces in the chosen order; one query."""
    query = rows_query().where(*_wanted(choice)).order_by(*ORDERS[choice.sort])
    return rows_of(session, query.limit(limit).offset(offset))


def count_pieces(session: Session, choice: PieceChoice | None = None) -> int:
    """How many pieces are chosen; all there are without a choice."""
    return session.scalar(select(func.count(Piece.id)).where(*_wanted(choice or PieceChoice()))) or 0


def _wanted(choice: PieceChoice) -> list[Any]:
    words = fold(choice.words).split()[:MOST_SEARCH_WORDS]
    wanted: list[Any] = [Piece.folded.contains(word, autoescape=True) for word in words]
    if choice.stage is not None:
        wanted.append(Piece.stage == choice.stage)
    if choice.form is not None:
        wanted.append(Piece.form == choice.form)
    if choice.source_id is not None:
        wanted.append(Piece.source_id == choice.source_id)
    is_struck = Piece.struck_at.is_not(None)
    wanted.append(is_struck if choice.whereabouts is Whereabouts.STRUCK else ~is_struck)
    if choice.whereabouts is Whereabouts.ON_HAND:
        wanted += [Piece.left_as.is_(None), Piece.stage != Stage.SOLD]
    elif choice.whereabouts is Whereabouts.LEFT:
        wanted.append(Piece.left_as.is_not(None))
    elif choice.whereabouts is not None and choice.whereabouts is not Whereabouts.STRUCK:
        wanted.append(Piece.left_as == Leaving(choice.whereabouts.value))
    return wanted
