"""Pages of the bench: what is in hand, and the same as CSV."""

from flask import Blueprint, render_template, request
from flask.typing import ResponseReturnValue

from app.bench.queries import bench_cards, by_stage
from app.bench.rules import BENCH_ORDER_WORDS, order_asked_for
from app.timelog.rules import ACTIVITY_WORDS
from app.web.frame import frame, ledger
from app.web.takeaway import csv_answer

bp = Blueprint("bench", __name__, template_folder="templates")

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
)


@bp.get("/bench")
def bench() -> ResponseReturnValue:
    order = order_asked_for(request.args.get("sort"))
    with ledger().reading() as session:
        cards = bench_cards(session, frame().today, order)
    return render_template(
        "bench/bench.html",
        groups=by_stage(cards),
        number=len(cards),
        order=order,
        orders=BENCH_ORDER_WORDS,
        activity_words=ACTIVITY_WORDS,
    )


@bp.get("/bench.csv")
def bench_csv() -> ResponseReturnValue:
    with ledger().reading() as session:
        cards = bench_cards(session, frame().today, order_asked_for(request.args.get("sort")))
    rows = (
        (
            card.piece.tag,
            card.piece.name,
            card.piece.form_words,
            card.piece.count,
            card.piece.stage.value.capitalize(),
            card.piece.stage_since,
            card.days_at_stage,
            card.piece.sourced_on,
            card.days_here,
            card.minutes,
            ACTIVITY_WORDS[card.last_work.activity] if card.last_work else "",
            card.last_work.on_date if card.last_work else None,
            card.piece.next_note,
        )
        for card in cards
    )
    return csv_answer("bench.csv", HEADER, rows)
