"""Work a finish off step by step: begin, done, left out, put back, and wait longer."""

from dataclasses import dataclass
from datetime import date, datetime, timedelta
from uuid import NAMESPACE_OID, uuid5

from sqlalchemy import delete, select
from sqlalchemy.orm import Session

from app.basics.dates import local_day
from app.basics.errors import RuleError
from app.basics.quantities import format_minutes
from app.basics.striking import reason_to_keep
from app.basics.words import LINE_LIMIT
from app.pieces.actions.ground import counting_piece, the_shop
from app.pieces.rules import line_of, require_on_hand
from app.recipes.actions.finishes import settle_finish
from app.recipes.actions.ground import steps_in_order, the_finish, the_step, words_of
from app.recipes.models import FinishOverrule, FinishStep, StepTime
from app.recipes.queries.checks import checks_before
from app.recipes.queries.finish_rows import FinishSheet
from app.recipes.queries.finishes import finish_by_id, step_in
from app.recipes.queries.labels import label_of
from app.recipes.queries.steps import facts_of_step
from app.recipes.queries.times import clock_on_step, entries_since
from app.recipes.rules import (
    NO_LABEL,
    TASK_ACTIVITIES,
    Air,
    CheckStops,
    DoneFacts,
    StepState,
    done_instant,
    drying_of,
    parts_meet,
    require_air,
    require_in_turn,
    require_not_over,
    require_ready_at,
    require_under_way,
)
from app.shelf.actions import strike_use, use_material
from app.shelf.models import ShelfUse
from app.shelf.rules import NewUse
from app.timelog.actions import add_time, drop_timer, start_timer, stop_timer, strike_time
from app.timelog.models import TimeEntry
from app.timelog.rules import LONGEST_RUN_MINUTES, NewTime, require_minutes

LONGEST_GO = timedelta(minutes=LONGEST_RUN_MINUTES)
WHY_LEFT_OUT = "Say why it is left out; a few words will do."


def begin_step(
    session: Session,
    step_id: int,
    *,
    because: str = "",
    air: Air | None = None,
    version: int | None = None,
    now: datetime,
) -> FinishStep:
    """Begin a step: the clock runs for its piece, one that ran for something else is stopped and written down.

    `air` is that of the room, where it was read. `because` says why each check that says stop does not hold here; it
    is kept with the finish. Refuses a step that is over, one out of turn (NotNow), a piece that is not here, a check
    that says stop without `because` (CheckStops at "because"), and a clock forgotten for over 16 hours (RanTooLong);
    raises StaleEdit, NotFound.
    """
    step = the_step(session, step_id, version)
    require_not_over(step.state)
    _require_workable(session, step)
    if air is not None:
        require_air(air.temp_tenths, air.humidity)
        step.temp_tenths, step.humidity = air.temp_tenths, air.humidity
    _overrule(session, finish_by_id(session, step.finish_id), step, because, air=air, now=now)
    if step.state is StepState.WAITING:
        # Whatever ran is written down first: the minutes before it was begun are none of the step's own.
        stop_timer(session, zone=the_shop(session).time_zone, now=now)
        step.state, step.started_at = StepState.STARTED, now
        session.flush()
        piece_id = the_finish(session, step.finish_id).piece_id
        start_timer(session, piece_id=piece_id, activity=TASK_ACTIVITIES[step.task], now=now)
    return step


def finish_step(
    session: Session,
    step_id: int,
    done: DoneFacts,
    *,
    because: str = "",
    version: int | None = None,
    capture_id: str,
    agreed: str | None = None,
    now: datetime,
) -> FinishStep:
    """Say that a step is done: its minutes are written down, its material leaves the shelf, its drying begins.

    Minutes the clock wrote down since it was begun count; the rest of `done.minutes` is written down on the day it
    was done. What the clock runs for it is part of `done.minutes`. `agreed` as `use_material`. Refuses what
    `begin_step` refuses where it was not begun, fewer minutes than the clock wrote down (RuleError at "minutes"), a
    time to come or before it was begun ("ended"), air nobody works in, and what the shelf and the log refuse.
    """
    step = the_step(session, step_id, version)
    require_not_over(step.state)
    require_air(done.temp_tenths, done.humidity)
    done_at = done_instant(done.done_at, step.started_at, now)
    if step.state is StepState.WAITING:
        _require_workable(session, step)
        sheet = finish_by_id(session, step.finish_id)
        _require_after(sheet, step, done_at)
        air = None if done.temp_tenths is None or done.humidity is None else Air(done.temp_tenths, done.humidity)
        _overrule(session, sheet, step, because, air=air, now=done_at)
    used_on = local_day(done_at, the_shop(session).time_zone)
    piece_id = the_finish(session, step.finish_id).piece_id
    work = _Work(session, step, piece_id, _worked_on(session, step, done_at), used_on, capture_id, now)
    work.write_minutes(done.minutes)
    if done.used_milli is not None:
        work.take_material(done.used_milli, agreed)
    _let_dry(session, step, done_at)
    if done.temp_tenths is not None or done.humidity is not None:
        step.temp_tenths, step.humidity = done.temp_tenths, done.humidity
    step.done_note = line_of(done.note, LINE_LIMIT, "note")
    session.flush()
    settle_finish(session, step.finish_id, now=now)
    return step


def leave_out(session: Session, step_id: int, *, reason: str, version: int | None, now: datetime) -> FinishStep:
    """Leave a step out, with the reason. Refuses one that is begun or over (NotNow); raises StaleEdit, NotFound."""
    step = the_step(session, step_id, version)
    if step.state is StepState.STARTED:
        raise RuleError("It is begun. Say that it is done, or put it back first.")
    require_not_over(step.state)
    require_under_way(the_finish(session, step.finish_id).state)
    step.done_note = reason_to_keep(reason, WHY_LEFT_OUT)
    step.state = StepState.LEFT_OUT
    session.flush()
    settle_finish(session, step.finish_id, now=now)
    return step


def put_back(session: Session, step_id: int, *, reason: str, version: int | None, now: datetime) -> FinishStep:
    """Make a step that was begun, done or left out by mistake one to do again: its time and its use are struck out.

    Refuses a step after which another on its part was begun (RuleError), no reason, and what striking out refuses: a
    use in a closed month; raises StaleEdit, NotFound.
    """
    step = the_step(session, step_id, version)
    if step.state is StepState.WAITING:
        raise RuleError("This step was not begun yet.")
    kept = reason_to_keep(reason)
    _require_none_after(session, step)
    piece_id = the_finish(session, step.finish_id).piece_id
    written = [entry.id for entry in entries_since(session, step, piece_id)] if step.state is StepState.STARTED else []
    if clock_on_step(session, step, piece_id) is not None:
        drop_timer(session)
    for entry_id in [*written, *_linked_entries(session, step.id)]:
        strike_time(session, entry_id, reason=kept, now=now)
    if step.use_id is not None and session.get_one(ShelfUse, step.use_id).struck_at is None:
        strike_use(session, step.use_id, reason=kept, now=now)
    # What was overruled was about that time: done again, it is asked again.
    session.execute(delete(FinishOverrule).where(FinishOverrule.step_id == step.id))
    step.state, step.done_note, step.use_id, step.used_milli = StepState.WAITING, "", None, None
    step.started_at = step.done_at = step.ready_at = step.closes_at = step.cured_at = None
    session.flush()
    settle_finish(session, step.finish_id, now=now)
    return step


def wait_longer(
    session: Session, step_id: int, *, ready_at: datetime, version: int | None, now: datetime
) -> FinishStep:
    """Say from when the next coat may really go on over a step that is done: still tacky, or dry before its time.

    Refuses a step that is not done (RuleError), and a time before it was done or beyond a year ("ready"); raises
    StaleEdit, NotFound.
    """
    step = the_step(session, step_id, version)
    if step.state is not StepState.DONE or step.done_at is None:
        raise RuleError("This step is not done yet.")
    require_ready_at(ready_at, step.done_at, now)
    moved = ready_at - (step.ready_at or ready_at)
    step.ready_at = ready_at
    step.closes_at = None if step.closes_at is None else max(step.closes_at, step.closes_at + moved)
    step.cured_at = None if step.cured_at is None else max(step.cured_at, step.cured_at + moved)
    session.flush()
    return step


@dataclass(frozen=True)
class _Work:
    """One step being ended: what is written down for it, and on which days it was worked and its material used."""

    session: Session
    step: FinishStep
    piece_id: int
    on_date: date
    used_on: date
    capture_id: str
    now: datetime

    def write_minutes(self, minutes: int) -> None:
        """Link what the clock wrote down since the step was begun, and write the rest down."""
        require_minutes(minutes)
        logged = entries_since(self.session, self.step, self.piece_id)
        there = sum(entry.minutes for entry in logged)
        if minutes < there:
            raise RuleError(
                f"The clock wrote down {format_minutes(there)} for it already. Type at least that, or strike it out"
                " under the time of the piece first.",
                "minutes",
            )
        if clock_on_step(self.session, self.step, self.piece_id) is not None:
            drop_timer(self.session)
        ids = [entry.id for entry in logged]
        if minutes > there:
            ids.append(self._add(minutes - there))
        self.session.add_all(StepTime(time_entry_id=entry_id, step_id=self.step.id) for entry_id in ids)

    def _add(self, minutes: int) -> int:
        new = NewTime(self.piece_id, TASK_ACTIVITIES[self.step.task], self.on_date, minutes, note="")
        return add_time(self.session, new, capture_id=self._own_id("time"), now=self.now).id

    def take_material(self, milli: int, agreed: str | None) -> None:
        """Take what was used off the shelf."""
        if self.step.material_id is None:
            raise RuleError("This step names no material of the shelf, so nothing can be taken off it.", "quantity")
        new = NewUse(self.step.material_id, self.piece_id, milli, self.used_on)
        use = use_material(self.session, new, capture_id=self._own_id("use"), agreed=agreed, now=self.now)
        self.step.use_id, self.step.used_milli = use.id, milli

    def _own_id(self, what: str) -> str:
        """A capture id that the same form always gives, so that what is sent twice is written once."""
        return str(uuid5(NAMESPACE_OID, f"{self.capture_id} {what}"))


def _require_workable(session: Session, step: FinishStep) -> None:
    finish = the_finish(session, step.finish_id)
    require_under_way(finish.state)
    piece = counting_piece(session, finish.piece_id)
    require_on_hand(piece.stage, piece.left_as)
    steps = steps_in_order(session, step.finish_id)
    require_in_turn(steps, steps.index(step), words_of(steps))


def _overrule(
    session: Session, finish: FinishSheet, step: FinishStep, because: str, *, air: Air | None, now: datetime
) -> None:
    """Keep why each check that says stop does not hold here; refuse one without words (CheckStops)."""
    checks = checks_before(session, finish, step_in(finish, step.id), now, air)
    if not checks.stops:
        return
    try:
        note = reason_to_keep(
            because, f"{checks.stops[0].words} To begin all the same, say why that does not hold here."
        )
    except RuleError as refusal:
        raise CheckStops(refusal.message, "because") from refusal
    session.add_all(
        FinishOverrule(finish_id=finish.id, step_id=step.id, rule=stop.rule, note=note, made_at=now)
        for stop in checks.stops
    )
    session.flush()


def _require_after(finish: FinishSheet, step: FinishStep, done_at: datetime) -> None:
    """Refuse to have been done before what it goes over was, at "ended" (RuleError)."""
    under = [each.done_at for each in finish.before(step_in(finish, step.id)) if each.done_at is not None]
    if under and done_at < max(under):
        raise RuleError("What it goes over was done after that. Say when it was really done.", "ended")


def _worked_on(session: Session, step: FinishStep, done_at: datetime) -> date:
    """The day the work counts on: that on which it was begun where the clock ran for it, else that of its end."""
    began = step.started_at if step.state is StepState.STARTED and step.started_at else done_at
    is_one_go = done_at - began < LONGEST_GO
    return local_day(began if is_one_go else done_at, the_shop(session).time_zone)


def _let_dry(session: Session, step: FinishStep, done_at: datetime) -> None:
    label = NO_LABEL if step.material_id is None else label_of(session, step.material_id)
    drying = drying_of(facts_of_step(step), label)
    step.state, step.done_at = StepState.DONE, done_at
    step.started_at = step.started_at or done_at
    step.ready_at = drying.ready_at(done_at)
    step.closes_at = drying.closes_at(done_at)
    step.cured_at = done_at + timedelta(minutes=drying.cure)


def _linked_entries(session: Session, step_id: int) -> list[int]:
    query = select(TimeEntry.id).join(StepTime, StepTime.time_entry_id == TimeEntry.id)
    return list(session.scalars(query.where(StepTime.step_id == step_id, TimeEntry.struck_at.is_(None))))


def _require_none_after(session: Session, step: FinishStep) -> None:
    steps = steps_in_order(session, step.finish_id)
    for after in steps[steps.index(step) + 1 :]:
        if after.state in {StepState.STARTED, StepState.DONE} and parts_meet(after.reach, step.reach):
            words = facts_of_step(after).words
            raise RuleError(f"A step after it was begun: {words}. Put that back first.")
