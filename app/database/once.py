"""One-use submit tokens: the same form sent twice is saved once."""

from dataclasses import dataclass
from datetime import datetime

from sqlalchemy import String
from sqlalchemy.orm import Mapped, Session, mapped_column

from app.database.base import Base, UtcDateTime

TOKEN_LENGTH = 36


class Submission(Base):
    """A form that was saved: its token, what was in it (as a hash) and the page that showed the result."""

    __tablename__ = "submission"

    token: Mapped[str] = mapped_column(String(TOKEN_LENGTH), primary_key=True)
    fingerprint: Mapped[str] = mapped_column(String(64))
    location: Mapped[str] = mapped_column(String(500))
    saved_at: Mapped[datetime] = mapped_column(UtcDateTime)


@dataclass(frozen=True)
class SavedForm:
    """What is known of a form that was saved: the hash of its content and where its result is shown."""

    fingerprint: str
    location: str


def earlier_submission(session: Session, token: str) -> SavedForm | None:
    """What an earlier post with this token saved, if there was one."""
    row = session.get(Submission, token)
    return None if row is None else SavedForm(row.fingerprint, row.location)


def remember_submission(session: Session, *, token: str, fingerprint: str, location: str, now: datetime) -> None:
    """Mark the token as used, in the same transaction as the work itself."""
    session.add(Submission(token=token, fingerprint=fingerprint, location=location, saved_at=now))
    session.flush()
