"""Tables of channels and their dated fees, listings, asking prices, holds and the words a piece is offered with."""

from datetime import date, datetime

from sqlalchemy import CheckConstraint, ForeignKey, Index, String, Text, text
from sqlalchemy.orm import Mapped, mapped_column

from app.database.base import Base, Cents, UtcDateTime

STILL_OPEN = text("ended_on IS NULL")
NOT_LIFTED = text("lifted_at IS NULL")
NOT_STRUCK = text("struck_at IS NULL")


class Channel(Base):
    """A kind of place where pieces are offered, with what it takes from a sale.

    At version 1 and taking nothing, nobody has said yet what it takes.
    """

    __tablename__ = "channel"
    __table_args__ = (
        CheckConstraint("percent_hundredths BETWEEN 0 AND 10000", name="percent_in_range"),
        CheckConstraint("fixed_cents >= 0", name="fixed_not_negative"),
    )

    id: Mapped[int] = mapped_column(primary_key=True)
    version: Mapped[int] = mapped_column()
    name: Mapped[str] = mapped_column(String(80), unique=True)
    percent_hundredths: Mapped[int]
    fixed_cents: Mapped[Cents]
    is_put_away: Mapped[bool]

    __mapper_args__ = {"version_id_col": version}  # noqa: RUF012 - SQLAlchemy reads a plain mapping here


class ChannelFee(Base):
    """What a channel takes from a day on, until the next such row; before the first one, what the channel says."""

    __tablename__ = "channel_fee"
    __table_args__ = (
        CheckConstraint("percent_hundredths BETWEEN 0 AND 10000", name="percent_in_range"),
        CheckConstraint("fixed_cents >= 0", name="fixed_not_negative"),
        Index(
            "uq_channel_fee_channel_id_from_date_counting",
            "channel_id",
            "from_date",
            unique=True,
            sqlite_where=NOT_STRUCK,
            postgresql_where=NOT_STRUCK,
        ),
    )

    id: Mapped[int] = mapped_column(primary_key=True)
    channel_id: Mapped[int] = mapped_column(ForeignKey("channel.id"), index=True)
    from_date: Mapped[date]
    percent_hundredths: Mapped[int]
    fixed_cents: Mapped[Cents]
    note: Mapped[str] = mapped_column(String(200))
    made_at: Mapped[datetime] = mapped_column(UtcDateTime)
    struck_at: Mapped[datetime | None] = mapped_column(UtcDateTime)
    struck_reason: Mapped[str | None] = mapped_column(String(300))


class Listing(Base):
    """One spell of a piece on the floor; a piece has one open spell at most."""

    __tablename__ = "listing"
    __table_args__ = (
        Index(
            "uq_listing_piece_id_open",
            "piece_id",
            unique=True,
            sqlite_where=STILL_OPEN,
            postgresql_where=STILL_OPEN,
        ),
    )

    id: Mapped[int] = mapped_column(primary_key=True)
    piece_id: Mapped[int] = mapped_column(ForeignKey("piece.id"), index=True)
    listed_on: Mapped[date]
    ended_on: Mapped[date | None]
    ended_by: Mapped[str | None] = mapped_column(String(20))
    made_at: Mapped[datetime] = mapped_column(UtcDateTime)


class ListingChannel(Base):
    __tablename__ = "listing_channel"

    listing_id: Mapped[int] = mapped_column(ForeignKey("listing.id"), primary_key=True)
    channel_id: Mapped[int] = mapped_column(ForeignKey("channel.id"), primary_key=True)


class AskingPrice(Base):
    """What was asked from a date on; the newest row of a listing is the price now."""

    __tablename__ = "asking_price"
    __table_args__ = (CheckConstraint("cents > 0", name="asks_something"),)

    id: Mapped[int] = mapped_column(primary_key=True)
    listing_id: Mapped[int] = mapped_column(ForeignKey("listing.id"), index=True)
    on_date: Mapped[date]
    cents: Mapped[Cents]
    note: Mapped[str] = mapped_column(String(200))
    made_at: Mapped[datetime] = mapped_column(UtcDateTime)


class Hold(Base):
    """A piece kept back for somebody until a day; one that stands per piece."""

    __tablename__ = "hold"
    __table_args__ = (
        Index(
            "uq_hold_piece_id_standing",
            "piece_id",
            unique=True,
            sqlite_where=NOT_LIFTED,
            postgresql_where=NOT_LIFTED,
        ),
    )

    id: Mapped[int] = mapped_column(primary_key=True)
    piece_id: Mapped[int] = mapped_column(ForeignKey("piece.id"), index=True)
    held_for: Mapped[str] = mapped_column(String(80))
    until: Mapped[date]
    note: Mapped[str] = mapped_column(String(200))
    made_at: Mapped[datetime] = mapped_column(UtcDateTime)
    lifted_at: Mapped[datetime | None] = mapped_column(UtcDateTime)


class Wording(Base):
    """The owner's own words for listing a piece and for its care; empty words are those worked out from its facts."""

    __tablename__ = "wording"

    piece_id: Mapped[int] = mapped_column(ForeignKey("piece.id"), primary_key=True, autoincrement=False)
    version: Mapped[int] = mapped_column()
    listing: Mapped[str] = mapped_column(Text)
    care: Mapped[str] = mapped_column(Text)
    made_at: Mapped[datetime] = mapped_column(UtcDateTime)

    __mapper_args__ = {"version_id_col": version}  # noqa: RUF012 - SQLAlchemy reads a plain mapping here
