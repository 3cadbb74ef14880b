"""Prove the trips against themselves: shares, charges, and the rates they count at."""

from collections.abc import Iterator, Sequence
from itertools import pairwise
from typing import Any

from sqlalchemy import func, select
from sqlalchemy.orm import Session

from app.shop.queries import last_closed_day
from app.trips.models import MileageRate, Trip, TripPiece
from app.trips.queries.rates import shop_rates
from app.trips.rules import CountsAs, Distance, amount_at, shares_of


def trip_findings(session: Session) -> list[tuple[str, int, int]]:
    """Every identity of the trips as its name and its two sides, which are the same where it holds."""
    trips = session.execute(
        select(
            Trip.id,
            Trip.on_date,
            Trip.distance_hundredths,
            Trip.distance_unit,
            Trip.counts_as,
            Trip.rate_hundredths,
            Trip.rate_unit,
            Trip.extra_cents,
            Trip.actual_cents,
            Trip.charged_cents,
            Trip.struck_at,
        )
    ).all()
    return [
        *_shares(session, trips),
        ("Trips charged otherwise than their rate or their cost says", sum(map(_is_charged_wrongly, trips)), 0),
        ("Trips that count both at the rate and at their cost", sum(map(_counts_twice, trips)), 0),
        ("Trips in open months at another rate than the own one of their day", _off_own_rate(session, trips), 0),
        ("Own mileage rates that hold on the same day", _overlaps(session), 0),
        *_struck(session),
    ]


def _shares(session: Session, trips: Sequence[Any]) -> Iterator[tuple[str, int, int]]:
    rows = session.execute(
        select(TripPiece.trip_id, TripPiece.weight, TripPiece.cents).order_by(TripPiece.trip_id, TripPiece.piece_id)
    )
    weights: dict[int, list[int]] = {}
    cents: dict[int, list[int]] = {}
    for trip_id, weight, share in rows:
        weights.setdefault(trip_id, []).append(weight)
        cents.setdefault(trip_id, []).append(share)
    shared = [trip for trip in trips if trip.id in cents]
    standing = [trip for trip in shared if trip.struck_at is None]
    whole, parts = sum(trip.charged_cents for trip in standing), sum(sum(cents[trip.id]) for trip in standing)
    yield "Trips and the shares of their pieces", whole, parts
    off = sum(shares_of(trip.charged_cents, weights[trip.id]) != cents[trip.id] for trip in shared)
    yield "Trips whose shares are not what their weights make them", off, 0


def _is_charged_wrongly(trip: Any) -> bool:
    if trip.counts_as is CountsAs.ACTUAL:
        return bool(trip.charged_cents != trip.actual_cents)
    if trip.rate_hundredths is None:
        return True
    distance = Distance(trip.distance_hundredths, trip.distance_unit)
    at_rate = amount_at(distance, trip.rate_hundredths, trip.rate_unit)
    return bool(trip.charged_cents != at_rate + trip.extra_cents)


def _counts_twice(trip: Any) -> bool:
    if trip.counts_as is CountsAs.ACTUAL:
        return trip.rate_hundredths is not None or trip.extra_cents != 0
    return bool(trip.actual_cents != 0)


def _off_own_rate(session: Session, trips: Sequence[Any]) -> int:
    rates, closed = shop_rates(session), last_closed_day(session)
    off = 0
    for trip in trips:
        is_open = trip.struck_at is None and (closed is None or trip.on_date > closed)
        if is_open and trip.counts_as is CountsAs.RATE:
            own = next((rate for rate in rates.own if rate.from_date <= trip.on_date <= rate.until_date), None)
            off += own is not None and (own.hundredths, own.unit) != (trip.rate_hundredths, trip.rate_unit)
    return off


def _overlaps(session: Session) -> int:
    own = sorted(shop_rates(session).own, key=lambda rate: rate.from_date)
    return sum(later.from_date <= earlier.until_date for earlier, later in pairwise(own))


def _struck(session: Session) -> Iterator[tuple[str, int, int]]:
    """A row struck out says when and why; one that counts says neither."""
    for words, table in (("Trips", Trip), ("Own mileage rates", MileageRate)):
        half = table.struck_at.is_(None) != table.struck_reason.is_(None)
        wrong = session.scalar(select(func.count(table.id)).where(half)) or 0
        yield f"{words} struck out without a reason, or with one and not struck out", wrong, 0
