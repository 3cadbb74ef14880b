"""Keep what a phone says it still carries."""

from datetime import datetime

from sqlalchemy.orm import Session

from app.access.models import SignedInBrowser


def note_waiting(session: Session, browser_id: int, *, waiting: int, oldest: datetime | None, now: datetime) -> None:
    """Note how many captures wait on a phone and since when the oldest does; an unknown phone notes nothing."""
    browser = session.get(SignedInBrowser, browser_id)
    if browser is not None:
        browser.waiting, browser.waiting_since, browser.told_at = waiting, oldest, now
        session.flush()
