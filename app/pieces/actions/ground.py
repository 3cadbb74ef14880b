"""What every action of the room stands on: the day, the piece to change, a new piece with its first step."""

import secrets
from collections.abc import Callable
from datetime import date, datetime

from sqlalchemy import func, select
from sqlalchemy.orm import Session
from sqlalchemy.orm.attributes import flag_modified

from app.basics.dates import local_day
from app.basics.errors import NotFound, RuleError, StaleEdit
from app.pieces.models import Correction, Haul, Piece, Source, Step
from app.pieces.rules import (
    FACT_LABELS,
    LEAVING_WORDS,
    ChangedFact,
    Facts,
    Stage,
    StepKind,
    draw_tag,
    facts_in_words,
    facts_of,
    folded_words,
    require_counts,
)
from app.shop.queries import shop_facts
from app.shop.rules import ShopFacts

NowValues = Callable[[Piece], dict[str, str]]


def the_shop(session: Session) -> ShopFacts:
    """The shop's facts; refuses a ledger whose shop is not set up."""
    facts = shop_facts(session)
    if facts is None:
        raise RuleError("Set up your shop first.")
    return facts


def shop_day(session: Session, now: datetime) -> date:
    """The day it is in the shop."""
    return local_day(now, the_shop(session).time_zone)


def write_facts(piece: Piece, facts: Facts) -> None:
    """Put sound facts on a piece and keep its searched words with them."""
    for fact in FACT_LABELS:
        setattr(piece, fact, getattr(facts, fact))
    piece.folded = folded_words(facts, tag=piece.tag, next_note=piece.next_note)


def start_piece(
    session: Session,
    facts: Facts,
    *,
    capture_id: str,
    stage: Stage,
    sourced_on: date,
    start_on: date,
    now: datetime,
    source_id: int | None = None,
    haul_id: int | None = None,
    split_from_id: int | None = None,
) -> Piece:
    """A new piece with a fresh tag and its first step, dated `start_on`."""
    piece = Piece(
        capture_id=capture_id,
        tag=_fresh_tag(session),
        source_id=source_id,
        haul_id=haul_id,
        split_from_id=split_from_id,
        next_note="",
        stage=stage,
        stage_since=start_on,
        left_as=None,
        sourced_on=sourced_on,
        made_at=now,
    )
    write_facts(piece, facts)
    session.add(piece)
    session.flush()
    add_step(session, piece, StepKind.START, None, stage, on_date=start_on, reason="", now=now)
    return piece


def _fresh_tag(session: Session) -> str:
    so_far = session.scalar(select(func.count(Piece.id))) or 0
    return draw_tag(
        secrets.choice,
        lambda tag: session.scalar(select(Piece.id).where(Piece.tag == tag)) is not None,
        so_far,
    )


def add_step(
    session: Session,
    piece: Piece,
    kind: StepKind,
    from_stage: Stage | None,
    to_stage: Stage,
    *,
    on_date: date,
    reason: str,
    now: datetime,
) -> Step:
    """Append a step; the caller has asked the rules."""
    step = Step(
        piece_id=piece.id,
        kind=kind,
        from_stage=from_stage,
        to_stage=to_stage,
        on_date=on_date,
        reason=reason,
        made_at=now,
    )
    session.add(step)
    session.flush()
    return step


def piece_by_capture(session: Session, capture_id: str) -> Piece | None:
    """The piece an earlier capture with this id made, if there was one."""
    return session.scalar(select(Piece).where(Piece.capture_id == capture_id))


def the_piece(session: Session, piece_id: int) -> Piece:
    """The stored piece; NotFound when there is none."""
    piece = session.get(Piece, piece_id)
    if piece is None:
        raise NotFound("piece")
    return piece


def counting_piece(session: Session, piece_id: int) -> Piece:
    """The stored piece, for rows that are to count on it; refuses one that is struck out, NotFound without any."""
    piece = the_piece(session, piece_id)
    require_counts(piece.struck_reason)
    return piece


def piece_to_change(session: Session, piece_id: int, version: int | None, now_values: NowValues) -> Piece:
    """The stored piece, when it still stands at `version` (None: whatever it stands at).

    Raises StaleEdit with what `now_values` says of it when it was changed since, NotFound when there is none;
    refuses one that is struck out.
    """
    piece = counting_piece(session, piece_id)
    if version is not None and piece.version != version:
        raise StaleEdit("piece", now_values(piece), piece.version)
    return piece


def stage_values(piece: Piece) -> dict[str, str]:
    """Where the piece is now, for an edit that came too late."""
    where = f"left ({LEAVING_WORDS[piece.left_as]})" if piece.left_as else str(piece.stage)
    return {"Stage": where, "Since": piece.stage_since.isoformat()}


def fact_values(session: Session) -> NowValues:
    """What is known of the piece now, for an edit that came too late."""
    units = the_shop(session).units
    return lambda piece: facts_in_words(facts_of(piece), units)


def bump(row: Piece | Haul, attribute: str) -> None:
    """Raise the version although only rows that hang on it changed, so that an older form is noticed."""
    flag_modified(row, attribute)


def keep_correction(session: Session, piece: Piece, change: ChangedFact, now: datetime) -> None:
    """Append what was put right to the piece's history."""
    session.add(Correction(piece_id=piece.id, fact=change.label, was=change.was, became=change.became, made_at=now))


def the_source(session: Session, source_id: int | None) -> Source | None:
    """The stored source; None when none was named; refuses one that is not there at "source"."""
    if source_id is None:
        return None
    source = session.get(Source, source_id)
    if source is None:
        raise RuleError("Choose where it is from, out of the list.", "source")
    return source


def write_source(session: Session, piece: Piece, source_id: int | None, now: datetime) -> None:
    """Say where a piece is from after all, with its history; refuses a source that is not there."""
    if source_id == piece.source_id:
        return
    was, became = the_source(session, piece.source_id), the_source(session, source_id)
    change = ChangedFact("From", was.name if was else "", became.name if became else "")
    keep_correction(session, piece, change, now)
    piece.source_id = source_id
