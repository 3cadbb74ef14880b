"""Write a trip down with the shares of its pieces, and strike one out; it is never deleted or overwritten."""

from datetime import datetime

from sqlalchemy import select
from sqlalchemy.orm import Session

from app.basics.errors import NotFound, RuleError
from app.basics.striking import reason_to_keep, require_not_struck
from app.photos.actions import attach_photo
from app.photos.rules import Shows, StoredPhoto
from app.pieces.actions.ground import counting_piece, shop_day, the_shop
from app.pieces.rules import require_capture_id
from app.shop.queries import require_open
from app.trips.models import Trip, TripPiece
from app.trips.queries import paid_for, shop_rates
from app.trips.rules import NewTrip, charge_of, require_sound, shares_of


def add_trip(
    session: Session, new: NewTrip, *, capture_id: str, now: datetime, receipt: StoredPhoto | None = None
) -> Trip:
    """Write a trip down, for any number of pieces, sold and gone ones too; `receipt` is attached with it.

    A capture id seen before gives the trip that is there. Refuses what the tax log cannot do without, a trip that
    counts twice, a day in the future, before the books begin or in a closed month, a piece struck out (RuleError),
    and a day without a rate (RateGap); raises NotFound for an unknown piece.
    """
    require_capture_id(capture_id)
    there = session.scalars(select(Trip).where(Trip.capture_id == capture_id)).first()
    if there is not None:
        return there
    require_sound(new, today=shop_day(session, now), books_begin=the_shop(session).started_on)
    require_open(session, new.on_date, "on_date")
    piece_ids = _counting(session, new.piece_ids)
    charge = charge_of(new, shop_rates(session))
    trip = Trip(
        capture_id=capture_id,
        on_date=new.on_date,
        purpose=new.purpose,
        purpose_words=new.purpose_words,
        from_place=new.from_place,
        to_place=new.to_place,
        distance_hundredths=new.distance.hundredths,
        distance_unit=new.distance.unit,
        counts_as=new.counts_as,
        rate_hundredths=charge.rate_hundredths,
        rate_unit=charge.rate_unit,
        extra_cents=new.extra_cents,
        actual_cents=new.actual_cents,
        charged_cents=charge.cents,
        by_value=new.by_value,
        note=new.note,
        receipt_photo_id=_receipt_of(session, piece_ids, receipt, now),
        made_at=now,
    )
    session.add(trip)
    session.flush()
    _share(session, trip, piece_ids)
    return trip


def _counting(session: Session, piece_ids: tuple[int, ...]) -> list[int]:
    """The pieces in their order, each once; refuses one that is struck out at "pieces"."""
    ids = sorted(set(piece_ids))
    for piece_id in ids:
        try:
            counting_piece(session, piece_id)
        except RuleError as refusal:
            raise RuleError(refusal.message, "pieces") from refusal
    return ids


def _receipt_of(session: Session, piece_ids: list[int], receipt: StoredPhoto | None, now: datetime) -> int | None:
    """Attach the receipt: to the piece where there is one alone, else to the shop."""
    if receipt is None:
        return None
    piece_id = piece_ids[0] if len(piece_ids) == 1 else None
    return attach_photo(session, receipt, piece_id=piece_id, shows=Shows.RECEIPT, now=now).id


def _share(session: Session, trip: Trip, piece_ids: list[int]) -> None:
    paid = paid_for(session, piece_ids) if trip.by_value else dict.fromkeys(piece_ids, 1)
    weights = [paid.get(piece_id, 0) for piece_id in piece_ids]
    shares = shares_of(trip.charged_cents, weights)
    session.add_all(
        TripPiece(trip_id=trip.id, piece_id=piece_id, weight=weight, cents=cents)
        for piece_id, weight, cents in zip(piece_ids, weights, shares, strict=True)
    )
    session.flush()


def strike_trip(session: Session, trip_id: int, *, reason: str, now: datetime) -> Trip:
    """Strike a trip out with a reason: it and its shares count no more and stay in sight.

    Refuses a trip struck out before (AlreadyStruck), one in a closed month (MonthIsClosed) and an empty or overlong
    reason (RuleError); raises NotFound.
    """
    trip = session.get(Trip, trip_id)
    if trip is None:
        raise NotFound("trip")
    require_not_struck("trip", trip.struck_reason)
    require_open(session, trip.on_date)
    trip.struck_reason = reason_to_keep(reason)
    trip.struck_at = now
    session.flush()
    return trip
