"""What speaks against the order of a recipe: shown beside its step with its reason, and overruled with another."""

import pytest

from app.database.unit_of_work import Ledger
from app.recipes.actions import overrule_in_recipe
from app.recipes.queries import recipe_by_id
from app.recipes.rules import Aim, Level, Product, Task
from tests.builders.pieces import NOW
from tests.builders.recipes import a_label, a_recipe, a_step
from tests.builders.shelf import a_material
from tests.examining_client import ExaminingClient

WAX_UNDER_PAINT = (a_step(Task.WAX, product=Product.PASTE_WAX), a_step(product=Product.WATERBORNE_PAINT))


@pytest.fixture
def rule(ledger: Ledger, client: ExaminingClient) -> str:  # noqa: ARG001
    """A rule that paint over wax breaks, in recipe 1; the finding is one to stop for."""
    with ledger.writing() as session:
        sheet = recipe_by_id(session, a_recipe(session, steps=WAX_UNDER_PAINT).id)
        found = next(each for each in sheet.standing if each.place == 1 and each.level is Level.STOP)
        return found.rule


def test_a_finding_stands_beside_its_step_with_reason_and_source(
    client: ExaminingClient, ledger: Ledger, rule: str
) -> None:
    with ledger.reading() as session:
        sheet = recipe_by_id(session, 1)
    (one,) = [each for each in sheet.standing_at(1) if each.rule == rule]
    assert sheet.standing_at(9) == []
    page = client.get("/recipes/1").text
    before, after = page.split('id="step-2"')
    assert f"<strong>Stop:</strong> {one.words}" in after
    for words in (
        one.reason.split("'", maxsplit=1)[0],
        f'href="/recipes/1/overrule/{rule}?step={sheet.steps[1].id}"',
        '<details class="finding caution">',
    ):
        assert words in after
    assert '<a href="#step-2">Step 2</a>' in before
    assert "Stop and look at this first" in before


def test_the_owner_overrules_a_check_with_a_reason(client: ExaminingClient, ledger: Ledger, rule: str) -> None:
    with ledger.reading() as session:
        step = recipe_by_id(session, 1).steps[1]
    path = f"/recipes/1/overrule/{rule}?step={step.id}"
    assert "Step 2 of Sage body, washed top: Paint, all of it." in client.get(path).text
    refused = client.post_form(path, {"reason": "  "})
    assert refused.status_code == 422
    assert "Say why you know better" in refused.text
    assert client.post_form(path, {"reason": "scuffed and cleaned in between"}).location == "/recipes/1"
    page = client.get("/recipes/1").text
    assert "1 check you overruled" in page
    assert "scuffed and cleaned in between" in page
    assert f'href="/recipes/1/overrule/{rule}' not in page
    assert "Paint, all of it:" in page
    assert "You overruled it before: scuffed and cleaned in between" in client.get(path).text
    with ledger.writing() as session:
        overrule_in_recipe(session, 1, rule, "and it held", NOW, step_id=step.id)
    with ledger.reading() as session:
        (aside,) = recipe_by_id(session, 1).set_aside
    assert (aside[0].rule, aside[1].note) == (rule, "and it held")


def test_a_check_that_is_not_known_is_not_there(client: ExaminingClient, rule: str) -> None:
    client.get("/recipes/1/overrule/no-such-check", status=404)
    client.get(f"/recipes/9/overrule/{rule}", status=404)
    client.get(f"/recipes/1/overrule/{rule}?step=99", status=404)
    assert "For Sage body, washed top, in every edition." in client.get(f"/recipes/1/overrule/{rule}").text


def test_a_label_counts_where_the_step_does_not_say_what_it_is(ledger: Ledger, client: ExaminingClient) -> None:
    with ledger.writing() as session:
        wax = a_material(session, "Wax").id
        a_label(session, wax, product=Product.PASTE_WAX)
        steps = (a_step(Task.CLEAN, aim=Aim.DEGREASE), a_step(Task.WAX, material_id=wax), WAX_UNDER_PAINT[1])
        sheet = recipe_by_id(session, a_recipe(session, steps=steps).id)
    assert any(found.place == 2 and found.level is Level.STOP for found in sheet.standing)
    assert client.get("/recipes/1").status_code == 200


def test_a_recipe_without_steps_has_nothing_against_it(ledger: Ledger, client: ExaminingClient) -> None:
    with ledger.writing() as session:
        sheet = recipe_by_id(session, a_recipe(session, steps=()).id)
    assert (sheet.findings, sheet.standing, sheet.set_aside) == ((), [], [])
    assert "The order was checked" not in client.get("/recipes/1").text
