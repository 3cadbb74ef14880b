"""Pieces for tests: a find, a haul, an owned piece, brought to a stage by the real actions."""

from datetime import UTC, date, datetime
from typing import Any
from uuid import uuid4

from sqlalchemy.orm import Session

from app.pieces.actions import add_source, enter_owned, log_find, log_haul, step_forward
from app.pieces.models import Haul, Piece, Source
from app.pieces.rules import Facts, Form, HaulPart, NewFind, NewHaul, OwnedPiece, SplitMethod, Stage

NOW = datetime(2026, 11, 25, 15, 30, tzinfo=UTC)
FOUND = date(2026, 10, 1)


def a_source(session: Session, name: str = "estate sale", *, is_free: bool = False) -> Source:
    """A kind of place."""
    return add_source(session, name, is_free=is_free)


def some_facts(**said: Any) -> Facts:
    """Facts of an oak chest, but for what is said."""
    return Facts(**{"form": Form.CHEST, "title": "Oak chest", **said})


def a_piece(
    session: Session,
    *,
    stage: Stage = Stage.SOURCED,
    bought_on: date = FOUND,
    stage_on: date | None = None,
    price_cents: int = 4000,
    premium_cents: int = 0,
    tax_cents: int = 0,
    source_id: int | None = None,
    capture_id: str | None = None,
    now: datetime = NOW,
    **said: Any,
) -> Piece:
    """A find, stepped forward by hand to `stage` (sourced, prepped or finished); `said` are facts."""
    find = NewFind(some_facts(**said), source_id, bought_on, price_cents, premium_cents, tax_cents)
    piece = log_find(session, find, capture_id=capture_id or str(uuid4()), now=now)
    if stage is not Stage.SOURCED:
        step_forward(session, piece.id, stage, on_date=stage_on or bought_on, version=None, now=now)
    return piece


def a_haul(
    session: Session,
    *,
    price_cents: int = 10_000,
    premium_cents: int = 0,
    tax_cents: int = 0,
    split: SplitMethod = SplitMethod.GUESS,
    amounts: tuple[int | None, ...] = (20_000, 10_000, 5_000),
    bought_on: date = FOUND,
    source_id: int | None = None,
    now: datetime = NOW,
) -> Haul:
    """A haul with one piece for each amount: its guess, or its share by hand."""
    parts = tuple(
        HaulPart(some_facts(title=f"Part {number}"), guess_cents=cents, by_hand_cents=cents)
        for number, cents in enumerate(amounts, start=1)
    )
    new = NewHaul(source_id, bought_on, price_cents, premium_cents, tax_cents, split, parts)
    return log_haul(session, new, capture_id=str(uuid4()), now=now)


def an_owned_piece(
    session: Session,
    *,
    stage: Stage = Stage.SOURCED,
    sourced_on: date = date(2023, 11, 4),
    cost_cents: int = 2500,
    since: date | None = None,
    now: datetime = NOW,
    **said: Any,
) -> Piece:
    """A piece owned when the books began."""
    owned = OwnedPiece(some_facts(**said), stage, sourced_on, cost_cents, since=since)
    return enter_owned(session, owned, capture_id=str(uuid4()), now=now)
