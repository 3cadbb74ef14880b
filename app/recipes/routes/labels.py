"""The page of what the label of a material says."""

from flask import render_template, request, url_for
from flask.typing import ResponseReturnValue

from app.basics import clock
from app.recipes import actions, queries
from app.recipes.forms import LabelForm
from app.recipes.routes.blueprint import bp
from app.recipes.rules import spread_words
from app.shelf.queries import material_by_id
from app.web.frame import frame, ledger
from app.web.saving import save


@bp.route("/shelf/<int:material_id>/label", methods=["GET", "POST"])
def label(material_id: int) -> ResponseReturnValue:
    with ledger().reading() as session:
        material = material_by_id(session, material_id)
        row = queries.label_row(session, material_id)
    form = LabelForm.given(row.label, row.version, material.klass, material.unit)

    def again() -> str:
        words = spread_words(frame().units)
        return render_template("recipes/label.html", form=form, material=material, spread_words=words)

    if request.method == "GET":
        return again()
    return save(
        form,
        lambda session: actions.say_label(
            session, material_id, form.label(), version=form.version_number, now=clock.now()
        ),
        to=lambda _label: url_for("shelf.material", material_id=material_id),
        again=again,
        done=f"The label of {material.name} is kept. Recipes go by it from now on.",
    )
