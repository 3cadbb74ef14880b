"""Add and correct the kinds of places where pieces are found."""

from sqlalchemy import select
from sqlalchemy.orm import Session

from app.basics.errors import NotFound, RuleError, StaleEdit
from app.basics.words import NAME_LIMIT, fold
from app.pieces.models import Source
from app.pieces.rules import line_of


def add_source(session: Session, name: str, *, is_free: bool = False) -> Source:
    """Add a kind of place; refuses, at "name", an empty name and one that is there already."""
    kept_name = _fresh_name(session, name, except_id=None)
    source = Source(name=kept_name, is_free=is_free, is_put_away=False)
    session.add(source)
    session.flush()
    return source


def correct_source(
    session: Session,
    source_id: int,
    *,
    name: str,
    is_free: bool,
    is_put_away: bool,
    version: int | None,
) -> Source:
    """Rename a source, say whether it is free, or put it away; pieces that came from it keep it.

    Raises StaleEdit when it was changed since `version`; refuses, at "name", an empty or taken name.
    """
    source = session.get(Source, source_id)
    if source is None:
        raise NotFound("source")
    if version is not None and source.version != version:
        raise StaleEdit("source", _as_words(source), source.version)
    source.name = _fresh_name(session, name, except_id=source_id)
    source.is_free = is_free
    source.is_put_away = is_put_away
    session.flush()
    return source


def _fresh_name(session: Session, name: str, *, except_id: int | None) -> str:
    kept = line_of(name, NAME_LIMIT, "name")
    if not kept:
        raise RuleError("Give the place a name, like estate sale.", "name")
    for other in session.scalars(select(Source)):
        if other.id != except_id and fold(other.name) == fold(kept):
            where = " It is put away; take it out again instead." if other.is_put_away else ""
            raise RuleError(f"There is a place called {other.name} already.{where}", "name")
    return kept


def _as_words(source: Source) -> dict[str, str]:
    return {
        "Name": source.name,
        "Free": "yes" if source.is_free else "no",
        "Put away": "yes" if source.is_put_away else "no",
    }
