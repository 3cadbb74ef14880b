"""Tables of trips, their pieces, the shop's own mileage rates, and a year's odometer."""

from datetime import date, datetime

from sqlalchemy import BigInteger, CheckConstraint, ForeignKey, String
from sqlalchemy.orm import Mapped, mapped_column

from app.database.base import Base, Cents, UtcDateTime, Word
from app.trips.rules import CountsAs, DistanceUnit, TripPurpose


class Trip(Base):
    """One trip of the mileage log.

    `charged_cents` is what it costs in all: miles at the rate (`rate_hundredths` of a cent for one `rate_unit`, None
    where it counts as actual cost) plus `extra_cents` (tolls and parking), or `actual_cents`.
    """

    __tablename__ = "trip"
    __table_args__ = (
        CheckConstraint("distance_hundredths > 0", name="goes_somewhere"),
        CheckConstraint("extra_cents >= 0 AND actual_cents >= 0 AND charged_cents >= 0", name="no_minus"),
        CheckConstraint("(rate_hundredths IS NULL) = (rate_unit IS NULL)", name="rate_with_unit"),
    )

    id: Mapped[int] = mapped_column(primary_key=True)
    capture_id: Mapped[str] = mapped_column(String(36), unique=True)
    on_date: Mapped[date] = mapped_column(index=True)
    purpose: Mapped[TripPurpose] = mapped_column(Word(TripPurpose))
    purpose_words: Mapped[str] = mapped_column(String(200))
    from_place: Mapped[str] = mapped_column(String(120))
    to_place: Mapped[str] = mapped_column(String(120))
    distance_hundredths: Mapped[int] = mapped_column(BigInteger)
    distance_unit: Mapped[DistanceUnit] = mapped_column(Word(DistanceUnit))
    counts_as: Mapped[CountsAs] = mapped_column(Word(CountsAs))
    rate_hundredths: Mapped[int | None]
    rate_unit: Mapped[DistanceUnit | None] = mapped_column(Word(DistanceUnit))
    extra_cents: Mapped[Cents]
    actual_cents: Mapped[Cents]
    charged_cents: Mapped[Cents]
    by_value: Mapped[bool]
    note: Mapped[str] = mapped_column(String(200))
    receipt_photo_id: Mapped[int | None] = mapped_column(ForeignKey("photo.id"))
    made_at: Mapped[datetime] = mapped_column(UtcDateTime)
    struck_at: Mapped[datetime | None] = mapped_column(UtcDateTime)
    struck_reason: Mapped[str | None] = mapped_column(String(300))


class TripPiece(Base):
    """A piece a trip was for, and its exact share of what the trip cost; the shares add up to the trip."""

    __tablename__ = "trip_piece"
    __table_args__ = (CheckConstraint("weight >= 0 AND cents >= 0", name="no_minus"),)

    trip_id: Mapped[int] = mapped_column(ForeignKey("trip.id"), primary_key=True)
    piece_id: Mapped[int] = mapped_column(ForeignKey("piece.id"), primary_key=True, index=True)
    weight: Mapped[int] = mapped_column(BigInteger)
    cents: Mapped[Cents]


class MileageRate(Base):
    """The shop's own rate from a day to a day, both included; it goes before the published one."""

    __tablename__ = "mileage_rate"
    __table_args__ = (
        CheckConstraint("rate_hundredths > 0", name="rate_positive"),
        CheckConstraint("until_date >= from_date", name="days_in_order"),
    )

    id: Mapped[int] = mapped_column(primary_key=True)
    from_date: Mapped[date]
    until_date: Mapped[date]
    rate_hundredths: Mapped[int]
    unit: Mapped[DistanceUnit] = mapped_column(Word(DistanceUnit))
    source: Mapped[str] = mapped_column(String(200))
    made_at: Mapped[datetime] = mapped_column(UtcDateTime)
    struck_at: Mapped[datetime | None] = mapped_column(UtcDateTime)
    struck_reason: Mapped[str | None] = mapped_column(String(300))


class CarYear(Base):
    """What the tax form asks of the car besides the log: all it ran in a year, commuting, and since when it serves."""

    __tablename__ = "car_year"
    __table_args__ = (CheckConstraint("total_hundredths >= 0 AND commuting_hundredths >= 0", name="no_minus"),)

    id: Mapped[int] = mapped_column(primary_key=True)
    version: Mapped[int] = mapped_column()
    year: Mapped[int] = mapped_column(unique=True)
    unit: Mapped[DistanceUnit] = mapped_column(Word(DistanceUnit))
    total_hundredths: Mapped[int] = mapped_column(BigInteger)
    commuting_hundredths: Mapped[int] = mapped_column(BigInteger)
    in_service_on: Mapped[date | None]

    __mapper_args__ = {"version_id_col": version}  # noqa: RUF012 - SQLAlchemy reads a plain mapping here
