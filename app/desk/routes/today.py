"""Today: what runs, what waits, what the month has brought so far."""

from babel.dates import format_date
from flask import render_template
from flask.typing import ResponseReturnValue

from app.basics import clock
from app.desk.queries import today_sheet
from app.desk.routes.blueprint import bp
from app.timelog.rules import minutes_run
from app.web.frame import frame, ledger

SITTING_SHOWN = 4
"""How many of the pieces that sit too long Today names; the books name all."""


@bp.get("/")
def today() -> ResponseReturnValue:
    day = frame().today
    with ledger().reading() as session:
        sheet = today_sheet(session, day, too_long_days=frame().sits_too_long_days)
    return render_template(
        "desk/today.html",
        sheet=sheet,
        sitting_shown=SITTING_SHOWN,
        ran=minutes_run(sheet.timer.started_at, clock.now()) if sheet.timer else 0,
        day_words=format_date(day, "EEEE, d MMMM", locale=frame().locale),
        month_name=format_date(day, "MMMM", locale=frame().locale),
    )
