"""Keep the shop's own mileage rates; the trips of their days that lie in open months are charged anew."""

from datetime import datetime

from sqlalchemy import select
from sqlalchemy.orm import Session

from app.basics.errors import NotFound
from app.basics.striking import reason_to_keep, require_not_struck
from app.trips.models import MileageRate, Trip, TripPiece
from app.trips.queries import Recharge, RechargePlan, plan_of_adding, plan_of_striking
from app.trips.rules import MileageRateFacts, shares_of


def add_rate(session: Session, new: MileageRateFacts, *, now: datetime) -> RechargePlan:
    """Let an own rate hold from a day to a day, and charge the trips of these days anew, shares too.

    Trips in closed months keep what they cost. Refuses a rate of nothing, one without a source, and days that
    another own rate holds already (RuleError). Answers what changed.
    """
    plan = plan_of_adding(session, new)
    session.add(
        MileageRate(
            from_date=new.from_date,
            until_date=new.until_date,
            rate_hundredths=new.hundredths,
            unit=new.unit,
            source=new.source,
            made_at=now,
        )
    )
    _charge_anew(session, plan)
    return plan


def strike_rate(session: Session, rate_id: int, *, reason: str, now: datetime) -> RechargePlan:
    """Strike an own rate out with a reason, and charge the trips of its days at the rate that holds without it.

    Trips in closed months, and those no other rate holds for, keep what they cost. Refuses a rate struck out
    before (AlreadyStruck) and an empty or overlong reason (RuleError); raises NotFound. Answers what changed.
    """
    rate = session.get(MileageRate, rate_id)
    if rate is None:
        raise NotFound("mileage rate")
    require_not_struck("rate", rate.struck_reason)
    kept_reason = reason_to_keep(reason)
    plan = plan_of_striking(session, rate_id)
    rate.struck_reason = kept_reason
    rate.struck_at = now
    _charge_anew(session, plan)
    return plan


def _charge_anew(session: Session, plan: RechargePlan) -> None:
    changes = {change.trip_id: change for change in plan.changes}
    trips = session.scalars(select(Trip).where(Trip.id.in_(changes))).all()
    for trip in trips:
        _write(trip, changes[trip.id])
    rows = session.scalars(
        select(TripPiece).where(TripPiece.trip_id.in_(changes)).order_by(TripPiece.trip_id, TripPiece.piece_id)
    )
    shares: dict[int, list[TripPiece]] = {}
    for row in rows:
        shares.setdefault(row.trip_id, []).append(row)
    for trip_id, of_trip in shares.items():
        cents = shares_of(changes[trip_id].cents, [row.weight for row in of_trip])
        for row, share in zip(of_trip, cents, strict=True):
            row.cents = share
    session.flush()


def _write(trip: Trip, change: Recharge) -> None:
    trip.charged_cents = change.cents
    trip.rate_hundredths = change.rate_hundredths
    trip.rate_unit = change.rate_unit
