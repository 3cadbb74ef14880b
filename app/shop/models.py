"""The one row of facts about the shop, and the months it has closed."""

from datetime import date, datetime

from sqlalchemy import CheckConstraint, String
from sqlalchemy.orm import Mapped, mapped_column

from app.basics.quantities import Units
from app.database.base import Base, Cents, UtcDateTime, Word


class Shop(Base):
    __tablename__ = "shop"
    __table_args__ = (
        CheckConstraint("id = 1", name="only_one"),
        CheckConstraint("sits_too_long_days > 0", name="threshold_positive"),
    )

    id: Mapped[int] = mapped_column(primary_key=True, autoincrement=False, default=1)
    version: Mapped[int] = mapped_column()
    name: Mapped[str] = mapped_column(String(80))
    currency: Mapped[str] = mapped_column(String(3))
    time_zone: Mapped[str] = mapped_column(String(64))
    units: Mapped[Units] = mapped_column(Word(Units))
    started_on: Mapped[date]
    sits_too_long_days: Mapped[int]
    made_at: Mapped[datetime] = mapped_column(UtcDateTime)

    __mapper_args__ = {"version_id_col": version}  # noqa: RUF012 - SQLAlchemy reads a plain mapping here


class ClosedMonth(Base):
    """A month that is closed, with its figures as they stood when it was: nothing dated in it changes any more."""

    __tablename__ = "closed_month"

    id: Mapped[int] = mapped_column(primary_key=True)
    month: Mapped[str] = mapped_column(String(7), unique=True)
    profit_cents: Mapped[Cents]
    cash_cents: Mapped[Cents]
    stock_cents: Mapped[Cents]
    shelf_cents: Mapped[Cents]
    deposits_cents: Mapped[Cents]
    closed_at: Mapped[datetime] = mapped_column(UtcDateTime)


class UsualHours(Base):
    """A spell of the week the owner has for the bench, from a minute after midnight on; Monday is weekday 0."""

    __tablename__ = "usual_hours"
    __table_args__ = (
        CheckConstraint("weekday BETWEEN 0 AND 6", name="weekday_in_week"),
        CheckConstraint("from_minute >= 0 AND minutes > 0 AND from_minute + minutes <= 1440", name="spell_in_day"),
    )

    id: Mapped[int] = mapped_column(primary_key=True)
    weekday: Mapped[int]
    from_minute: Mapped[int]
    minutes: Mapped[int]
