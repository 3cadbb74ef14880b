"""Put right what is known of a piece: facts, finish, next note; every changed fact stays in its history."""

from collections.abc import Mapping
from dataclasses import replace
from datetime import datetime

from sqlalchemy.orm import Session

from app.basics.dates import local_day
from app.basics.words import LINE_LIMIT
from app.pieces.actions.ground import (
    fact_values,
    keep_correction,
    piece_to_change,
    the_shop,
    write_facts,
)
from app.pieces.models import Piece
from app.pieces.rules import Facts, changed_facts, facts_of, folded_words, line_of, part_colours_kept, sound_facts


def correct_facts(session: Session, piece_id: int, facts: Facts, *, version: int | None, now: datetime) -> Piece:
    """Put right what is known of a piece; each fact that changes is kept in its history, before and after.

    Raises StaleEdit when the piece changed since `version`; refuses unsound facts.
    """
    piece = piece_to_change(session, piece_id, version, fact_values(session))
    shop = the_shop(session)
    sound = sound_facts(facts, local_day(now, shop.time_zone).year)
    for change in changed_facts(facts_of(piece), sound, shop.units):
        keep_correction(session, piece, change, now)
    write_facts(piece, sound)
    session.flush()
    return piece


def set_finish(
    session: Session, piece_id: int, *, colour: str | None, words: str, version: int | None, now: datetime
) -> Piece:
    """Say what finish a piece has: its colour as #rrggbb (None: no colour yet) and words for it."""
    piece = piece_to_change(session, piece_id, version, fact_values(session))
    facts = replace(facts_of(piece), finish_colour=colour, finish_words=words)
    piece.part_colours = part_colours_kept({})
    return correct_facts(session, piece_id, facts, version=None, now=now)


def wear_finish(
    session: Session, piece_id: int, *, colour: str | None, words: str, parts: Mapping[str, str], now: datetime
) -> Piece:
    """Keep what the finishes done on a piece make it look like, with the colours of single parts.

    It puts nothing right, so it is no line of the history: the finishes tell of themselves there.
    """
    piece = piece_to_change(session, piece_id, None, fact_values(session))
    facts = replace(facts_of(piece), finish_colour=colour, finish_words=words)
    write_facts(piece, sound_facts(facts, local_day(now, the_shop(session).time_zone).year))
    piece.part_colours = part_colours_kept(parts)
    session.flush()
    return piece


def note_next(
    session: Session,
    piece_id: int,
    words: str,
    *,
    version: int | None,
    now: datetime,  # noqa: ARG001 - every action takes its moment; a note keeps no history
) -> Piece:
    """Note what to do next on a piece; empty words take the note off. A note is no fact and keeps no history."""
    piece = piece_to_change(session, piece_id, version, lambda p: {"Next": p.next_note})
    piece.next_note = line_of(words, LINE_LIMIT, "next_note")
    piece.folded = folded_words(facts_of(piece), tag=piece.tag, next_note=piece.next_note)
    session.flush()
    return piece
