"""Log several pieces bought for one price."""

from flask import render_template, request, url_for
from flask.typing import ResponseReturnValue

from app.basics import clock
from app.desk.forms.haul import HaulForm
from app.desk.forms.rows import rows_from_request, wishes_more
from app.desk.routes.blueprint import bp
from app.desk.routes.choices import source_choices
from app.pieces.actions import log_haul
from app.pieces.queries import sources
from app.web.frame import ledger
from app.web.saving import save


@bp.route("/find/haul", methods=["GET", "POST"])
def haul() -> ResponseReturnValue:
    with ledger().reading() as session:
        known = sources(session)
    form = rows_from_request(HaulForm).offer("source", source_choices(known))

    def again() -> str:
        return render_template("desk/haul.html", form=form)

    if request.method == "GET" or wishes_more():
        return again()
    return save(
        form,
        lambda session: log_haul(session, form.new_haul(), capture_id=form.submit_token.data or "", now=clock.now()),
        to=lambda made: url_for("pieces.haul", haul_id=made.id),
        again=again,
        done="Haul saved. Write each tag number on tape.",
    )
