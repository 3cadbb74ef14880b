"""Pages that change what is still to be done of a finish, and keep a finish as a recipe."""

from flask import redirect, render_template, request, url_for
from flask.typing import ResponseReturnValue

from app.basics import clock
from app.basics.words import NAME_LIMIT
from app.recipes import actions, queries
from app.recipes.forms import KeepForm, StepForm
from app.recipes.queries import FinishSheet
from app.recipes.routes.blueprint import bp
from app.recipes.routes.steps import material_choices
from app.recipes.rules import TASK_WORDS, Part, StepFacts, Task, products_for
from app.shelf.queries import material_rows
from app.web.frame import ledger
from app.web.saving import SEE_OTHER, save


@bp.route("/finishes/<int:finish_id>/steps/new", methods=["GET", "POST"])
def add_finish_step(finish_id: int) -> ResponseReturnValue:
    with ledger().reading() as session:
        finish = queries.finish_by_id(session, finish_id)
        materials = material_rows(session, include_put_away=False)
    here = url_for("recipes.add_finish_step", finish_id=finish_id)
    asked = request.args.get("task", "")
    if asked not in set(Task):
        if request.method == "POST":
            return redirect(here, SEE_OTHER)
        return render_template("recipes/finish_tasks.html", finish=finish, tasks=TASK_WORDS)
    new = _new_step(finish, Task(asked))
    form = StepForm.given(new, version=finish.version, colour=None, materials=material_choices(new.task, materials))
    return _add(form, finish, url_for("recipes.add_finish_step", finish_id=finish_id, task=asked))


def _add(form: StepForm, finish: FinishSheet, here: str) -> ResponseReturnValue:
    def again() -> str:
        return render_template("recipes/finish_step.html", form=form, finish=finish, step=None, here=here)

    if request.method == "GET":
        return again()
    return save(
        form,
        lambda session: actions.add_finish_step(session, finish.id, form.facts(), now=clock.now()),
        to=lambda _steps: url_for("recipes.finish", finish_id=finish.id),
        again=again,
        done="The step is added.",
    )


@bp.route("/finishes/steps/<int:step_id>", methods=["GET", "POST"])
def change_finish_step(step_id: int) -> ResponseReturnValue:
    with ledger().reading() as session:
        finish = queries.finish_of_step(session, step_id)
        step, materials = queries.step_in(finish, step_id), material_rows(session)
    choices = material_choices(step.facts.task, materials)
    form = StepForm.given(step.facts, version=step.version, colour=step.colour, materials=choices)
    here = url_for("recipes.change_finish_step", step_id=step_id)

    def again() -> str:
        return render_template("recipes/finish_step.html", form=form, finish=finish, step=step, here=here)

    if request.method == "GET":
        return again()
    return save(
        form,
        lambda session: actions.change_finish_step(session, step_id, form.facts(), version=form.version_number),
        to=lambda _step: url_for("recipes.finish", finish_id=finish.id),
        again=again,
        done="The step is changed, on this piece only.",
    )


@bp.route("/finishes/<int:finish_id>/keep", methods=["GET", "POST"])
def keep_as_recipe(finish_id: int) -> ResponseReturnValue:
    with ledger().reading() as session:
        finish = queries.finish_by_id(session, finish_id)
    form = KeepForm.from_request(name=f"{finish.name}, as on {finish.piece.tag}"[:NAME_LIMIT])

    def again() -> str:
        return render_template("recipes/keep.html", form=form, finish=finish)

    if request.method == "GET":
        return again()
    return save(
        form,
        lambda session: actions.keep_as_recipe(
            session, finish_id, name=form.name.data, capture_id=form.submit_token.data or "", now=clock.now()
        ),
        to=lambda recipe: url_for("recipes.recipe", recipe_id=recipe.id),
        again=again,
        done="Kept as a recipe.",
    )


def _new_step(finish: FinishSheet, task: Task) -> StepFacts:
    """An empty step, on the part of the one before it."""
    products = products_for(task)
    part = finish.steps[-1].part if finish.steps else Part.WHOLE
    return StepFacts(task, part=part, product=products[0] if len(products) == 1 else None)
