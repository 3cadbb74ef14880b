"""Read trips as pages and the mileage log show them, with the share of each piece."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, datetime

from sqlalchemy import ColumnElement, func, select
from sqlalchemy.orm import Session

from app.basics.dates import Month, local_day
from app.basics.errors import NotFound
from app.pieces.models import Piece
from app.pieces.rules import shown_name
from app.shop.queries import shop_facts
from app.trips.models import Trip, TripPiece
from app.trips.rules import (
    COUNTS_WORDS,
    PURPOSE_WORDS,
    UNIT_WORDS,
    CountsAs,
    Distance,
    DistanceUnit,
    TripPurpose,
    all_of,
    rate_plain,
)


@dataclass(frozen=True)
class TripShareRow:
    """A piece a trip was for, and its share in cents."""

    piece_id: int
    tag: str
    name: str
    weight: int
    cents: int


@dataclass(frozen=True)
class TripRow:
    """One trip as a page shows it, struck out or counting; `entered_on` is the shop's day it was written down.

    Amounts are in cents: `charged_cents` is what it costs in all.
    """

    id: int
    entered_on: date
    on_date: date
    purpose: TripPurpose
    purpose_words: str
    from_place: str
    to_place: str
    distance: Distance
    counts_as: CountsAs
    rate_hundredths: int | None
    rate_unit: DistanceUnit | None
    extra_cents: int
    actual_cents: int
    charged_cents: int
    by_value: bool
    note: str
    receipt_photo_id: int | None
    made_at: datetime
    struck_at: datetime | None
    struck_reason: str | None
    shares: tuple[TripShareRow, ...]

    @property
    def is_struck(self) -> bool:
        """Whether the trip was struck out and counts no more."""
        return self.struck_at is not None

    @property
    def is_at_rate(self) -> bool:
        """Whether it counts at the rate of its day."""
        return self.counts_as is CountsAs.RATE

    @property
    def kind_words(self) -> str:
        """What sort of trip it was."""
        return PURPOSE_WORDS[self.purpose]

    @property
    def counts_words(self) -> str:
        """How it counts."""
        return COUNTS_WORDS[self.counts_as]

    @property
    def at_rate_cents(self) -> int:
        """What its distance comes to at the rate; nothing for one at actual cost."""
        return self.charged_cents - self.extra_cents if self.is_at_rate else 0

    @property
    def unit_words(self) -> str:
        """The unit its rate is for."""
        return UNIT_WORDS[self.rate_unit] if self.rate_unit else ""

    def rate_plain(self, places: int) -> str:
        """Its rate as money; nothing for one at actual cost."""
        return "" if self.rate_hundredths is None else rate_plain(self.rate_hundredths, places)

    def share_of(self, piece_id: int) -> int:
        """What of it falls on one piece, in cents."""
        return sum(share.cents for share in self.shares if share.piece_id == piece_id)


@dataclass(frozen=True)
class TripTotals:
    """Trips together, those struck out left away; amounts in cents."""

    trips: int
    distances: tuple[Distance, ...]
    rate_distances: tuple[Distance, ...]
    at_rate_cents: int
    extra_cents: int
    actual_cents: int

    @property
    def charged_cents(self) -> int:
        """What they cost in all."""
        return self.at_rate_cents + self.extra_cents + self.actual_cents

    def distance(self, unit: DistanceUnit) -> Distance:
        """How far they went together."""
        return all_of(self.distances, unit)

    def rate_distance(self, unit: DistanceUnit) -> Distance:
        """How far those went that count at the rate."""
        return all_of(self.rate_distances, unit)

    @property
    def miles(self) -> Distance:
        """How far they went together, in miles."""
        return self.distance(DistanceUnit.MILE)

    @property
    def km(self) -> Distance:
        """How far they went together, in kilometres."""
        return self.distance(DistanceUnit.KM)


def trips_between(session: Session, first: date, last: date) -> list[TripRow]:
    """Every trip from `first` to `last`, both included, the newest day first, struck ones too."""
    return _rows(session, Trip.on_date.between(first, last))


def trips_of(session: Session, piece_id: int) -> list[TripRow]:
    """Every trip for a piece, the newest day first, struck ones too."""
    return _rows(session, Trip.id.in_(select(TripPiece.trip_id).where(TripPiece.piece_id == piece_id)))


def trip_by_id(session: Session, trip_id: int) -> TripRow:
    """A trip by its number; raises NotFound."""
    for row in _rows(session, Trip.id == trip_id):
        return row
    raise NotFound("trip")


def mileage_log(session: Session, year: int) -> list[TripRow]:
    """The trips of a year that count, the oldest day first: the log to hand over."""
    rows = _rows(session, Trip.on_date.between(date(year, 1, 1), date(year, 12, 31)), Trip.struck_at.is_(None))
    return rows[::-1]


def year_totals(session: Session, year: int) -> TripTotals:
    """The trips of a year together."""
    return totals_of(mileage_log(session, year))


def totals_of(rows: Iterable[TripRow]) -> TripTotals:
    """Trips together; those struck out are left away."""
    counting = [row for row in rows if not row.is_struck]
    return TripTotals(
        trips=len(counting),
        distances=tuple(row.distance for row in counting),
        rate_distances=tuple(row.distance for row in counting if row.is_at_rate),
        at_rate_cents=sum(row.at_rate_cents for row in counting),
        extra_cents=sum(row.extra_cents for row in counting),
        actual_cents=sum(row.actual_cents for row in counting),
    )


def trip_months(session: Session) -> tuple[Month, Month] | None:
    """The first and the last month with a trip, or None without any."""
    first, last = session.execute(select(func.min(Trip.on_date), func.max(Trip.on_date))).one()
    return (Month.of(first), Month.of(last)) if first and last else None


def _rows(session: Session, *wanted: ColumnElement[bool]) -> list[TripRow]:
    trips = session.scalars(select(Trip).where(*wanted).order_by(Trip.on_date.desc(), Trip.id.desc())).all()
    shares = _shares(session, *wanted)
    shop = shop_facts(session)
    zone = shop.time_zone if shop else "UTC"
    return [_row(trip, tuple(shares.get(trip.id, ())), zone) for trip in trips]


def _shares(session: Session, *wanted: ColumnElement[bool]) -> dict[int, list[TripShareRow]]:
    found = session.execute(
        select(TripPiece, Piece.tag, Piece.title, Piece.form)
        .join(Trip, Trip.id == TripPiece.trip_id)
        .join(Piece, Piece.id == TripPiece.piece_id)
        .where(*wanted)
        .order_by(TripPiece.trip_id, TripPiece.piece_id)
    )
    shares: dict[int, list[TripShareRow]] = {}
    for share, tag, title, form in found:
        row = TripShareRow(share.piece_id, tag, shown_name(title, form), share.weight, share.cents)
        shares.setdefault(share.trip_id, []).append(row)
    return shares


def _row(trip: Trip, shares: tuple[TripShareRow, ...], zone: str) -> TripRow:
    return TripRow(
        id=trip.id,
        entered_on=local_day(trip.made_at, zone),
        on_date=trip.on_date,
        purpose=trip.purpose,
        purpose_words=trip.purpose_words,
        from_place=trip.from_place,
        to_place=trip.to_place,
        distance=Distance(trip.distance_hundredths, trip.distance_unit),
        counts_as=trip.counts_as,
        rate_hundredths=trip.rate_hundredths,
        rate_unit=trip.rate_unit,
        extra_cents=trip.extra_cents,
        actual_cents=trip.actual_cents,
        charged_cents=trip.charged_cents,
        by_value=trip.by_value,
        note=trip.note,
        receipt_photo_id=trip.receipt_photo_id,
        made_at=trip.made_at,
        struck_at=trip.struck_at,
        struck_reason=trip.struck_reason,
        shares=shares,
    )
