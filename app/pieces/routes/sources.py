"""The kinds of places where pieces are found: the list, a new one, one renamed or put away."""

from flask import Response, render_template, url_for
from flask.typing import ResponseReturnValue

from app.database.unit_of_work import Session
from app.pieces import actions
from app.pieces.forms import SourceChangeForm, SourceForm
from app.pieces.models import Source
from app.pieces.queries import source_row
from app.pieces.routes.blueprint import bp
from app.pieces.routes.changing import all_sources, shown_or_saved
from app.web.frame import ledger
from app.web.takeaway import csv_answer


def _to_list(_source: Source) -> str:
    return url_for("pieces.sources")


@bp.route("/settings/sources", endpoint="sources", methods=["GET", "POST"])
def list_sources() -> ResponseReturnValue:
    form = SourceForm.from_request()

    def again() -> str:
        return render_template("pieces/sources.html", form=form, rows=all_sources())

    def act(session: Session) -> Source:
        return actions.add_source(session, form.name.data, is_free=form.is_free.data)

    return shown_or_saved(form, act, again=again, to=_to_list, done="Added.")


@bp.get("/settings/sources.csv")
def sources_csv() -> Response:
    rows = [
        [row.name, "yes" if row.is_free else "no", "yes" if row.is_put_away else "no", row.pieces]
        for row in all_sources()
    ]
    return csv_answer("sources.csv", ("Name", "Free", "Put away", "Pieces"), rows)


@bp.route("/settings/sources/<int:source_id>", methods=["GET", "POST"])
def source(source_id: int) -> ResponseReturnValue:
    with ledger().reading() as session:
        row = source_row(session, source_id)
    form = SourceChangeForm.from_request(obj=row)

    def again() -> str:
        return render_template("pieces/source.html", form=form, row=row)

    def act(session: Session) -> Source:
        said = {"name": form.name.data, "is_free": form.is_free.data, "is_put_away": form.is_put_away.data}
        return actions.correct_source(session, source_id, **said, version=form.version_number)

    return shown_or_saved(form, act, again=again, to=_to_list, done="Saved.")
