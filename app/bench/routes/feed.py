"""The times of drying at the secret address of a phone's calendar."""

from flask import abort
from flask.typing import ResponseReturnValue

from app.access.queries import calendar_is_open
from app.basics import clock
from app.bench.formats import write_calendar
from app.bench.queries import drying_in_hand
from app.bench.routes.blueprint import bp
from app.web.frame import ledger
from app.web.takeaway import calendar_answer


@bp.get("/calendar/<secret>.ics")
def feed(secret: str) -> ResponseReturnValue:
    now = clock.now()
    with ledger().reading() as session:
        if not calendar_is_open(session, secret, now):
            abort(404)
        drying = drying_in_hand(session, now)
    return calendar_answer("ready.ics", write_calendar(drying, now=now))
