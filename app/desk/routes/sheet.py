"""A piece's sheet: where it stands, the one obvious next act, its figures, its facts, its history."""

from uuid import uuid4

from flask import render_template, request
from flask.typing import ResponseReturnValue

from app.basics import clock
from app.desk.queries import piece_sheet
from app.desk.routes.blueprint import bp
from app.desk.routes.faces import facts_of, history_items, joint_rail_of
from app.desk.rules import likely_activity
from app.timelog.rules import ACTIVITY_WORDS, minutes_run
from app.web.frame import frame, ledger


@bp.get("/pieces/<tag>")
def sheet(tag: str) -> ResponseReturnValue:
    now = clock.now()
    with ledger().reading() as session:
        found = piece_sheet(session, tag, today=frame().today, zone=frame().zone)
    return render_template(
        "desk/sheet.html",
        sheet=found,
        piece=found.piece,
        rail=joint_rail_of(found),
        facts_shown=facts_of(found),
        history_shown=history_items(found.history),
        activities=ACTIVITY_WORDS,
        likely=likely_activity(found.piece.stage, found.last_work.activity if found.last_work else None),
        ran=minutes_run(found.timer.started_at, now) if found.timer else 0,
        now=now,
        work=found.next_work(now),
        is_new="new" in request.args,
        step_token=str(uuid4()),
    )
