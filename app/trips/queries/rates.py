"""Read the shop's own mileage rates, and which trips another rate would charge anew."""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from datetime import date, datetime
from typing import Any

from sqlalchemy import select
from sqlalchemy.orm import Session

from app.basics.errors import NotFound
from app.shop.queries import last_closed_day, shop_facts
from app.trips.models import MileageRate, Trip
from app.trips.rules import (
    PUBLISHED_CURRENCY,
    PUBLISHED_RATES,
    UNIT_WORDS,
    CountsAs,
    Distance,
    DistanceUnit,
    MileageRateFacts,
    OwnRate,
    ShopRates,
    amount_at,
    rate_plain,
    require_sound_rate,
)


@dataclass(frozen=True)
class OwnRateRow:
    """One own rate as a page shows it, struck out or holding."""

    id: int
    from_date: date
    until_date: date
    hundredths: int
    unit: DistanceUnit
    source: str
    made_at: datetime
    struck_at: datetime | None
    struck_reason: str | None

    @property
    def is_struck(self) -> bool:
        """Whether the rate was struck out and holds no more."""
        return self.struck_at is not None

    @property
    def unit_words(self) -> str:
        """The unit it is for."""
        return UNIT_WORDS[self.unit]

    def rate_plain(self, places: int) -> str:
        """The rate as money."""
        return rate_plain(self.hundredths, places)


@dataclass(frozen=True)
class Recharge:
    """A trip that another rate charges anew: what it cost and what it comes to, in cents."""

    trip_id: int
    on_date: date
    was_cents: int
    cents: int
    rate_hundredths: int
    rate_unit: DistanceUnit


@dataclass(frozen=True)
class RechargePlan:
    """What changes with a rate: trips charged anew, and how many of its days stay as they are.

    `frozen` trips stand in closed months; `without` have no other rate and keep the one they have.
    """

    changes: tuple[Recharge, ...]
    frozen: int
    without: int

    @property
    def was_cents(self) -> int:
        """What the trips that change cost so far."""
        return sum(change.was_cents for change in self.changes)

    @property
    def cents(self) -> int:
        """What they come to."""
        return sum(change.cents for change in self.changes)


def own_rates(session: Session) -> list[OwnRateRow]:
    """Every own rate, the newest days first, struck ones too."""
    rows = session.scalars(select(MileageRate).order_by(MileageRate.from_date.desc(), MileageRate.id.desc()))
    return [_row(rate) for rate in rows]


def own_rate(session: Session, rate_id: int) -> OwnRateRow:
    """An own rate by its number; raises NotFound."""
    rate = session.get(MileageRate, rate_id)
    if rate is None:
        raise NotFound("mileage rate")
    return _row(rate)


def shop_rates(session: Session) -> ShopRates:
    """The rates the shop counts by: its own, and the published ones where it keeps its books in their currency."""
    standing = session.scalars(select(MileageRate).where(MileageRate.struck_at.is_(None)).order_by(MileageRate.id))
    own = tuple(
        OwnRate(rate.from_date, rate.until_date, rate.rate_hundredths, rate.unit, rate.source, rate.id)
        for rate in standing
    )
    shop = shop_facts(session)
    is_at_home = shop is not None and shop.currency == PUBLISHED_CURRENCY
    return ShopRates(own, PUBLISHED_RATES if is_at_home else ())


def plan_of_adding(session: Session, new: MileageRateFacts) -> RechargePlan:
    """What a further own rate would change; refuses one that is not sound (RuleError)."""
    rates = shop_rates(session)
    require_sound_rate(new, rates.own)
    added = OwnRate(new.from_date, new.until_date, new.hundredths, new.unit, new.source, 0)
    return _plan(session, ShopRates((added, *rates.own), rates.published), new)


def plan_of_striking(session: Session, rate_id: int) -> RechargePlan:
    """What changes when an own rate holds no more; raises NotFound."""
    row = own_rate(session, rate_id)
    rates = shop_rates(session)
    left = tuple(rate for rate in rates.own if rate.id != rate_id)
    return _plan(session, ShopRates(left, rates.published), row)


def _plan(session: Session, rates: ShopRates, days: MileageRateFacts | OwnRateRow) -> RechargePlan:
    found = session.execute(
        select(
            Trip.id,
            Trip.on_date,
            Trip.distance_hundredths,
            Trip.distance_unit,
            Trip.extra_cents,
            Trip.charged_cents,
            Trip.rate_hundredths,
            Trip.rate_unit,
        )
        .where(
            Trip.on_date.between(days.from_date, days.until_date),
            Trip.counts_as == CountsAs.RATE,
            Trip.struck_at.is_(None),
        )
        .order_by(Trip.on_date, Trip.id)
    ).all()
    closed = last_closed_day(session)
    open_trips = [row for row in found if closed is None or row.on_date > closed]
    changes = tuple(_recharges(open_trips, rates))
    without = sum(rates.find(row.on_date) is None for row in open_trips)
    return RechargePlan(changes, len(found) - len(open_trips), without)


def _recharges(trips: Iterable[Any], rates: ShopRates) -> Iterator[Recharge]:
    for trip in trips:
        rate = rates.find(trip.on_date)
        if rate is not None and (rate.hundredths, rate.unit) != (trip.rate_hundredths, trip.rate_unit):
            distance = Distance(trip.distance_hundredths, trip.distance_unit)
            cents = amount_at(distance, rate.hundredths, rate.unit) + trip.extra_cents
            yield Recharge(trip.id, trip.on_date, trip.charged_cents, cents, rate.hundredths, rate.unit)


def _row(rate: MileageRate) -> OwnRateRow:
    return OwnRateRow(
        id=rate.id,
        from_date=rate.from_date,
        until_date=rate.until_date,
        hundredths=rate.rate_hundredths,
        unit=rate.unit,
        source=rate.source,
        made_at=rate.made_at,
        struck_at=rate.struck_at,
        struck_reason=rate.struck_reason,
    )
