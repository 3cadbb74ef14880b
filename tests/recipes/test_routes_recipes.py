"""Pages of recipes: writing one step by step, by the task, and lists to take along."""

import csv
from io import StringIO

import pytest
from sqlalchemy import func, select

from app.database.unit_of_work import Ledger
from app.recipes.models import Recipe, RecipeStep
from app.recipes.rules import DAY, TASK_FACTS, Part, Product, StepFacts, Task, Way
from app.shelf.actions import correct_material
from app.shelf.models import Material
from app.shelf.queries import facts_of
from app.shelf.rules import MaterialClass, MaterialFacts
from tests.builders.recipes import a_label, a_recipe, a_step
from tests.builders.shelf import a_material
from tests.examining_client import ExaminingClient, Page
from tests.recipes.pages import NEW_PAINT, PAINT, form_on, sent, sheet_of


def test_a_shop_without_recipes_is_told_what_one_is_for(client: ExaminingClient, ledger: Ledger) -> None:
    page = client.get("/recipes").text
    assert "so that you can make it again" in page
    answer = client.post_form("/recipes/new", {"name": "Sage body", "note": "warm"})
    assert answer.location == "/recipes/1/steps/new"
    assert "Now its first step." in client.get(answer.location).text
    page = client.get("/recipes/1").text
    assert "It has no steps yet." in page
    assert "On no piece yet." in page
    assert sheet_of(ledger).facts.note == "warm"
    assert '<a href="/recipes" aria-current="page">Recipes</a>' in page


def test_a_double_click_writes_one_recipe(client: ExaminingClient, ledger: Ledger) -> None:
    told = {**form_on(client, "/recipes/new", "/recipes/new"), "name": "Sage"}
    assert client.post("/recipes/new", told).location == client.post("/recipes/new", told).location
    with ledger.reading() as session:
        assert session.scalar(select(func.count(Recipe.id))) == 1


def test_a_name_that_is_missing_taken_or_long_is_refused_and_stays_typed(client: ExaminingClient, recipe: int) -> None:
    assert "Give the recipe the name you call it by." in sent(client, "/recipes/new", {"name": " ", "note": "kept"})
    taken = sent(client, "/recipes/new", {"name": "sage body, WASHED top", "note": "kept"})
    assert "There is a recipe of that name already." in taken
    assert "kept" in taken
    long = sent(client, f"/recipes/{recipe}/edit", {"name": "x" * 500, "note": ""})
    assert "500 characters long" in long
    assert "x" * 500 in long


def test_a_recipe_is_put_right_and_put_away(client: ExaminingClient, recipe: int) -> None:
    path = f"/recipes/{recipe}/edit"
    older = form_on(client, path, path)
    assert client.post_form(path, {"name": "Sage", "note": "n", "put_away": "y"}).location == f"/recipes/{recipe}"
    assert "This recipe is put away" in client.get(f"/recipes/{recipe}").text
    assert ">Put away</h2>" in client.get("/recipes").text
    late = client.post(path, {**older, "name": "Fern"})
    assert late.status_code == 409
    assert "Fern" in late.text
    assert "1. Clean (All of it)" in late.text


def test_the_task_is_chosen_first_and_its_form_has_only_its_fields(client: ExaminingClient, recipe: int) -> None:
    page = client.get(f"/recipes/{recipe}/steps/new").text
    names = {"material_id": "material", "thin_hundredths": "thin"}
    for task in Task:
        path = f"/recipes/{recipe}/steps/new?task={task.value}"
        assert f'href="{path}"' in page
        shown = {str(box.get("name")) for box in Page(client.get(path).text).controls}
        asked = {names.get(fact, fact) for fact in TASK_FACTS[task]}
        assert shown - {"has_colour", "at"} == asked, task
    assert client.get(f"/recipes/{recipe}/steps/new?task=gild").status_code == 200
    assert client.post(f"/recipes/{recipe}/steps/new", form_on(client, "/recipes/new", "new")).status_code == 303


def test_a_step_is_written_with_everything_a_coat_can_say(client: ExaminingClient, ledger: Ledger) -> None:
    with ledger.writing() as session:
        recipe, paint = a_recipe(session, steps=()).id, a_material(session, colour="#7a8f6a").id
    told = {
        **PAINT,
        "material": str(paint),
        "product": "mineral_paint",
        "way": "brush",
        "note": "thin coats",
        "caution": "gloves",
        "ratio": "4:1",
        "mixed_with": "extender",
        "recoat": "4 h",
        "recoat_by": "3 days",
        "cure": "3 weeks",
        "dwell": "10 min",
        "active": "40",
    }
    assert client.post_form(NEW_PAINT, told).location == f"/recipes/{recipe}#step-1"
    (step,) = sheet_of(ledger).steps
    assert step.facts == StepFacts(
        Task.PAINT,
        part=Part.BODY,
        product=Product.MINERAL_PAINT,
        material_id=paint,
        ratio="4:1",
        mixed_with="extender",
        coats=2,
        way=Way.BRUSH,
        dwell=10,
        recoat=240,
        recoat_by=3 * DAY,
        cure=21 * DAY,
        active=40,
        note="thin coats",
        caution="gloves",
    )
    page = client.get(f"/recipes/{recipe}").text
    for words in (
        "4 paint : 1 extender",
        "Sage paint",
        "<strong>4 h</strong>",
        "after 3 days scuff it first",
        "21 days",
    ):
        assert words in page
    for words in (
        "As written here; the label rules.",
        "40 min of work a coat (as the recipe says)",
        "thin coats",
        "gloves",
    ):
        assert words in page
    assert 'fill="#7a8f6a"' in page


def test_the_words_say_whence_a_drying_time_comes(client: ExaminingClient, ledger: Ledger) -> None:
    with ledger.writing() as session:
        paint = a_material(session)
        a_label(session, paint.id)
        steps = (a_step(material_id=paint.id), a_step(product=Product.OIL_PAINT), a_step())
        a_recipe(session, steps=steps)
    page = client.get("/recipes/1").text
    assert "From the label, and the label rules." in page
    assert "As a rule: a home-improvement guide&#39;s table of drying times; the label rules." in page
    assert "How long it dries, nobody said: the label rules." in page


@pytest.mark.parametrize(
    ("fields", "words"),
    [
        ({"coats": "-2"}, "Type a whole number"),
        ({"coats": "0"}, "A step has 1 to 12 coats."),
        ({"ratio": "0:0"}, "At least one part has to be more than 0."),
        ({"ratio": "1:x"}, "Type the parts with colons between them"),
        ({"recoat": "4"}, "Say what it is behind the number"),
        ({"recoat": "2 days", "recoat_by": "1 h"}, "cannot end before it begins"),
        ({"cure": "400 days"}, "at most 365 days"),
        ({"thin": "200"}, "Type a percentage from 0 to 100"),
        ({"note": "x" * 500}, "500 characters long"),
        ({"material": "999"}, "Choose the material out of the list."),
        ({"material": "abc"}, "Choose the material out of the list."),
        ({"ratio": "1:4", "thin": "10"}, "not both"),
    ],
)
def test_what_no_step_can_be_is_refused_and_all_stays_typed(
    client: ExaminingClient, recipe: int, ledger: Ledger, fields: dict[str, str], words: str
) -> None:
    page = sent(client, NEW_PAINT, {**PAINT, "caution": "stays typed", **fields})
    assert words in page
    assert "stays typed" in page
    assert all(f'value="{typed}"' in page for name, typed in fields.items() if name != "material")
    assert len(sheet_of(ledger, recipe).steps) == 4


def test_everything_that_is_wrong_is_said_at_once(client: ExaminingClient, recipe: int) -> None:
    page = sent(client, NEW_PAINT, {**PAINT, "ratio": "1:x", "recoat": "4"})
    assert "Type the parts with colons between them" in page
    assert "Say what it is behind the number" in page
    assert recipe


def test_trouble_in_the_fold_opens_it(client: ExaminingClient, recipe: int) -> None:
    assert '<details class="more-facts" open>' not in client.get(NEW_PAINT).text
    assert '<details class="more-facts" open>' in sent(
        client, f"/recipes/{recipe}/steps/new?task=paint", {**PAINT, "recoat": "4"}
    )


def test_a_new_step_goes_where_it_is_wanted_on_the_part_of_the_last_one(
    client: ExaminingClient, recipe: int, ledger: Ledger
) -> None:
    filled = form_on(client, f"/recipes/{recipe}/steps/new?task=wax", "task=wax")
    page = client.get(f"/recipes/{recipe}/steps/new?task=wax").text
    assert 'selected value="top"' in page
    assert 'selected value="paste_wax"' in page
    assert "Before 2. Paint, 2 coats" in page
    told = {**filled, "part": "top", "product": "paste_wax", "at": "2", "coats": "1"}
    assert client.post(f"/recipes/{recipe}/steps/new?task=wax", told).location == f"/recipes/{recipe}#step-2"
    assert [step.facts.task for step in sheet_of(ledger).steps] == [
        Task.CLEAN,
        Task.WAX,
        Task.PAINT,
        Task.WASH,
        Task.WAX,
    ]


def test_materials_that_fit_come_first_and_one_put_away_stays_where_it_is(
    client: ExaminingClient, ledger: Ledger
) -> None:
    with ledger.writing() as session:
        wax = a_material(session, "A wax", klass=MaterialClass.WAX)
        old = a_material(session, "Old paint")
        a_material(session, "Zinc paint")
        a_recipe(session, steps=(a_step(material_id=old.id),))
        gone: MaterialFacts = facts_of(session.get_one(Material, old.id))
        correct_material(
            session, old.id, MaterialFacts(gone.name, gone.klass, gone.unit, is_put_away=True), version=None
        )
        assert wax.id
    page = client.get(NEW_PAINT).text
    fitting, others = page.partition('<optgroup label="Other materials">')[::2]
    assert '<optgroup label="For such a step">' in fitting
    assert "Zinc paint · Paint" in fitting
    assert "A wax · Wax" in others
    assert "Old paint" not in page
    assert f'selected value="{old.id}">Old paint' in client.get("/recipes/steps/1").text


def test_recipes_can_be_taken_along(client: ExaminingClient, ledger: Ledger) -> None:
    with ledger.writing() as session:
        paint = a_material(session, "=Sage", colour="#7a8f6a").id
        steps = (a_step(material_id=paint, coats=2, thin_hundredths=1_000, note="n"), a_step(Task.WAX))
        a_recipe(session, "Sage", steps=steps)
    listed = list(csv.DictReader(StringIO(client.get("/recipes.csv").text)))
    assert [(row["Recipe"], row["Steps"], row["Colours"], row["Pieces"]) for row in listed] == [
        ("Sage", "2", "#7a8f6a", "0")
    ]
    first, second = csv.DictReader(StringIO(client.get("/recipes/1.csv").text))
    assert (first["Material"], first["Coats"], first["Thinned percent"], first["Time from"]) == (
        "'=Sage",
        "2",
        "10",
        "none",
    )
    assert (second["Task"], second["Work for a coat minutes"], second["Work from"]) == ("Wax", "40", "guess")
    assert client.get("/recipes/1.csv?as=xlsx").content_type.endswith("sheet")
    client.get("/recipes/9.csv", status=404)


@pytest.mark.parametrize("path", ["/recipes/9", "/recipes/9/edit", "/recipes/9/steps/new", "/recipes/steps/99"])
def test_what_is_not_there_is_said_so(client: ExaminingClient, path: str) -> None:
    client.get(path, status=404)
    for action in ("/recipes/steps/99/move", "/recipes/steps/99/remove"):
        token = form_on(client, "/recipes/new", "new")["csrf_token"]
        assert client.post(action, {"csrf_token": token}).status_code == 404


def test_the_pages_do_not_ask_more_for_more_steps(client: ExaminingClient, ledger: Ledger) -> None:
    with ledger.writing() as session:
        paint = a_material(session).id
        a_recipe(session, "Short", steps=(a_step(material_id=paint),))
        a_recipe(session, "Long", steps=(a_step(material_id=paint),) * 40)
    client.get("/recipes/1")
    asked = client.queries
    client.get("/recipes/2")
    assert client.queries == asked
    with ledger.reading() as session:
        assert session.scalar(select(func.count(RecipeStep.id))) == 41


def test_a_recipe_says_once_what_can_hurt_in_it_and_its_times_in_the_shops_degrees(
    client: ExaminingClient, ledger: Ledger
) -> None:
    oil = a_step(Task.CLEAR_COAT, product=Product.OIL_FINISH)
    with ledger.writing() as session:
        a_recipe(session, steps=(oil, a_step(Task.STAIN, product=Product.OIL_STAIN)))
        a_recipe(session, "Plain paint", steps=(a_step(),))
    page = client.get("/recipes/1").text
    assert page.count("Oily rags can catch fire by themselves") == 1
    assert "Drying times hold at 70 °F to 77 °F and about half humidity." in page
    assert "lead-caution" not in client.get("/recipes/2").text
