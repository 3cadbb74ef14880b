"""Minutes worked for tests, written by the real action."""

from datetime import UTC, date, datetime
from uuid import uuid4

from sqlalchemy.orm import Session

from app.timelog.actions import add_time
from app.timelog.models import TimeEntry
from app.timelog.rules import Activity, NewTime

NOW = datetime(2026, 11, 25, 15, 30, tzinfo=UTC)


def a_time(
    session: Session,
    piece_id: int | None = None,
    *,
    activity: Activity = Activity.SANDING,
    on_date: date = date(2026, 11, 20),
    minutes: int = 45,
    note: str = "",
    now: datetime = NOW,
) -> TimeEntry:
    """Three quarters of an hour of sanding on the piece, or for the shop."""
    return add_time(session, NewTime(piece_id, activity, on_date, minutes, note), capture_id=str(uuid4()), now=now)
