"""Put the dates of a piece right: the find, its steps, and the rows that are dated with them."""

from collections.abc import Mapping, Sequence
from dataclasses import replace
from datetime import date, datetime

from sqlalchemy import select
from sqlalchemy.orm import Session

from app.basics.dates import day_in_words, require_not_before, require_not_future
from app.basics.errors import NotFound, RuleError
from app.pieces.actions.ground import (
    NowValues,
    bump,
    keep_correction,
    piece_to_change,
    shop_day,
    the_shop,
)
from app.pieces.actions.purchases import add_purchase, counting_purchase_row, strike_purchase
from app.pieces.models import LeavingRow, Piece, Step
from app.pieces.queries import require_steps_that_fit, steps_of
from app.pieces.rules import (
    ChangedFact,
    PurchaseKind,
    Share,
    StepKind,
    StepRow,
    field_of,
    is_listing,
    require_dates_in_order,
    require_found_before,
    require_in_books,
    stage_since,
    standing_steps,
    step_label,
)
from app.shop.queries import require_open


def correct_dates(
    session: Session,
    piece_id: int,
    *,
    sourced_on: date,
    step_dates: Mapping[int, date],
    version: int | None,
    now: datetime,
) -> Piece:
    """Put right the day a piece was found and the days of its steps (`step_dates` by step id).

    A purchase is dated with the find: it is struck out and entered again; opening stock keeps its day.
    Refuses days in the future or out of order, the days of listings, sales and returns, a step that would pass
    a split, a find before the books began, another day for one piece of a haul ("sourced_on"), and a purchase, a
    leaving or a coming back that is or would be in a closed month. Raises StaleEdit when the piece changed since
    `version`.
    """
    piece = piece_to_change(session, piece_id, version, _date_values(session))
    if piece.haul_id is not None and sourced_on != piece.sourced_on:
        raise RuleError("It came with a haul. Put the day right on the haul's page, for all its pieces.", "sourced_on")
    redate(session, piece, sourced_on, step_dates, takes_purchase_along=True, now=now)
    return piece


def redate(
    session: Session,
    piece: Piece,
    sourced_on: date,
    step_dates: Mapping[int, date],
    *,
    takes_purchase_along: bool,
    now: datetime,
) -> None:
    """Put the dates in where they could have happened so, and bring all that hangs on them in line.

    A caller that enters the purchase anew itself does not let it be taken along.
    """
    steps = steps_of(session, piece.id)
    if set(step_dates) - {step.id for step in steps}:
        raise NotFound("step")
    new_dates = dict(step_dates)
    if piece.split_from_id is None:
        new_dates[steps[0].id] = sourced_on
    redated = require_dates_in_order(steps, new_dates, sourced_on, shop_day(session, now))
    changed = {new.id for was, new in zip(steps, redated, strict=True) if was.on_date != new.on_date}
    require_steps_that_fit(session, piece.id, standing_steps(redated), changed)
    _require_find(session, piece, sourced_on)
    _require_leavings_open(session, steps, redated)
    _write_steps(session, piece, steps, redated, now)
    if sourced_on != piece.sourced_on:
        keep_correction(session, piece, _change("Found on", piece.sourced_on, sourced_on), now)
        piece.sourced_on = sourced_on
        if takes_purchase_along:
            _date_purchase(session, piece, now)
    piece.stage_since = stage_since(redated)
    session.flush()


def date_listing(session: Session, piece_id: int, on_date: date, *, version: int | None, now: datetime) -> date:
    """Put right the day of the newest step to the floor, with its history; what hangs on it is the caller's.

    Returns the day it said before. Refuses, at "listed_on", a day in the future, before the step it follows or
    after the one that follows it, and a piece that never was on the floor. Raises StaleEdit.
    """
    piece = piece_to_change(session, piece_id, version, _date_values(session))
    standing = standing_steps(steps_of(session, piece.id))
    place = max((at for at, step in enumerate(standing) if is_listing(step)), default=0)
    if not place:
        raise RuleError("It was never on the floor, so there is no day to put right.", "listed_on")
    require_not_future(on_date, shop_day(session, now), "listed_on")
    require_not_before(on_date, standing[place - 1].on_date, "listed_on", "its last step before that")
    after = standing[place + 1 : place + 2]
    if after and on_date > after[0].on_date:
        raise RuleError(f"Its next step was on {day_in_words(after[0].on_date)}.", "listed_on")
    was = standing[place]
    standing[place] = replace(was, on_date=on_date)
    require_steps_that_fit(session, piece.id, standing, {was.id})
    session.get_one(Step, was.id).on_date = on_date
    if was.on_date != on_date:
        keep_correction(session, piece, _change("Listed on", was.on_date, on_date), now)
    piece.stage_since = stage_since(standing)
    bump(piece, "folded")
    session.flush()
    return was.on_date


def _change(label: str, was: date, became: date) -> ChangedFact:
    return ChangedFact(label, day_in_words(was), day_in_words(became))


def _require_find(session: Session, piece: Piece, sourced_on: date) -> None:
    purchase = counting_purchase_row(session, piece.id)
    if purchase is None or sourced_on == piece.sourced_on:
        return
    if purchase.kind is PurchaseKind.OPENING:
        require_found_before(sourced_on, purchase.on_date, "the day your books began")
    else:
        require_in_books(sourced_on, the_shop(session).started_on, "sourced_on")
        require_open(session, purchase.on_date, "sourced_on")
        require_open(session, sourced_on, "sourced_on")


def _require_leavings_open(session: Session, steps: Sequence[StepRow], redated: Sequence[StepRow]) -> None:
    """Only what leaves or comes back takes cost along; the days of all other steps are no money."""
    for was, new in zip(steps, redated, strict=True):
        if was.on_date != new.on_date and was.kind in {StepKind.OUT, StepKind.IN_AGAIN}:
            require_open(session, was.on_date, field_of(was))
            require_open(session, new.on_date, field_of(was))


def _write_steps(
    session: Session, piece: Piece, steps: Sequence[StepRow], redated: Sequence[StepRow], now: datetime
) -> None:
    leavings = list(session.scalars(select(LeavingRow).where(LeavingRow.piece_id == piece.id).order_by(LeavingRow.id)))
    outs = backs = 0
    for was, new in zip(steps, redated, strict=True):
        if was.on_date != new.on_date:
            session.get_one(Step, was.id).on_date = new.on_date
            if was.kind is not StepKind.START:
                keep_correction(session, piece, _change(step_label(was), was.on_date, new.on_date), now)
            if was.kind is StepKind.OUT:
                leavings[outs].on_date = new.on_date
            if was.kind is StepKind.IN_AGAIN:
                leavings[backs].back_on = new.on_date
        # Leavings and their steps are appended together, so the first step out belongs to the first leaving.
        outs += was.kind is StepKind.OUT
        backs += was.kind is StepKind.IN_AGAIN


def _date_purchase(session: Session, piece: Piece, now: datetime) -> None:
    """Date the purchase of a single find with it; a haul dates the shares of all its pieces itself."""
    purchase = counting_purchase_row(session, piece.id)
    if purchase is None or purchase.kind is PurchaseKind.OPENING:
        return
    share = Share(purchase.price_cents, purchase.premium_cents, purchase.tax_cents)
    reason = f"Found on {day_in_words(piece.sourced_on)} after all"
    strike_purchase(session, purchase, reason=reason, now=now)
    add_purchase(session, piece, share, kind=purchase.kind, on_date=piece.sourced_on, now=now)


def _date_values(session: Session) -> NowValues:
    def values(piece: Piece) -> dict[str, str]:
        standing = standing_steps(steps_of(session, piece.id))
        steps = {step_label(step): day_in_words(step.on_date) for step in standing[1:]}
        return {"Found on": day_in_words(piece.sourced_on), **steps}

    return values
