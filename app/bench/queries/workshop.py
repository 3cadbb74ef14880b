"""Read what the workshop has, and what pieces are expected to bring."""

from collections.abc import Collection
from dataclasses import dataclass

from sqlalchemy import select
from sqlalchemy.orm import Session

from app.bench.models import BenchFacts, Expectation
from app.bench.rules import NEVER_SAID, Brings, Workshop, brings_of
from app.pieces.models import Purchase


@dataclass(frozen=True)
class ExpectationRow:
    """What the owner expects a piece to bring, in cents; None where nobody said."""

    cents: int | None = None
    version: int = NEVER_SAID


def workshop(session: Session) -> Workshop:
    """Places to dry and the spray corner as the owner said, else as guessed."""
    row = session.get(BenchFacts, 1)
    return Workshop() if row is None else Workshop(row.drying_places, row.spray_clear, row.version)


def expectation(session: Session, piece_id: int) -> ExpectationRow:
    """What the owner expects a piece to bring, with the version an edit is made on."""
    row = session.get(Expectation, piece_id)
    return ExpectationRow() if row is None else ExpectationRow(row.brings_cents, row.version)


def brings(session: Session, piece_ids: Collection[int]) -> dict[int, Brings]:
    """What each of the pieces is expected to bring, and who says so; two queries for any number."""
    told = session.execute(select(Expectation.piece_id, Expectation.brings_cents))
    said = {piece_id: cents for piece_id, cents in told if cents is not None}
    query = select(Purchase.piece_id, Purchase.guess_cents).where(
        Purchase.guess_cents.is_not(None), Purchase.struck_at.is_(None)
    )
    guessed = {piece_id: cents for piece_id, cents in session.execute(query) if cents is not None}
    return brings_of(piece_ids, said, guessed)
