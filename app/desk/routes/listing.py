"""Put right the day a piece went on the floor."""

from flask import render_template, request, url_for
from flask.typing import ResponseReturnValue

from app.basics import clock
from app.desk.forms.listing import ListedOnForm
from app.desk.routes.blueprint import bp
from app.floor.actions import correct_listed_on
from app.floor.queries import listings_of
from app.pieces.queries import piece_by_tag
from app.web.frame import ledger
from app.web.saving import save


@bp.route("/pieces/<tag>/listed-on", methods=["GET", "POST"])
def listed_on(tag: str) -> ResponseReturnValue:
    with ledger().reading() as session:
        piece = piece_by_tag(session, tag)
        spells = listings_of(session, piece.id)
    newest = spells[-1] if spells else None
    form = ListedOnForm.from_request(obj=newest, version=str(piece.version))

    def again() -> str:
        return render_template("desk/listed_on.html", form=form, piece=piece, listing=newest)

    if request.method == "GET":
        return again()
    day, version = form.listed_on.data, form.version_number
    return save(
        form,
        lambda session: correct_listed_on(session, piece.id, day, version=version, now=clock.now()),
        to=lambda _listing: url_for("desk.sheet", tag=piece.tag),
        again=again,
        done="The day is put right.",
    )
