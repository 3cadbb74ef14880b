"""Tables of write-downs to what a piece will still bring, and of the channels' own yearly statements."""

from datetime import date, datetime

from sqlalchemy import CheckConstraint, ForeignKey, String, UniqueConstraint
from sqlalchemy.orm import Mapped, mapped_column

from app.database.base import Base, Cents, UtcDateTime


class WriteDown(Base):
    """A piece taken down (`cents` above zero) to what it will still bring, or back up (below zero), on a day.

    It stands apart: stock at cost and the piece's own profit stay as they are, and it is gone once the piece is.
    """

    __tablename__ = "write_down"
    __table_args__ = (
        CheckConstraint("cents != 0", name="changes_something"),
        CheckConstraint(
            "price_expected_cents >= 0 AND finish_cents >= 0 AND sell_cents >= 0 AND cost_cents >= 0", name="no_minus"
        ),
    )

    id: Mapped[int] = mapped_column(primary_key=True)
    capture_id: Mapped[str] = mapped_column(String(36), unique=True)
    piece_id: Mapped[int] = mapped_column(ForeignKey("piece.id"), index=True)
    on_date: Mapped[date] = mapped_column(index=True)
    price_expected_cents: Mapped[Cents]
    finish_cents: Mapped[Cents]
    sell_cents: Mapped[Cents]
    cost_cents: Mapped[Cents]
    cents: Mapped[Cents]
    reason: Mapped[str] = mapped_column(String(300))
    made_at: Mapped[datetime] = mapped_column(UtcDateTime)
    struck_at: Mapped[datetime | None] = mapped_column(UtcDateTime)
    struck_reason: Mapped[str | None] = mapped_column(String(300))


class ChannelStatement(Base):
    """What a channel's own statement says it paid out before fees in a year, to be held against the books."""

    __tablename__ = "channel_statement"
    __table_args__ = (
        UniqueConstraint("channel_id", "year"),
        CheckConstraint("gross_cents >= 0", name="gross_not_negative"),
    )

    id: Mapped[int] = mapped_column(primary_key=True)
    version: Mapped[int] = mapped_column()
    channel_id: Mapped[int] = mapped_column(ForeignKey("channel.id"))
    year: Mapped[int]
    gross_cents: Mapped[Cents]
    note: Mapped[str] = mapped_column(String(200))
    made_at: Mapped[datetime] = mapped_column(UtcDateTime)

    __mapper_args__ = {"version_id_col": version}  # noqa: RUF012 - SQLAlchemy reads a plain mapping here
