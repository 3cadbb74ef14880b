"""The page on which a piece is looked over."""

from flask import render_template, request, url_for
from flask.typing import ResponseReturnValue

from app.basics import clock
from app.pieces.queries import piece_by_tag
from app.recipes import actions, queries
from app.recipes.forms import SurfaceForm
from app.recipes.routes.blueprint import bp
from app.web.frame import ledger
from app.web.saving import save


@bp.route("/pieces/<tag>/surface", methods=["GET", "POST"])
def surface(tag: str) -> ResponseReturnValue:
    with ledger().reading() as session:
        piece = piece_by_tag(session, tag)
        row = queries.surface_of(session, piece.id)
    form = SurfaceForm.given(row.surface, row.version)

    def again() -> str:
        return render_template("recipes/surface.html", form=form, piece=piece)

    if request.method == "GET":
        return again()
    return save(
        form,
        lambda session: actions.look_over(
            session, piece.id, form.surface(), version=form.version_number, now=clock.now()
        ),
        to=lambda _surface: url_for("desk.sheet", tag=piece.tag),
        again=again,
        done="Looked over. Recipes are checked against it.",
    )
