"""The clock, typed work, striking out, and reading it back."""

from concurrent.futures import ThreadPoolExecutor
from datetime import date, datetime, timedelta

import pytest
from sqlalchemy import event
from sqlalchemy.orm import Session

from app.basics.errors import NotFound, RuleError
from app.basics.striking import AlreadyStruck
from app.database.unit_of_work import Ledger
from app.pieces.actions import leave, split_off
from app.pieces.rules import Leaving, SplitPart, Stage
from app.shop.rules import ShopFacts
from app.timelog.actions import (
    add_time,
    drop_timer,
    start_timer,
    stop_timer,
    stop_timer_after,
    strike_time,
    switch_timer,
)
from app.timelog.queries import (
    WorkRow,
    counted_minutes,
    first_day_worked,
    last_work,
    minutes_of,
    moved_minutes,
    pieces_in_hand,
    running_timer,
    time_by_id,
    times_between,
    times_of,
    week_of,
)
from app.timelog.rules import Activity, DayIsFull, NewTime, RanTooLong, TimerIsRunning
from tests.builders.pieces import a_piece, an_owned_piece
from tests.builders.timelog import a_time

ZONE = "America/Denver"
TODAY = date(2026, 11, 25)


def test_the_clock_runs_until_it_is_stopped(session: Session, now: datetime) -> None:
    piece = a_piece(session, title="Oak chest")
    start_timer(session, piece_id=piece.id, activity=Activity.SANDING, now=now)
    timer = running_timer(session)
    assert timer is not None
    assert (timer.piece_tag, timer.piece_name, timer.activity_words) == (piece.tag, "Oak chest", "Sanding")
    entry = stop_timer(session, zone=ZONE, now=now + timedelta(minutes=64, seconds=1))
    assert entry is not None
    row = time_by_id(session, entry.id)
    assert (row.minutes, row.on_date, row.activity, row.piece_id) == (65, TODAY, Activity.SANDING, piece.id)
    assert (row.started_at, row.ended_at) == (now, now + timedelta(minutes=64, seconds=1))
    assert running_timer(session) is None


def test_starting_twice_is_starting_once(session: Session, now: datetime) -> None:
    start_timer(session, piece_id=None, activity=Activity.SOURCING, now=now)
    again = start_timer(session, piece_id=None, activity=Activity.SOURCING, now=now + timedelta(seconds=1))
    assert again.started_at == now


def test_stopping_twice_writes_down_once(session: Session, now: datetime) -> None:
    piece = a_piece(session)
    start_timer(session, piece_id=piece.id, activity=Activity.SANDING, now=now)
    assert stop_timer(session, zone=ZONE, now=now) is not None
    assert stop_timer(session, zone=ZONE, now=now) is None
    assert len(times_of(session, piece.id)) == 1


def test_a_second_clock_is_refused(session: Session, now: datetime) -> None:
    one, other = a_piece(session), a_piece(session)
    start_timer(session, piece_id=one.id, activity=Activity.SANDING, now=now)
    for piece_id, activity in ((other.id, Activity.SANDING), (one.id, Activity.REPAIR), (None, Activity.SANDING)):
        with pytest.raises(TimerIsRunning, match="running already, for sanding"):
            start_timer(session, piece_id=piece_id, activity=activity, now=now)


def test_a_clock_on_a_piece_that_is_not_there_is_refused(session: Session, now: datetime) -> None:
    with pytest.raises(NotFound):
        start_timer(session, piece_id=99, activity=Activity.SANDING, now=now)


def test_work_over_midnight_counts_on_the_day_it_was_started(session: Session, now: datetime) -> None:
    # Eleven in the evening in the shop's zone is six in the morning of the next day in UTC.
    evening = now.replace(day=24, hour=6, minute=0)
    start_timer(session, piece_id=None, activity=Activity.FINISHING, now=evening)
    entry = stop_timer(session, zone=ZONE, now=evening + timedelta(hours=3))
    assert entry is not None
    assert (entry.on_date, entry.minutes) == (date(2026, 11, 23), 180)


def test_a_clock_that_ran_on_stays_until_the_owner_says_how_long_it_was(session: Session, now: datetime) -> None:
    later = now + timedelta(hours=19)
    start_timer(session, piece_id=None, activity=Activity.SANDING, now=now)
    with pytest.raises(RanTooLong, match="19 h"):
        stop_timer(session, zone=ZONE, now=later)
    with pytest.raises(RanTooLong):
        switch_timer(session, piece_id=None, activity=Activity.REPAIR, zone=ZONE, now=later)
    assert running_timer(session) is not None
    entry = stop_timer_after(session, minutes=150, zone=ZONE, now=later)
    assert entry is not None
    assert (entry.minutes, entry.on_date, entry.started_at, entry.ended_at) == (150, TODAY, now, None)
    assert running_timer(session) is None
    assert stop_timer_after(session, minutes=150, zone=ZONE, now=later) is None


def test_more_than_the_clock_ran_is_refused(session: Session, now: datetime) -> None:
    start_timer(session, piece_id=None, activity=Activity.SANDING, now=now)
    with pytest.raises(RuleError, match="cannot have been more"):
        stop_timer_after(session, minutes=1201, zone=ZONE, now=now + timedelta(hours=20))
    assert running_timer(session) is not None


def test_a_clock_does_not_overfill_its_day(session: Session, now: datetime) -> None:
    a_time(session, on_date=TODAY, minutes=23 * 60)
    start_timer(session, piece_id=None, activity=Activity.SANDING, now=now)
    with pytest.raises(DayIsFull, match="room for 1 h"):
        stop_timer(session, zone=ZONE, now=now + timedelta(minutes=61))
    assert running_timer(session) is not None
    assert stop_timer(session, zone=ZONE, now=now + timedelta(minutes=60)) is not None


def test_a_clock_started_by_mistake_can_be_dropped(session: Session, now: datetime) -> None:
    start_timer(session, piece_id=None, activity=Activity.SANDING, now=now)
    assert drop_timer(session)
    assert not drop_timer(session)
    assert running_timer(session) is None
    assert first_day_worked(session) is None


def test_switching_saves_the_one_and_starts_the_other(session: Session, now: datetime) -> None:
    one, other = a_piece(session), a_piece(session)
    start_timer(session, piece_id=one.id, activity=Activity.SANDING, now=now)
    later = now + timedelta(minutes=20)
    for _ in range(2):
        switch_timer(session, piece_id=other.id, activity=Activity.REPAIR, zone=ZONE, now=later)
    timer = running_timer(session)
    assert timer is not None
    assert (timer.piece_id, timer.activity, timer.started_at) == (other.id, Activity.REPAIR, later)
    assert minutes_of(session, [one.id, other.id]) == {one.id: 20}


def test_typed_work_is_written_down_as_it_was_said(session: Session) -> None:
    piece = a_piece(session)
    row = time_by_id(session, a_time(session, piece.id, note="two coats").id)
    assert (row.piece_tag, row.minutes, row.on_date, row.note) == (piece.tag, 45, date(2026, 11, 20), "two coats")
    assert (row.started_at, row.ended_at) == (None, None)


def test_the_same_capture_sent_twice_is_one_entry(session: Session, now: datetime) -> None:
    new = NewTime(None, Activity.SOURCING, TODAY, 30)
    first = add_time(session, new, capture_id="a-phone-1", now=now)
    assert add_time(session, new, capture_id="a-phone-1", now=now).id == first.id


def test_typed_work_does_not_overfill_a_day_until_something_is_struck_out(session: Session, now: datetime) -> None:
    wrong = a_time(session, minutes=23 * 60)
    a_time(session, minutes=60)
    with pytest.raises(DayIsFull):
        a_time(session, minutes=1)
    strike_time(session, wrong.id, reason="typed hours for minutes", now=now)
    a_time(session, minutes=1)


def test_work_in_the_future_of_the_shops_own_day_is_refused(session: Session, now: datetime) -> None:
    early = now.replace(hour=2)
    with pytest.raises(RuleError, match="has not come yet"):
        a_time(session, on_date=TODAY, now=early)


def test_work_on_an_owned_piece_may_be_older_than_the_books(session: Session) -> None:
    owned = an_owned_piece(session, sourced_on=date(2023, 11, 4))
    a_time(session, owned.id, on_date=date(2023, 11, 4))
    for piece_id in (owned.id, None, a_piece(session).id):
        with pytest.raises(RuleError, match="begin"):
            a_time(session, piece_id, on_date=date(2023, 11, 3))


def test_a_struck_entry_stays_in_sight_and_counts_no_more(session: Session, now: datetime) -> None:
    piece = a_piece(session)
    wrong, right = a_time(session, piece.id, minutes=450), a_time(session, piece.id)
    strike_time(session, wrong.id, reason="a slip", now=now)
    rows = times_of(session, piece.id)
    assert {row.id: row.struck_reason for row in rows} == {right.id: None, wrong.id: "a slip"}
    assert (counted_minutes(rows), minutes_of(session, [piece.id])) == (45, {piece.id: 45})
    with pytest.raises(AlreadyStruck):
        strike_time(session, wrong.id, reason="again", now=now)
    with pytest.raises(NotFound):
        strike_time(session, 99, reason="a slip", now=now)


def test_the_last_work_is_the_latest_that_counts(session: Session, now: datetime) -> None:
    piece, idle = a_piece(session), a_piece(session)
    a_time(session, piece.id, activity=Activity.FINISHING, on_date=date(2026, 11, 22))
    a_time(session, piece.id, activity=Activity.CLEANING, on_date=date(2026, 11, 21))
    wrong = a_time(session, piece.id, activity=Activity.REPAIR, on_date=date(2026, 11, 23))
    strike_time(session, wrong.id, reason="wrong piece", now=now)
    assert last_work(session, [piece.id, idle.id]) == {piece.id: WorkRow(Activity.FINISHING, date(2026, 11, 22))}


def test_minutes_move_with_the_parts_of_a_set(session: Session, now: datetime) -> None:
    chairs = a_piece(session, count=4)
    a_time(session, chairs.id, minutes=120)
    parts = [SplitPart("three chairs", 3, 3), SplitPart("one chair", 1, 1)]
    _, single = split_off(session, chairs.id, parts, cents=4000, minutes=120, on_date=TODAY, version=None, now=now)
    assert moved_minutes(session, [chairs.id, single.id]) == {chairs.id: -30, single.id: 30}
    assert minutes_of(session, [chairs.id, single.id]) == {chairs.id: 90, single.id: 30}


def test_a_week_is_read_by_day_the_newest_first(session: Session, now: datetime) -> None:
    a_time(session, on_date=date(2026, 11, 22))
    early = a_time(session, on_date=date(2026, 11, 23), minutes=30)
    a_time(session, on_date=date(2026, 11, 25), minutes=10)
    wrong = a_time(session, on_date=date(2026, 11, 25), minutes=20)
    strike_time(session, wrong.id, reason="a slip", now=now)
    days = week_of(session, date(2026, 11, 23))
    assert [(day.on_date, day.minutes, len(day.rows)) for day in days] == [
        (date(2026, 11, 25), 10, 2),
        (date(2026, 11, 23), 30, 1),
    ]
    assert days[1].rows[0].id == early.id
    assert first_day_worked(session) == date(2026, 11, 22)


def test_pieces_to_work_on_are_those_in_hand_and_the_one_asked_for(session: Session, now: datetime) -> None:
    kept = a_piece(session, title="Kept trunk")
    leave(session, kept.id, Leaving.KEPT, on_date=TODAY, reason="", version=None, now=now)
    bench = a_piece(session, title="bench", stage=Stage.PREPPED)
    chest = a_piece(session, title="Chest")
    assert pieces_in_hand(session) == [(bench.tag, "bench"), (chest.tag, "Chest")]
    assert (kept.tag, "Kept trunk") in pieces_in_hand(session, also=kept.tag.lower())


def test_sums_over_many_pieces_take_no_more_queries(session: Session) -> None:
    ids = [a_piece(session).id for _ in range(12)]
    for piece_id in ids:
        a_time(session, piece_id)
        a_time(session, piece_id, activity=Activity.REPAIR)
    asked: list[str] = []
    event.listen(session.connection(), "before_cursor_execute", lambda *said: asked.append(said[2]))
    assert len(minutes_of(session, ids)) == 12
    assert len(asked) == 3
    asked.clear()
    assert len(last_work(session, ids)) == 12
    assert len(asked) == 1


def test_two_browsers_stopping_at_once_write_down_once(ledger: Ledger, shop: ShopFacts, now: datetime) -> None:
    with ledger.writing() as session:
        start_timer(session, piece_id=None, activity=Activity.SANDING, now=now)

    def stop(_browser: int) -> bool:
        with ledger.writing() as session:
            return stop_timer(session, zone=shop.time_zone, now=now) is not None

    with ThreadPoolExecutor(6) as browsers:
        assert sorted(browsers.map(stop, range(6))) == [False] * 5 + [True]
    with ledger.reading() as session:
        assert len(times_between(session, TODAY, TODAY)) == 1
