"""What is owned already when the books begin."""

from flask import render_template, request, url_for
from flask.typing import ResponseReturnValue

from app.basics import clock
from app.desk import actions
from app.desk.forms.own import OwnForm
from app.desk.forms.rows import rows_from_request, wishes_more
from app.desk.queries import owned_at_start
from app.desk.routes.blueprint import bp
from app.floor.queries import channels
from app.web.frame import frame, ledger
from app.web.saving import save


@bp.route("/start/own", methods=["GET", "POST"])
def own() -> ResponseReturnValue:
    started_on = frame().started_on or frame().today
    with ledger().reading() as session:
        entered, offered = owned_at_start(session), channels(session)
    form = rows_from_request(OwnForm, least=OwnForm.rows_once_entered if entered else None)
    form.offer("channels", [(str(channel.id), channel.name) for channel in offered])

    def again() -> str:
        return render_template("desk/own.html", form=form, started_on=started_on, entered=entered)

    if request.method == "GET" or wishes_more():
        return again()
    return save(
        form,
        lambda session: actions.enter_owned_pieces(session, form.owned(), **form.where(), now=clock.now()),
        to=lambda _pieces: url_for("desk.own"),
        again=again,
        done=lambda pieces: f"{len(pieces)} entered: {', '.join(piece.tag for piece in pieces)}.",
    )
