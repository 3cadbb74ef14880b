"""Take a deposit, say what became of it, and strike out either when it was a mistake."""

from collections.abc import Iterable
from dataclasses import replace
from datetime import datetime

from sqlalchemy import select
from sqlalchemy.orm import Session

from app.basics.errors import NotFound, RuleError
from app.basics.striking import reason_to_keep, require_not_struck
from app.basics.words import LINE_LIMIT, NAME_LIMIT, REASON_LIMIT, clean_line
from app.floor.queries import shop_today
from app.pieces.actions.ground import counting_piece
from app.pieces.rules import require_capture_id
from app.sales.models import Deposit, DepositEnd, Sale
from app.sales.queries import deposit_by_id, is_on_hand
from app.sales.rules import (
    WHAT_WAS_WRONG,
    DepositEnding,
    NewDeposit,
    NewEnd,
    require_depositable,
    require_end_strikable,
    require_sound_deposit,
    require_sound_end,
)
from app.shop.queries import require_open, shop_facts


def take_deposit(session: Session, new: NewDeposit, *, capture_id: str, now: datetime) -> Deposit:
    """Take a deposit in cents on a piece on hand; it is owed to its payer from then on.

    A `capture_id` seen before returns the deposit it made. Refuses a piece that is sold or gone (CannotMove), a
    deposit from nobody or of nothing, and a day before the piece was found or the books began, in the future or
    in a closed month (RuleError); raises NotFound.
    """
    require_capture_id(capture_id)
    before = session.scalar(select(Deposit).where(Deposit.capture_id == capture_id))
    if before is not None:
        return before
    piece = counting_piece(session, new.piece_id)
    require_depositable(piece.stage, piece.left_as)
    require_open(session, new.on_date, "on_date")
    told = replace(new, payer=clean_line(new.payer, NAME_LIMIT), note=clean_line(new.note, LINE_LIMIT))
    shop = shop_facts(session)
    require_sound_deposit(
        told,
        sourced_on=piece.sourced_on,
        books_begin=shop.started_on if shop else None,
        today=shop_today(session, now),
    )
    deposit = Deposit(
        capture_id=capture_id,
        piece_id=piece.id,
        payer=told.payer,
        on_date=told.on_date,
        amount_cents=told.amount_cents,
        note=told.note,
        made_at=now,
    )
    session.add(deposit)
    session.flush()
    return deposit


def end_deposit(session: Session, new: NewEnd, *, now: datetime) -> DepositEnd:
    """Give a deposit, or a part of it, back or keep it, in cents; what is left of it stands.

    Refuses more than is left, a day before it was taken, in the future or in a closed month, and to keep it
    without a reason (RuleError); raises NotFound.
    """
    deposit = deposit_by_id(session, new.deposit_id)
    if deposit.is_struck:
        raise RuleError("This deposit is struck out.")
    require_open(session, new.on_date, "on_date")
    require_sound_end(new, taken_on=deposit.on_date, left_cents=deposit.left_cents, today=shop_today(session, now))
    end = DepositEnd(
        deposit_id=deposit.id,
        how=new.how,
        on_date=new.on_date,
        cents=new.cents,
        sale_id=None,
        reason=clean_line(new.reason, REASON_LIMIT),
        made_at=now,
    )
    session.add(end)
    session.flush()
    return end


def strike_deposit(session: Session, deposit_id: int, *, reason: str, now: datetime) -> Deposit:
    """Strike out a deposit nobody paid: it counts no more and stays in sight.

    Refuses one struck out before (AlreadyStruck), one of which something was applied, given back or kept, one
    in a closed month, and an empty reason (RuleError); raises NotFound.
    """
    row = deposit_by_id(session, deposit_id)
    require_not_struck("deposit", row.struck_reason)
    if row.counting_ends:
        raise RuleError("Something was applied, given back or kept of it. Strike that out first.")
    require_open(session, row.on_date)
    deposit = session.get_one(Deposit, deposit_id)
    deposit.struck_reason = reason_to_keep(reason, WHAT_WAS_WRONG)
    deposit.struck_at = now
    session.flush()
    return deposit


def strike_end(session: Session, end_id: int, *, reason: str, now: datetime) -> DepositEnd:
    """Strike out that a deposit was given back or kept: it stands again by so much.

    Refuses one struck out before (AlreadyStruck), what a sale applied, one on a piece that is gone or in a
    closed month, and an empty reason (RuleError); raises NotFound.
    """
    end = session.get(DepositEnd, end_id)
    if end is None:
        raise NotFound("end of a deposit")
    require_not_struck("entry", end.struck_reason)
    require_open(session, end.on_date)
    piece_id = session.get_one(Deposit, end.deposit_id).piece_id
    require_end_strikable(end.how, is_on_hand=is_on_hand(session, piece_id))
    _strike(end, reason_to_keep(reason, WHAT_WAS_WRONG), now)
    session.flush()
    return end


def apply_deposits(session: Session, deposit_ids: Iterable[int], sale: Sale, *, now: datetime) -> None:
    """Apply to a sale, on its day, all that is left of deposits; the caller has asked whether they fit it."""
    for deposit_id in deposit_ids:
        session.add(
            DepositEnd(
                deposit_id=deposit_id,
                how=DepositEnding.APPLIED,
                on_date=sale.sold_on,
                cents=deposit_by_id(session, deposit_id).left_cents,
                sale_id=sale.id,
                reason="",
                made_at=now,
            )
        )
    session.flush()


def release_deposits(session: Session, sale_id: int, *, reason: str, now: datetime) -> None:
    """Let the deposits applied to a sale stand again, for the reason the sale is struck out."""
    counting = select(DepositEnd).where(DepositEnd.sale_id == sale_id, DepositEnd.struck_at.is_(None))
    for end in session.scalars(counting):
        _strike(end, reason, now)
    session.flush()


def _strike(end: DepositEnd, why: str, now: datetime) -> None:
    end.struck_reason = why
    end.struck_at = now
