"""Pages of the bench: what is in hand, and the same as CSV."""

from flask import Blueprint, render_template, request
from flask.typing import ResponseReturnValue

from app.basics.csv_out import Cell
from app.bench.queries import BenchCard, bench_cards, by_stage
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
    return csv_answer("bench.csv", HEADER, (_cells(card) for card in cards))


def _cells(card: BenchCard) -> list[Cell]:
    piece, work = card.piece, card.last_work
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
    ]
