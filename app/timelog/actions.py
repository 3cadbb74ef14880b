"""Start, stop and switch the clock, write work down, and strike an entry out; none is deleted or overwritten."""

from datetime import date, datetime
from uuid import uuid4

from sqlalchemy import func, select
from sqlalchemy.orm import Session

from app.basics.dates import local_day
from app.basics.errors import NotFound
from app.basics.striking import reason_to_keep, require_not_struck
from app.pieces.actions.ground import counting_piece
from app.pieces.rules import require_capture_id
from app.shop.queries import shop_facts
from app.timelog.models import RunningTimer, TimeEntry
from app.timelog.rules import (
    ACTIVITY_WORDS,
    Activity,
    NewTime,
    TimerIsRunning,
    require_room_in_day,
    require_sound,
    require_usual_run,
    require_within_run,
    whole_minutes,
)

ONLY_TIMER = 1


def start_timer(session: Session, *, piece_id: int | None, activity: Activity, now: datetime) -> RunningTimer:
    """Start the clock on a piece, or for the shop when `piece_id` is None.

    Starting what runs already changes nothing. Refuses a second clock (TimerIsRunning); raises NotFound for
    an unknown piece.
    """
    running = session.get(RunningTimer, ONLY_TIMER)
    if running is not None:
        if (running.piece_id, running.activity) == (piece_id, activity):
            return running
        raise TimerIsRunning(f"The clock is running already, for {ACTIVITY_WORDS[running.activity].lower()}.")
    if piece_id is not None:
        counting_piece(session, piece_id)
    timer = RunningTimer(id=ONLY_TIMER, piece_id=piece_id, activity=activity, started_at=now)
    session.add(timer)
    session.flush()
    return timer


def stop_timer(session: Session, *, zone: str, now: datetime) -> TimeEntry | None:
    """Stop the clock and write its minutes down on the day it was started in `zone`; None when none runs.

    A begun minute counts as a whole one. Refuses a run of over 16 hours (RanTooLong) and a day that would
    hold more than 24 (DayIsFull); the clock then runs on until the owner says how long it was.
    """
    timer = session.get(RunningTimer, ONLY_TIMER)
    if timer is None:
        return None
    minutes = whole_minutes(timer.started_at, now)
    require_usual_run(minutes)
    return _write_down(session, timer, minutes, zone=zone, ended_at=now, now=now)


def stop_timer_after(session: Session, *, minutes: int, zone: str, now: datetime) -> TimeEntry | None:
    """Stop a clock that ran on, and write down the minutes really worked; None when none runs.

    Refuses more minutes than it ran (RuleError) and a day that would hold more than 24 hours (DayIsFull).
    """
    timer = session.get(RunningTimer, ONLY_TIMER)
    if timer is None:
        return None
    require_within_run(minutes, whole_minutes(timer.started_at, now))
    return _write_down(session, timer, minutes, zone=zone, ended_at=None, now=now)


def switch_timer(
    session: Session, *, piece_id: int | None, activity: Activity, zone: str, now: datetime
) -> RunningTimer:
    """Stop the clock that runs, as `stop_timer` does, and start this one; both or neither.

    Switching to what runs already changes nothing.
    """
    running = session.get(RunningTimer, ONLY_TIMER)
    if running is None or (running.piece_id, running.activity) != (piece_id, activity):
        stop_timer(session, zone=zone, now=now)
    return start_timer(session, piece_id=piece_id, activity=activity, now=now)


def drop_timer(session: Session) -> bool:
    """Let a clock that was started by mistake go without an entry; whether one ran."""
    timer = session.get(RunningTimer, ONLY_TIMER)
    if timer is None:
        return False
    session.delete(timer)
    session.flush()
    return True


def add_time(session: Session, new: NewTime, *, capture_id: str, now: datetime) -> TimeEntry:
    """Write work down as it was typed.

    A capture id seen before gives the entry that is there. Refuses impossible minutes, a day in the future,
    one before both the piece and the books begin (RuleError), and a day that would hold more than 24 hours
    (DayIsFull); raises NotFound for an unknown piece.
    """
    require_capture_id(capture_id)
    there = session.scalars(select(TimeEntry).where(TimeEntry.capture_id == capture_id)).first()
    if there is not None:
        return there
    shop = shop_facts(session)
    begins = [shop.started_on] if shop else []
    piece = None if new.piece_id is None else counting_piece(session, new.piece_id)
    if piece is not None and shop is not None:
        begins.append(piece.sourced_on)
    require_sound(new, today=local_day(now, shop.time_zone if shop else "UTC"), earliest=min(begins, default=None))
    require_room_in_day(new.on_date, _minutes_on(session, new.on_date), new.minutes)
    entry = TimeEntry(
        capture_id=capture_id,
        piece_id=new.piece_id,
        activity=new.activity,
        on_date=new.on_date,
        minutes=new.minutes,
        note=new.note,
        made_at=now,
    )
    session.add(entry)
    session.flush()
    return entry


def strike_time(session: Session, entry_id: int, *, reason: str, now: datetime) -> TimeEntry:
    """Strike an entry out with a reason: it counts no more and stays in sight.

    Refuses an entry struck out before (AlreadyStruck) and an empty or overlong reason (RuleError); raises NotFound.
    """
    entry = session.get(TimeEntry, entry_id)
    if entry is None:
        raise NotFound("time entry")
    require_not_struck("entry", entry.struck_reason)
    entry.struck_reason = reason_to_keep(reason)
    entry.struck_at = now
    session.flush()
    return entry


def _write_down(
    session: Session, timer: RunningTimer, minutes: int, *, zone: str, ended_at: datetime | None, now: datetime
) -> TimeEntry:
    on_date = local_day(timer.started_at, zone)
    require_room_in_day(on_date, _minutes_on(session, on_date), minutes)
    entry = TimeEntry(
        capture_id=str(uuid4()),
        piece_id=timer.piece_id,
        activity=timer.activity,
        on_date=on_date,
        minutes=minutes,
        started_at=timer.started_at,
        ended_at=ended_at,
        note="",
        made_at=now,
    )
    session.add(entry)
    session.delete(timer)
    session.flush()
    return entry


def _minutes_on(session: Session, on_date: date) -> int:
    counted = select(func.sum(TimeEntry.minutes)).where(TimeEntry.on_date == on_date, TimeEntry.struck_at.is_(None))
    return session.scalar(counted) or 0
