"""Pages of the list of recipes, and of one recipe: as it will be worked, corrected, and in its earlier editions."""

from collections.abc import Iterable, Iterator

from flask import render_template, request, url_for
from flask.typing import ResponseReturnValue

from app.basics import clock
from app.basics.csv_out import Cell
from app.basics.quantities import percent_plain
from app.recipes import actions, queries
from app.recipes.forms import CorrectRecipeForm, OverruleForm, RecipeForm
from app.recipes.queries import RecipeRow, RecipeSheet, StepRow
from app.recipes.routes.blueprint import bp
from app.recipes.rules import AIM_WORDS, ORDER_RULES, PART_WORDS, TASK_WORDS, WAY_WORDS
from app.web.frame import ledger
from app.web.saving import found, save
from app.web.takeaway import csv_answer

LIST_HEADER = ("Recipe", "Edition", "Steps", "Parts", "Colours", "Pieces", "Last used", "Put away", "Note")
STEPS_HEADER = (
    "Step",
    "Task",
    "What for",
    "Part",
    "Material",
    "Sort of product",
    "Colour",
    "Ratio",
    "Mixed with",
    "Thinned percent",
    "Grit",
    "Coats",
    "Put on with",
    "Left to work minutes",
    "Dry before the next minutes",
    "Time from",
    "Scuff first after minutes",
    "Hard through after minutes",
    "Work for a coat minutes",
    "Work from",
    "Note",
    "Caution",
)


@bp.get("/recipes")
def recipes() -> ResponseReturnValue:
    with ledger().reading() as session:
        rows = queries.recipe_rows(session)
    groups = [("In use", [row for row in rows if not row.facts.is_put_away])]
    groups.append(("Put away", [row for row in rows if row.facts.is_put_away]))
    return render_template("recipes/recipes.html", groups=[(words, each) for words, each in groups if each])


@bp.get("/recipes.csv")
def recipes_csv() -> ResponseReturnValue:
    with ledger().reading() as session:
        rows = queries.recipe_rows(session)
    return csv_answer("recipes.csv", LIST_HEADER, _list_cells(rows))


@bp.route("/recipes/new", methods=["GET", "POST"])
def write() -> ResponseReturnValue:
    form = RecipeForm.from_request()

    def again() -> str:
        return render_template("recipes/edit.html", form=form, recipe=None)

    if request.method == "GET":
        return again()
    number = form.submit_token.data or ""
    return save(
        form,
        lambda session: actions.write_recipe(session, form.new_recipe(), capture_id=number, now=clock.now()),
        to=lambda recipe: url_for("recipes.new_step", recipe_id=recipe.id),
        again=again,
        done=lambda recipe: f"{recipe.name} is written down. Now its first step.",
    )


@bp.get("/recipes/<int:recipe_id>")
def recipe(recipe_id: int) -> ResponseReturnValue:
    return recipe_page(recipe_id)


def recipe_page(recipe_id: int, form: object = None) -> str:
    """One recipe as it will be worked; `form` is one whose troubles it shows."""
    with ledger().reading() as session:
        sheet = queries.recipe_by_id(session, recipe_id)
    return render_template("recipes/recipe.html", recipe=sheet, form=form)


@bp.get("/recipes/<int:recipe_id>.csv")
def recipe_csv(recipe_id: int) -> ResponseReturnValue:
    with ledger().reading() as session:
        sheet = queries.recipe_by_id(session, recipe_id)
    return csv_answer(f"recipe-{recipe_id}.csv", STEPS_HEADER, _step_cells(sheet.steps))


@bp.route("/recipes/<int:recipe_id>/edit", methods=["GET", "POST"])
def edit(recipe_id: int) -> ResponseReturnValue:
    with ledger().reading() as session:
        sheet = queries.recipe_by_id(session, recipe_id)
    form = CorrectRecipeForm.given(sheet.facts, sheet.version)

    def again() -> str:
        return render_template("recipes/edit.html", form=form, recipe=sheet)

    if request.method == "GET":
        return again()
    return save(
        form,
        lambda session: actions.correct_recipe(session, recipe_id, form.facts(), version=form.version_number),
        to=lambda _recipe: url_for("recipes.recipe", recipe_id=recipe_id),
        again=again,
        done=lambda recipe: f"{recipe.name} is put right.",
    )


@bp.get("/recipes/<int:recipe_id>/editions/<int:number>")
def edition(recipe_id: int, number: int) -> ResponseReturnValue:
    with ledger().reading() as session:
        sheet = queries.edition_by_number(session, recipe_id, number)
    return render_template("recipes/edition.html", sheet=sheet)


@bp.route("/recipes/<int:recipe_id>/overrule/<rule>", methods=["GET", "POST"])
def overrule(recipe_id: int, rule: str) -> ResponseReturnValue:
    check = found(ORDER_RULES.get(rule))
    with ledger().reading() as session:
        sheet = queries.recipe_by_id(session, recipe_id)
    step = _asked_step(sheet)
    form = OverruleForm.from_request()

    def again() -> str:
        return render_template("recipes/overrule.html", form=form, recipe=sheet, check=check, step=step)

    if request.method == "GET":
        return again()
    return save(
        form,
        lambda session: actions.overrule_in_recipe(
            session, recipe_id, rule, form.reason.data, clock.now(), step_id=step.id if step else None
        ),
        to=lambda _row: url_for("recipes.recipe", recipe_id=recipe_id),
        again=again,
        done="The check is overruled for such steps of this recipe, with your reason.",
    )


def _asked_step(sheet: RecipeSheet) -> StepRow | None:
    """The step the address names; None where it names none, not found where the recipe has no such step."""
    asked = request.args.get("step")
    if asked is None:
        return None
    return found(next((step for step in sheet.steps if str(step.id) == asked), None))


def _list_cells(rows: Iterable[RecipeRow]) -> Iterator[list[Cell]]:
    for row in rows:
        yield [
            row.name,
            row.edition,
            row.steps,
            ", ".join(PART_WORDS[part] for part in row.parts),
            ", ".join(row.colours),
            row.pieces,
            row.last_used,
            "yes" if row.facts.is_put_away else "no",
            row.facts.note,
        ]


def _step_cells(rows: Iterable[StepRow]) -> Iterator[list[Cell]]:
    for row in rows:
        facts, drying = row.facts, row.drying
        yield [
            row.position,
            TASK_WORDS[facts.task],
            AIM_WORDS[facts.aim] if facts.aim else None,
            facts.part_words,
            row.material_name,
            row.product_words,
            row.colour,
            facts.ratio,
            facts.mixed_with,
            None if facts.thin_hundredths is None else percent_plain(facts.thin_hundredths),
            facts.grit_words,
            facts.coats,
            WAY_WORDS[facts.way] if facts.way else None,
            row.dwell,
            drying.recoat,
            drying.source.value,
            drying.recoat_by,
            drying.cure,
            row.minutes.minutes,
            row.minutes.words,
            facts.note,
            facts.caution,
        ]
