"""Strike out a find that was logged by mistake."""

from datetime import datetime

from sqlalchemy.orm import Session

from app.basics.errors import RuleError
from app.desk.queries.striking import what_counts_on
from app.pieces import actions as pieces
from app.pieces.models import Piece


def strike_find(session: Session, piece_id: int, *, reason: str, version: int | None, now: datetime) -> Piece:
    """Strike a piece out that was logged by mistake, with what was paid for it; it keeps its tag and its history.

    Refuses one that was on the floor, and one on which a sale, a cost line, work, materials, a trip, a deposit, a
    write-down or the running clock still counts: it says what to strike out first (RuleError). Refuses what the
    pieces room refuses, too; raises StaleEdit on an older version.
    """
    counting = what_counts_on(session, piece_id)
    if counting:
        raise RuleError(counting)
    return pieces.strike_find(session, piece_id, reason=reason, version=version, now=now)
