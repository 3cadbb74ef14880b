"""Pages of one step of a recipe: choosing its task, writing it, changing it, moving it and taking it out."""

from collections.abc import Callable

from flask import redirect, render_template, request, url_for
from flask.typing import ResponseReturnValue

from app.basics import clock
from app.database.unit_of_work import Session
from app.recipes import actions, queries
from app.recipes.forms import MaterialChoices, MoveForm, RemoveForm, StepForm
from app.recipes.models import RecipeStep
from app.recipes.queries import RecipeSheet, StepRow
from app.recipes.routes.blueprint import bp
from app.recipes.routes.recipes import recipe_page
from app.recipes.rules import TASK_CLASSES, TASK_WORDS, Part, StepFacts, Task, products_for
from app.shelf.queries import MaterialRow, material_rows
from app.web.frame import ledger
from app.web.saving import SEE_OTHER, save


@bp.route("/recipes/<int:recipe_id>/steps/new", methods=["GET", "POST"])
def new_step(recipe_id: int) -> ResponseReturnValue:
    with ledger().reading() as session:
        sheet, materials = queries.recipe_by_id(session, recipe_id), material_rows(session)
    asked = request.args.get("task", "")
    if asked not in set(Task):
        return _choose_task(sheet)
    form = _new_form(sheet, Task(asked), materials)
    here = url_for("recipes.new_step", recipe_id=recipe_id, task=asked)

    def again() -> str:
        return render_template("recipes/step.html", form=form, recipe=sheet, step=None, here=here)

    if request.method == "GET":
        return again()
    return save(
        form,
        lambda session: _add(session, recipe_id, form),
        to=_at_step(recipe_id),
        again=again,
        done=lambda step: f"Step {step.position} is written down.",
    )


@bp.route("/recipes/steps/<int:step_id>", methods=["GET", "POST"])
def step(step_id: int) -> ResponseReturnValue:
    with ledger().reading() as session:
        recipe_id, number = queries.recipe_of_step(session, step_id)
        sheet, row = queries.recipe_by_id(session, recipe_id), queries.step_by_id(session, step_id)
        form = _form_of(sheet, row, material_rows(session))

    def again() -> str:
        return _step_page(sheet, row, form)

    if request.method == "GET" and number != sheet.edition.number:
        return redirect(url_for("recipes.edition", recipe_id=recipe_id, number=number), SEE_OTHER)
    if request.method == "GET":
        return again()
    return save(
        form,
        lambda session: _change(session, step_id, form),
        to=_at_step(recipe_id),
        again=again,
        done="The step is changed.",
    )


@bp.post("/recipes/steps/<int:step_id>/move")
def move(step_id: int) -> ResponseReturnValue:
    with ledger().reading() as session:
        recipe_id, _ = queries.recipe_of_step(session, step_id)
    form = MoveForm.from_request()
    return save(
        form,
        lambda session: actions.move_step(
            session, step_id, by=form.direction, version=form.version_number, now=clock.now()
        ),
        to=lambda moved: url_for("recipes.step", step_id=moved.id, _anchor="place"),
        again=lambda: recipe_page(recipe_id, form),
        done=lambda moved: f"It is step {moved.position} now.",
    )


@bp.post("/recipes/steps/<int:step_id>/remove")
def remove(step_id: int) -> ResponseReturnValue:
    with ledger().reading() as session:
        recipe_id, _ = queries.recipe_of_step(session, step_id)
    form = RemoveForm.from_request()
    return save(
        form,
        lambda session: actions.remove_step(session, step_id, version=form.version_number, now=clock.now()),
        to=lambda _recipe: url_for("recipes.recipe", recipe_id=recipe_id),
        again=lambda: recipe_page(recipe_id, form),
        done="The step is taken out.",
    )


def _choose_task(sheet: RecipeSheet) -> ResponseReturnValue:
    if request.method == "POST":
        return redirect(url_for("recipes.new_step", recipe_id=sheet.id), SEE_OTHER)
    return render_template("recipes/tasks.html", recipe=sheet, tasks=TASK_WORDS)


def _new_form(sheet: RecipeSheet, task: Task, materials: list[MaterialRow]) -> StepForm:
    """An empty step: on the part of the one before it, and of the only sort of product the task can use."""
    products = products_for(task)
    part = sheet.steps[-1].facts.part if sheet.steps else Part.WHOLE
    new = StepFacts(task, part=part, product=products[0] if len(products) == 1 else None)
    places = [(str(row.position), f"Before {row.position}. {row.facts.words}") for row in sheet.steps]
    offered = [row for row in materials if not row.facts.is_put_away]
    return StepForm.given(
        new, version=sheet.version, colour=None, materials=material_choices(task, offered), places=places
    )


def _form_of(sheet: RecipeSheet, row: StepRow, materials: list[MaterialRow]) -> StepForm:
    """A step as it stands, its material among those offered even where it is put away."""
    offered = [each for each in materials if not each.facts.is_put_away or each.id == row.facts.material_id]
    choices = material_choices(row.facts.task, offered)
    return StepForm.given(row.facts, version=sheet.version, colour=row.colour, materials=choices)


def material_choices(task: Task, materials: list[MaterialRow]) -> MaterialChoices:
    """Materials for a step: those of a class that can serve its task, the best fitting first, and all others."""
    classes = TASK_CLASSES.get(task, ())
    fitting = sorted((row for row in materials if row.klass in classes), key=lambda row: classes.index(row.klass))
    others = [row for row in materials if row.klass not in classes]
    return MaterialChoices(_offered(fitting), _offered(others))


def _offered(rows: list[MaterialRow]) -> list[tuple[str, str]]:
    return [(str(row.id), f"{row.name} · {row.class_words}") for row in rows]


def _add(session: Session, recipe_id: int, form: StepForm) -> RecipeStep:
    return actions.add_step(
        session, recipe_id, form.facts(), at=form.place, version=form.version_number, now=clock.now()
    )


def _change(session: Session, step_id: int, form: StepForm) -> RecipeStep:
    return actions.change_step(session, step_id, form.facts(), version=form.version_number, now=clock.now())


def _step_page(sheet: RecipeSheet, row: StepRow, form: StepForm) -> str:
    here, small = url_for("recipes.step", step_id=row.id), MoveForm.from_request()
    return render_template("recipes/step.html", form=form, recipe=sheet, step=row, here=here, small=small)


def _at_step(recipe_id: int) -> Callable[[RecipeStep], str]:
    """Leads to a step on the page of its recipe."""
    return lambda step: url_for("recipes.recipe", recipe_id=recipe_id, _anchor=f"step-{step.position}")
