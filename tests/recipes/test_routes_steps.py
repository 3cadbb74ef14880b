"""Pages of a step that is there: changed, moved, taken out, late, and of editions that pieces were finished by."""

from app.database.unit_of_work import Ledger
from app.recipes.actions import add_step
from app.recipes.rules import Aim, Task
from tests.builders.pieces import NOW, a_piece
from tests.builders.recipes import a_finish_by, a_recipe, a_step
from tests.builders.shelf import a_material
from tests.examining_client import ExaminingClient, Page
from tests.recipes.pages import PAINT, form_on, sent, sheet_of


def test_a_step_is_changed_and_its_colour_comes_and_goes(client: ExaminingClient, ledger: Ledger) -> None:
    with ledger.writing() as session:
        paint = a_material(session, colour="#7a8f6a").id
        a_recipe(session, steps=(a_step(material_id=paint),))
    path, told = "/recipes/steps/1", {**PAINT, "material": str(paint), "colour": "#7a8f6a"}
    assert 'value="#7a8f6a"' in client.get(path).text
    client.post_form(path, told)
    assert sheet_of(ledger).steps[0].facts.colour is None
    client.post_form(path, {**told, "colour": "#112233"})
    assert sheet_of(ledger).steps[0].facts.colour == "#112233"
    client.post_form(path, {**told, "colour": "#112233", "has_colour": "y"})
    assert sheet_of(ledger).steps[0].facts.colour == "#112233"
    client.post_form(path, {**told, "colour": "#112233"})
    assert sheet_of(ledger).steps[0].facts.colour is None
    client.post_form(path, {**told, "has_colour": "y"})
    assert sheet_of(ledger).steps[0].facts.colour == "#7a8f6a"
    assert "Choose the colour from the box" in sent(client, path, {**told, "colour": "x" * 500})


def test_an_aim_is_kept_and_a_grit_shows_the_size_of_its_grains(
    client: ExaminingClient, recipe: int, ledger: Ledger
) -> None:
    path = f"/recipes/{recipe}/steps/new?task=sand"
    told = {"part": "body", "material": "", "aim": "scuff", "grit": "180", "grit_scale": "P"}
    client.post_form(path, {**told, "active": "", "note": "", "caution": ""})
    facts = sheet_of(ledger).steps[-1].facts
    assert (facts.aim, facts.words) == (Aim.SCUFF, "Sand, scuff for grip, P180")
    assert "Grains: P180, about 82 µm" in client.get(f"/recipes/{recipe}").text


def test_a_step_moves_by_small_posts_and_a_double_tap_moves_it_once(
    client: ExaminingClient, recipe: int, ledger: Ledger
) -> None:
    third = sheet_of(ledger).steps[2].id
    page, move = f"/recipes/steps/{third}", f"/recipes/steps/{third}/move"
    up = form_on(client, page, "/move")
    assert up["by"] == "-1"
    assert client.post(move, up).location == f"{page}#place"
    assert client.post(move, up).location == f"{page}#place"
    assert "It is step 2 now." in client.get(page).text
    assert [step.id for step in sheet_of(ledger).steps].index(third) == 1
    assert client.post(move, {**up, "submit_token": "t2"}).status_code == 409
    now = form_on(client, page, "/move")
    assert "moves a place up or a place down" in client.post(move, {**now, "by": "7"}).text
    assert client.post(move, {**now, "by": "-1", "submit_token": "t3"}).location == f"{page}#place"
    first = client.post(move, {**form_on(client, page, "/move"), "by": "-1"})
    assert first.status_code == 422
    assert "This is the first step already." in first.text
    assert recipe


def test_a_step_is_taken_out(client: ExaminingClient, recipe: int, ledger: Ledger) -> None:
    first = sheet_of(ledger).steps[0].id
    told = form_on(client, f"/recipes/steps/{first}", "/remove")
    assert client.post(f"/recipes/steps/{first}/remove", told).location == f"/recipes/{recipe}"
    assert client.post(f"/recipes/steps/{first}/remove", told).status_code in {303, 404}
    assert [step.position for step in sheet_of(ledger).steps] == [1, 2, 3]
    client.get(f"/recipes/steps/{first}", status=404)


def test_a_late_change_of_a_step_shows_both_and_can_be_saved_once_more(
    client: ExaminingClient, recipe: int, ledger: Ledger
) -> None:
    step = sheet_of(ledger).steps[1]
    path = f"/recipes/steps/{step.id}"
    older = form_on(client, path, path)
    with ledger.writing() as session:
        add_step(session, recipe, a_step(Task.SAND, grit=180), version=None, now=NOW)
    late = client.post(path, {**PAINT, **older, "part": "body", "note": "typed late"})
    assert late.status_code == 409
    assert "5. Sand, P180" in late.text
    assert "typed late" in late.text
    form = next(form for form in Page(late.text).forms if form["action"] == path)
    again = client.post(path, {**PAINT, **form["filled"], **form["fields"], "part": "body"})
    assert again.location == f"/recipes/{recipe}#step-2"
    assert sheet_of(ledger).steps[1].facts.note == "typed late"


def test_a_recipe_that_was_used_says_so_and_its_change_makes_an_edition(
    client: ExaminingClient, recipe: int, ledger: Ledger
) -> None:
    with ledger.writing() as session:
        tag = a_finish_by(session, recipe, a_piece(session, title="Oak chest")).piece_id
    step = sheet_of(ledger).steps[1]
    path = f"/recipes/steps/{step.id}"
    assert "this change makes edition 2" in client.get(path).text
    assert "your next change of a step makes edition 2" in client.get(f"/recipes/{recipe}").text
    assert client.post_form(path, {**PAINT, "coats": "3"}).location == f"/recipes/{recipe}#step-2"
    page = client.get(f"/recipes/{recipe}").text
    assert f'href="/recipes/{recipe}/editions/1"' in page
    assert "Oak chest" in page
    assert "edition 1" in page
    old = client.get(f"/recipes/{recipe}/editions/1").text
    assert "An earlier edition, as it was." in old
    assert "step 2 now: coats" in old
    assert "/recipes/steps/" not in old
    assert client.get(path, status=303).location == f"/recipes/{recipe}/editions/1"
    client.get(f"/recipes/{recipe}/editions/3", status=404)
    assert "on 1 piece, last 20 Nov 2026" in client.get("/recipes").text
    assert tag


def test_saving_a_step_of_an_edition_that_was_left_behind_is_refused(
    client: ExaminingClient, recipe: int, ledger: Ledger
) -> None:
    step = sheet_of(ledger).steps[1]
    path = f"/recipes/steps/{step.id}"
    told = {**PAINT, **form_on(client, path, path), "part": "body"}
    with ledger.writing() as session:
        a_finish_by(session, recipe, a_piece(session))
        add_step(session, recipe, a_step(), version=None, now=NOW)
    assert client.post(path, told).status_code == 409
    version = str(sheet_of(ledger).version)
    answer = client.post(path, {**told, "version": version, "submit_token": "again"})
    assert answer.status_code == 422
    assert "stands in an earlier edition" in answer.text
