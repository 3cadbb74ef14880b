"""Read what a trip can be filled in with: its pieces by tag or words, and the places and purposes of earlier ones."""

import re
from collections.abc import Collection, Sequence

from sqlalchemy import func, select
from sqlalchemy.orm import InstrumentedAttribute, Session

from app.basics.errors import NotFound, RuleError
from app.pieces.models import Piece, Purchase
from app.pieces.queries import PieceRow, piece_by_tag, pieces_chosen, rows_of, rows_query, tag_meant
from app.pieces.rules import PieceChoice, Stage
from app.trips.models import Trip
from app.trips.rules import MOST_PIECES

MOST_WORDS_OFFERED = 30
MOST_ON_HAND = 10
MOST_GONE = 6
MOST_NAMED = 4

_BETWEEN = re.compile(r"[,;\n]+")


def pieces_to_choose(session: Session, also: Collection[str] = ()) -> list[PieceRow]:
    """Pieces a trip may be for: those tagged `also`, the newest on hand, and those that went last."""
    on_hand = Piece.left_as.is_(None) & (Piece.stage != Stage.SOLD) & Piece.struck_at.is_(None)
    gone = ~on_hand & Piece.struck_at.is_(None)
    wanted = [tag.upper() for tag in also]
    named = rows_query().where(Piece.tag.in_(wanted), Piece.struck_at.is_(None)).order_by(Piece.id)
    newest = rows_query().where(on_hand).order_by(Piece.sourced_on.desc(), Piece.id.desc()).limit(MOST_ON_HAND)
    last = rows_query().where(gone).order_by(Piece.stage_since.desc(), Piece.id.desc()).limit(MOST_GONE)
    rows = [*(rows_of(session, named) if wanted else ()), *rows_of(session, newest), *rows_of(session, last)]
    return list({row.id: row for row in rows}.values())


def pieces_meant(session: Session, chosen: Sequence[str], typed: str) -> tuple[int, ...]:
    """The pieces that were chosen by their tags and those that were typed, by tag or words; each once.

    Typed ones stand between commas; words mean a piece on hand before one that is gone. Refuses, at "pieces" or
    "typed", what is no piece, and words that several pieces answer to (RuleError).
    """
    found = [_chosen(session, tag) for tag in chosen[: MOST_PIECES + 1]]
    parts = [part for part in (words.strip() for words in _BETWEEN.split(typed)) if part]
    if len(parts) > MOST_PIECES:
        raise RuleError(f"One trip can be for at most {MOST_PIECES} pieces.", "typed")
    for part in parts:
        found += _typed(session, part)
    return tuple(dict.fromkeys(row.id for row in found))


def _chosen(session: Session, tag: str) -> PieceRow:
    try:
        return piece_by_tag(session, tag)
    except NotFound as missing:
        raise RuleError("Choose the pieces from those shown, or type their tag numbers.", "pieces") from missing


def _typed(session: Session, part: str) -> list[PieceRow]:
    tag = tag_meant(session, part)
    if tag is not None:
        return [piece_by_tag(session, tag)]
    tags = [tag_meant(session, word) for word in part.split()[:MOST_PIECES]]
    if len(tags) > 1 and all(tags):
        return [piece_by_tag(session, tag) for tag in tags if tag]
    return [_by_words(session, part)]


def _by_words(session: Session, part: str) -> PieceRow:
    found = pieces_chosen(session, PieceChoice(words=part), limit=MOST_PIECES)
    likely = [row for row in found if row.is_on_hand] or found
    if not likely:
        raise RuleError(f"No piece answers to {part}. Type its tag number.", "typed")
    if len(likely) > 1:
        named = ", ".join(f"{row.tag} {row.name}" for row in likely[:MOST_NAMED])
        more = " and others" if len(likely) > MOST_NAMED else ""
        raise RuleError(f"Several pieces answer to {part}: {named}{more}. Type the tag number.", "typed")
    return likely[0]


def paid_for(session: Session, piece_ids: Sequence[int]) -> dict[int, int]:
    """What was paid to get each of the pieces, in cents: price, premium and tax; one query."""
    paid = Purchase.price_cents + Purchase.premium_cents + Purchase.tax_cents
    rows = select(Purchase.piece_id, paid.label("cents")).where(
        Purchase.piece_id.in_(piece_ids), Purchase.struck_at.is_(None)
    )
    return {found.piece_id: found.cents for found in session.execute(rows)}


def places(session: Session) -> list[str]:
    """From where and where to earlier trips went, each place once, the most recent first; two queries."""
    said: dict[str, int] = {}
    for column in (Trip.from_place, Trip.to_place):
        for place, newest in _said(session, column):
            said[place] = max(newest, said.get(place, 0))
    return sorted(said, key=lambda place: -said[place])[:MOST_WORDS_OFFERED]


def usual_start(session: Session) -> str:
    """From where the last trip went; nothing before the first."""
    newest = select(Trip.from_place).where(Trip.struck_at.is_(None)).order_by(Trip.id.desc()).limit(1)
    return session.scalar(newest) or ""


def purposes(session: Session) -> list[str]:
    """What earlier trips were for, in their words, each once, the most recent first."""
    return [words for words, _newest in _said(session, Trip.purpose_words)]


def _said(session: Session, column: InstrumentedAttribute[str]) -> list[tuple[str, int]]:
    newest = func.max(Trip.id)
    said = select(column, newest).group_by(column).order_by(newest.desc()).limit(MOST_WORDS_OFFERED)
    rows = session.execute(said)
    return [(words, trip_id) for words, trip_id in rows]
