"""Cost lines for tests, written by the real action."""

from datetime import UTC, date, datetime
from uuid import uuid4

from sqlalchemy.orm import Session

from app.costs.actions import add_cost
from app.costs.models import CostLine
from app.costs.rules import CostKind, NewCost

NOW = datetime(2026, 11, 25, 15, 30, tzinfo=UTC)


def a_cost(
    session: Session,
    piece_id: int | None = None,
    *,
    kind: CostKind = CostKind.OTHER,
    amount_cents: int = 1250,
    on_date: date = date(2026, 11, 20),
    bought_at: str = "",
    note: str = "",
    now: datetime = NOW,
) -> CostLine:
    """A cost of 12.50 on the piece, or on the shop."""
    new = NewCost(piece_id, kind, amount_cents, on_date, bought_at, note)
    return add_cost(session, new, capture_id=str(uuid4()), now=now)
