"""Pages of the work in hand: the bench itself, the same as CSV, and the times of drying for a calendar."""

from zoneinfo import ZoneInfo

from flask import flash, redirect, render_template, request, url_for
from flask.typing import ResponseReturnValue

from app.basics import clock
from app.basics.csv_out import Cell
from app.bench.formats import write_calendar
from app.bench.queries import BenchCard, BenchSheet, bench_sheet, drying_in_hand
from app.bench.routes.blueprint import bp
from app.bench.rules import BENCH_ORDER_WORDS, order_asked_for
from app.timelog.rules import ACTIVITY_WORDS
from app.web.frame import frame, ledger
from app.web.saving import SEE_OTHER
from app.web.takeaway import calendar_answer, csv_answer

HEADER = (
    "Tag",
    "Piece",
    "Form",
    "How many",
    "Stage",
    "At this stage since",
    "Days at this stage",
    "Found on",
    "Days here",
    "Minutes",
    "Last work",
    "Last worked on",
    "Next",
    "Next step",
    "Ready at",
)


@bp.get("/bench")
def bench() -> ResponseReturnValue:
    now = clock.now()
    return render_template(
        "bench/bench.html",
        sheet=_sheet(),
        now=now,
        order=order_asked_for(request.args.get("sort")),
        orders=BENCH_ORDER_WORDS,
        activity_words=ACTIVITY_WORDS,
    )


@bp.get("/bench.csv")
def bench_csv() -> ResponseReturnValue:
    return csv_answer("bench.csv", HEADER, [_cells(card) for card in _sheet().cards])


@bp.get("/bench/ready.ics")
def ready() -> ResponseReturnValue:
    now = clock.now()
    with ledger().reading() as session:
        drying = drying_in_hand(session, now)
    if not drying:
        flash("Nothing is drying now, so there is no time to put into a calendar.")
        return redirect(url_for("bench.bench"), SEE_OTHER)
    return calendar_answer("ready.ics", write_calendar(drying, now=now))


def _sheet() -> BenchSheet:
    with ledger().reading() as session:
        return bench_sheet(session, clock.now(), frame().today, order_asked_for(request.args.get("sort")))


def _cells(card: BenchCard) -> list[Cell]:
    piece, work, ready_at = card.piece, card.last_work, card.ready_at
    return [
        piece.tag,
        piece.name,
        piece.form_words,
        piece.count,
        piece.stage.value.capitalize(),
        piece.stage_since,
        card.days_at_stage,
        piece.sourced_on,
        card.days_here,
        card.minutes,
        ACTIVITY_WORDS[work.activity] if work else "",
        work.on_date if work else None,
        piece.next_note,
        card.next_step,
        f"{ready_at.astimezone(ZoneInfo(frame().zone)):%Y-%m-%d %H:%M}" if ready_at else "",
    ]
