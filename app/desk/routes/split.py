"""Split a set into parts that go their own ways."""

from flask import render_template, request, url_for
from flask.typing import ResponseReturnValue

from app.basics import clock
from app.desk import actions
from app.desk.forms.rows import rows_from_request, wishes_more
from app.desk.forms.split import SplitForm, as_filled_in
from app.desk.queries import set_sheet
from app.desk.routes.blueprint import bp
from app.desk.rules import one_each
from app.web.frame import ledger
from app.web.saving import save


@bp.route("/pieces/<tag>/split", methods=["GET", "POST"])
def split(tag: str) -> ResponseReturnValue:
    with ledger().reading() as session:
        sheet = set_sheet(session, tag)
    shown = one_each(sheet.piece.title, sheet.piece.count)
    form = rows_from_request(SplitForm, least=len(shown), data=as_filled_in(shown), version=str(sheet.piece.version))

    def again() -> str:
        return render_template("desk/split.html", form=form, sheet=sheet, piece=sheet.piece)

    if request.method == "GET" or wishes_more():
        return again()
    return save(
        form,
        lambda session: actions.split_set(session, sheet.piece.id, form.wished(), now=clock.now()),
        to=lambda _pieces: url_for("desk.sheet", tag=sheet.piece.tag),
        again=again,
        done=lambda pieces: f"Split. Write on tape: {', '.join(piece.tag for piece in pieces)}.",
    )
