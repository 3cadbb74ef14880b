"""Tables of minutes worked and of the one running timer."""

from datetime import date, datetime

from sqlalchemy import CheckConstraint, ForeignKey, String
from sqlalchemy.orm import Mapped, mapped_column

from app.database.base import Base, UtcDateTime, Word
from app.timelog.rules import Activity


class TimeEntry(Base):
    __tablename__ = "time_entry"
    __table_args__ = (CheckConstraint("minutes > 0", name="minutes_positive"),)

    id: Mapped[int] = mapped_column(primary_key=True)
    capture_id: Mapped[str] = mapped_column(String(36), unique=True)
    piece_id: Mapped[int | None] = mapped_column(ForeignKey("piece.id"), index=True)
    activity: Mapped[Activity] = mapped_column(Word(Activity))
    on_date: Mapped[date] = mapped_column(index=True)
    minutes: Mapped[int]
    started_at: Mapped[datetime | None] = mapped_column(UtcDateTime)
    ended_at: Mapped[datetime | None] = mapped_column(UtcDateTime)
    note: Mapped[str] = mapped_column(String(200))
    made_at: Mapped[datetime] = mapped_column(UtcDateTime)
    struck_at: Mapped[datetime | None] = mapped_column(UtcDateTime)
    struck_reason: Mapped[str | None] = mapped_column(String(300))


class RunningTimer(Base):
    """The clock that is running now; the table holds one row at most."""

    __tablename__ = "running_timer"
    __table_args__ = (CheckConstraint("id = 1", name="only_one"),)

    id: Mapped[int] = mapped_column(primary_key=True, autoincrement=False, default=1)
    piece_id: Mapped[int | None] = mapped_column(ForeignKey("piece.id"))
    activity: Mapped[Activity] = mapped_column(Word(Activity))
    started_at: Mapped[datetime] = mapped_column(UtcDateTime)
