"""Pages of the timelog room."""

from collections.abc import Callable, Iterator
from datetime import date, timedelta
from typing import TypeVar

from flask import Blueprint, Response, flash, redirect, render_template, request, url_for
from flask.typing import ResponseReturnValue

from app.basics import clock
from app.basics.csv_out import Cell
from app.basics.dates import parse_day
from app.basics.errors import RuleError
from app.basics.quantities import format_minutes
from app.database.unit_of_work import Session
from app.pieces.queries import piece_by_tag
from app.timelog import actions, queries
from app.timelog.forms import RanLongForm, StartForm, TimeForm, WorkForm
from app.timelog.queries import TimeRow, TimerRow
from app.timelog.rules import (
    ACTIVITY_WORDS,
    DAYS_IN_WEEK,
    DayIsFull,
    RanTooLong,
    TimerIsRunning,
    first_of_week,
    minutes_run,
)
from app.web.forms import StrikeForm
from app.web.frame import frame, ledger
from app.web.page import TimerStrip
from app.web.saving import SEE_OTHER, UNPROCESSABLE, local_path, save
from app.web.takeaway import csv_answer

T = TypeVar("T")

bp = Blueprint("timelog", __name__, template_folder="templates")

HEADER = ("Date", "Tag", "Piece", "Activity", "Minutes", "Note", "Started", "Ended", "Struck out because")
WEEK = timedelta(days=DAYS_IN_WEEK)


@bp.get("/time")
def log() -> ResponseReturnValue:
    return _log_page(_start_form())


@bp.get("/time.csv")
def log_csv() -> ResponseReturnValue:
    monday = _asked_week()
    with ledger().reading() as session:
        if monday is None:
            rows = queries.times_between(session, date.min, date.max)
        else:
            rows = queries.times_between(session, monday, monday + WEEK - timedelta(days=1))
    return _csv(f"time-{monday or 'all'}.csv", rows)


@bp.get("/pieces/<tag>/time")
def of_piece(tag: str) -> ResponseReturnValue:
    with ledger().reading() as session:
        piece = piece_by_tag(session, tag)
        rows = queries.times_of(session, piece.id)
        moved = queries.moved_minutes(session, [piece.id]).get(piece.id, 0)
    total = queries.counted_minutes(rows) + moved
    return render_template("timelog/of_piece.html", piece=piece, rows=rows, moved=moved, total=total)


@bp.get("/pieces/<tag>/time.csv")
def of_piece_csv(tag: str) -> ResponseReturnValue:
    with ledger().reading() as session:
        piece = piece_by_tag(session, tag)
        rows = queries.times_of(session, piece.id)
    return _csv(f"time-{piece.tag}.csv", rows)


@bp.route("/time/new", methods=["GET", "POST"])
def add() -> ResponseReturnValue:
    form = TimeForm.from_request(piece=request.args.get("piece"))
    _offer_work(form)

    def again() -> str:
        return render_template("timelog/add.html", form=form, back=_work_page(form.piece.data))

    if request.method == "GET":
        return again()
    token = form.submit_token.data or ""
    return save(
        form,
        lambda session: actions.add_time(
            session, form.new_time(_piece_id(session, form.piece.data)), capture_id=token, now=clock.now()
        ),
        to=lambda entry: _work_page(form.piece.data, entry.on_date),
        again=again,
        done=lambda entry: f"{format_minutes(entry.minutes)} saved.",
    )


@bp.post("/time/start")
def start() -> ResponseReturnValue:
    form = _start_form()
    if not form.validate():
        return _log_page(form), UNPROCESSABLE
    tag, activity = form.piece.data, form.chosen_activity
    onward = local_path(form.next.data, url_for("desk.sheet", tag=tag) if tag else url_for("timelog.log"))
    return _turn_clock(
        lambda session: actions.start_timer(
            session, piece_id=_piece_id(session, tag), activity=activity, now=clock.now()
        ),
        done=lambda _timer: "The clock runs.",
        onward=onward,
        instead=url_for("timelog.switch", piece=tag or None, activity=activity.value),
    )


@bp.post("/time/stop")
def stop() -> ResponseReturnValue:
    return _turn_clock(
        lambda session: actions.stop_timer(session, zone=frame().zone, now=clock.now()),
        done=lambda entry: (
            f"The clock is stopped: {format_minutes(entry.minutes)}." if entry else "The clock is stopped."
        ),
        onward=local_path(request.form.get("next"), url_for("timelog.log")),
    )


@bp.route("/time/switch", methods=["GET", "POST"])
def switch() -> ResponseReturnValue:
    form = _start_form() if request.method == "POST" else StartForm(request.args)
    if request.method == "GET":
        return _switch_page(form)
    if not form.validate():
        return _log_page(form), UNPROCESSABLE
    tag, activity = form.piece.data, form.chosen_activity
    return _turn_clock(
        lambda session: actions.switch_timer(
            session, piece_id=_piece_id(session, tag), activity=activity, zone=frame().zone, now=clock.now()
        ),
        done=lambda _timer: "The other clock is stopped and saved; this one runs.",
        onward=url_for("desk.sheet", tag=tag) if tag else url_for("timelog.log"),
    )


@bp.route("/time/ran-long", methods=["GET", "POST"])
def ran_long() -> ResponseReturnValue:
    form = RanLongForm.from_request()
    timer = _running()
    if timer is None:
        return redirect(url_for("timelog.log"), SEE_OTHER)
    if request.method == "GET":
        return _ran_long_page(form, timer)
    return save(
        form,
        lambda session: actions.stop_timer_after(
            session, minutes=form.minutes.data, zone=frame().zone, now=clock.now()
        ),
        to=lambda _entry: url_for("timelog.log"),
        again=lambda: _ran_long_page(form, timer),
        done="The clock is stopped; your own figure is saved.",
    )


@bp.post("/time/drop")
def drop() -> ResponseReturnValue:
    return _turn_clock(
        actions.drop_timer,
        done=lambda _ran: "The clock is dropped. No time was saved.",
        onward=url_for("timelog.log"),
    )


@bp.route("/time/<int:entry_id>/strike", methods=["GET", "POST"])
def strike(entry_id: int) -> ResponseReturnValue:
    with ledger().reading() as session:
        row = queries.time_by_id(session, entry_id)
    form = StrikeForm.from_request()
    back = _work_page(row.piece_tag, row.on_date)

    def again() -> str:
        return render_template("timelog/strike.html", form=form, row=row, back=back)

    if request.method == "GET":
        return again()
    return save(
        form,
        lambda session: actions.strike_time(session, entry_id, reason=form.reason.data, now=clock.now()),
        to=lambda _entry: back,
        again=again,
        done="The entry is struck out. It counts no more.",
    )


def timer_strip() -> TimerStrip | None:
    """The running clock, if one runs, as the strip at the head of each page shows it."""
    timer = _running()
    if timer is None:
        return None
    return TimerStrip(
        label=f"{timer.activity_words} · {timer.piece_name or 'for the shop'}",
        started_at_iso=timer.started_at.isoformat(),
        minutes=_ran(timer),
        href=url_for("timelog.log"),
    )


def _turn_clock(
    act: Callable[[Session], T], *, done: Callable[[T], str], onward: str, instead: str = ""
) -> ResponseReturnValue:
    """Do something with the clock; doing it twice is harmless, so no token is asked for."""
    try:
        with ledger().writing() as session:
            result = act(session)
    except TimerIsRunning:
        return redirect(instead, SEE_OTHER)
    except (RanTooLong, DayIsFull) as refusal:
        flash(refusal.message)
        return redirect(url_for("timelog.ran_long"), SEE_OTHER)
    flash(done(result))
    return redirect(onward, SEE_OTHER)


def _log_page(form: StartForm) -> str:
    monday = _asked_week() or first_of_week(frame().today)
    timer = _running()
    with ledger().reading() as session:
        days = queries.week_of(session, monday)
        first = queries.first_day_worked(session)
    return render_template(
        "timelog/log.html",
        form=form,
        timer=timer,
        ran=_ran(timer) if timer else 0,
        days=days,
        total=sum(day.minutes for day in days),
        monday=monday,
        sunday=monday + WEEK - timedelta(days=1),
        earlier=monday - WEEK if first is not None and first < monday else None,
        later=monday + WEEK if monday + WEEK <= frame().today else None,
    )


def _switch_page(form: StartForm) -> ResponseReturnValue:
    timer = _running()
    _offer_work(form)
    if timer is None or not form.validate():
        return redirect(url_for("timelog.log", piece=form.piece.data or None), SEE_OTHER)
    with ledger().reading() as session:
        piece = piece_by_tag(session, form.piece.data) if form.piece.data else None
    asked = f"{ACTIVITY_WORDS[form.chosen_activity]}, {f'{piece.name} {piece.tag}' if piece else 'for the shop'}"
    return render_template("timelog/switch.html", form=form, timer=timer, asked=asked, ran=_ran(timer))


def _ran_long_page(form: RanLongForm, timer: TimerRow) -> str:
    return render_template("timelog/ran_long.html", form=form, timer=timer, ran=_ran(timer))


def _running() -> TimerRow | None:
    with ledger().reading() as session:
        return queries.running_timer(session)


def _ran(timer: TimerRow) -> int:
    return minutes_run(timer.started_at, clock.now())


def _start_form() -> StartForm:
    form = StartForm.from_request(piece=request.args.get("piece"))
    _offer_work(form)
    return form


def _offer_work(form: WorkForm) -> None:
    with ledger().reading() as session:
        form.offer_work(queries.pieces_in_hand(session, also=form.piece.data))


def _piece_id(session: Session, tag: str | None) -> int | None:
    return piece_by_tag(session, tag).id if tag else None


def _work_page(tag: str | None, on_date: date | None = None) -> str:
    """Where an entry is seen: with its piece, or in its week."""
    if tag:
        return url_for("timelog.of_piece", tag=tag)
    return url_for("timelog.log", week=first_of_week(on_date) if on_date else None)


def _asked_week() -> date | None:
    try:
        return first_of_week(parse_day(request.args.get("week", "")))
    except RuleError:
        return None


def _csv(file_name: str, rows: list[TimeRow]) -> Response:
    return csv_answer(file_name, HEADER, _cells(rows))


def _cells(rows: list[TimeRow]) -> Iterator[list[Cell]]:
    for row in rows:
        work = (row.on_date, row.piece_tag, row.piece_name, row.activity_words, row.minutes, row.note)
        yield [*work, row.started_at, row.ended_at, row.struck_reason]
