"""The pages of finishes: begun by a recipe, worked off, changed, stopped, made again and kept as a recipe."""

from datetime import timedelta

import pytest
from freezegun import freeze_time
from sqlalchemy import select

from app.database.unit_of_work import Ledger
from app.pieces.queries import piece_by_tag
from app.pieces.rules import Age
from app.recipes.actions import begin_step, write_recipe
from app.recipes.models import Finish, FinishStep, Recipe, RecipeStep
from app.recipes.rules import FinishState, NewRecipe, Part, StepFacts, StepState, Task
from app.shelf.models import ShelfUse
from app.timelog.models import RunningTimer, TimeEntry
from tests.builders.finishes import a_coat, a_finish, do_step, steps_of
from tests.builders.pieces import NOW, a_piece
from tests.builders.shelf import a_material, a_purchase
from tests.examining_client import ExaminingClient, Page

SAND = StepFacts(Task.SAND, grit=180)
DONE = {"minutes": "30", "ended": "2026-11-25T08:30"}


@pytest.fixture
def tag(ledger: Ledger, client: ExaminingClient) -> str:  # noqa: ARG001
    """A chest made after lead was banned from paint, in hand."""
    with ledger.writing() as session:
        return a_piece(session, age=Age.AFTER_1978, width_mm=914, depth_mm=457, height_mm=1219).tag


def begun(ledger: Ledger, tag: str, *steps: StepFacts) -> int:
    """A free finish on the piece; its number."""
    with ledger.writing() as session:
        return a_finish(session, piece_by_tag(session, tag).id, steps).id


def step_ids(ledger: Ledger, finish_id: int) -> list[int]:
    with ledger.reading() as session:
        return [step.id for step in steps_of(session, finish_id)]


def test_a_finish_is_begun_by_a_recipe_and_its_steps_are_there(
    client: ExaminingClient, ledger: Ledger, tag: str
) -> None:
    with ledger.writing() as session:
        steps = (SAND, a_coat(Part.BODY, coats=2))
        recipe_id = write_recipe(session, NewRecipe("Sage", steps=steps), capture_id="r", now=NOW).id
    assert "Sage" in client.get(f"/pieces/{tag}/finishes/new").text
    sent = client.post_form(f"/pieces/{tag}/finishes/new", {"recipe": str(recipe_id)})
    page = client.get(sent.headers["Location"]).text
    for words in ("Sand, P180", "Paint, coat 1 of 2", "Paint, coat 2 of 2", "edition 1"):
        assert words in page


def test_without_a_recipe_it_needs_a_name_and_what_was_typed_stays(client: ExaminingClient, tag: str) -> None:
    refused = client.post_form(f"/pieces/{tag}/finishes/new", {"made_for": "the neighbour"})
    assert refused.status_code == 422
    assert "Give the finish a name, or choose a recipe." in refused.text


def test_begin_and_done_from_the_pages(client: ExaminingClient, ledger: Ledger, tag: str) -> None:
    finish_id = begun(ledger, tag, SAND)
    (step_id,) = step_ids(ledger, finish_id)
    here = f"/finishes/steps/{step_id}/begin"
    assert client.post_form(here, {}, from_page=f"{here}?next=/bench").headers["Location"] == "/bench"
    with ledger.reading() as session:
        assert session.scalars(select(RunningTimer)).one()
    with freeze_time(NOW + timedelta(minutes=37), ignore=["playwright"]):
        assert "The clock counted 37 min." in client.get(f"/finishes/steps/{step_id}/done").text
        took = {"minutes": "37", "ended": "2026-11-25T09:07", "mark_finished": "y"}
        client.post_form(f"/finishes/steps/{step_id}/done", took)
        page = client.get(f"/finishes/{finish_id}").text
    assert "37 min of work" in page
    with ledger.reading() as session:
        assert session.scalars(select(TimeEntry.minutes)).one() == 37
        assert session.scalars(select(Finish.state)).one() is FinishState.DONE
    assert "finished" in client.get(f"/pieces/{tag}").text.lower()


def test_the_amount_is_filled_in_and_what_is_saved_leaves_the_shelf(
    client: ExaminingClient, ledger: Ledger, tag: str
) -> None:
    with ledger.writing() as session:
        paint = a_material(session)
        a_purchase(session, paint)
        material_id = paint.id
    finish_id = begun(ledger, tag, a_coat(material_id=material_id))
    (step_id,) = step_ids(ledger, finish_id)
    assert "A guess from its size" in client.get(f"/finishes/steps/{step_id}/done").text
    client.post_form(f"/finishes/steps/{step_id}/done", {**DONE, "quantity": "250", "measure": "ml"})
    with ledger.reading() as session:
        assert session.scalars(select(ShelfUse.quantity_milli)).one() == 250_000
        assert session.scalars(select(FinishStep.used_milli)).one() == 250_000


@pytest.mark.parametrize(
    ("typed", "words"),
    [
        ({"humidity": "140"}, "Humidity is a whole percentage from 0 to 100"),
        ({"temperature": "hot"}, "Type the temperature in degrees"),
        ({"minutes": ""}, "Type how long it took."),
        ({"minutes": "30 h"}, "at most 24 hours"),
        ({"ended": "2027-01-01T10:00"}, "That time has not come yet."),
        ({"ended": "soon"}, "Give the day and the time"),
    ],
)
def test_what_cannot_be_is_said_at_its_field_and_all_stays_typed(
    client: ExaminingClient, ledger: Ledger, tag: str, typed: dict[str, str], words: str
) -> None:
    (step_id,) = step_ids(ledger, begun(ledger, tag, SAND))
    refused = client.post_form(f"/finishes/steps/{step_id}/done", {**DONE, "note": "stays typed", **typed})
    assert refused.status_code == 422
    assert words in refused.text
    assert "stays typed" in refused.text
    with ledger.reading() as session:
        assert session.scalars(select(FinishStep.state)).one() is StepState.WAITING


def test_before_a_coat_is_dry_the_page_says_stop_and_asks_why(
    client: ExaminingClient, ledger: Ledger, tag: str
) -> None:
    finish_id = begun(ledger, tag, a_coat(coats=2, recoat=240))
    first, second = step_ids(ledger, finish_id)
    with ledger.writing() as session:
        do_step(session, first)
    page = client.get(f"/finishes/steps/{second}/begin").text
    assert "Why it does not hold here" in page
    assert client.post_form(f"/finishes/steps/{second}/begin", {}).status_code == 422
    client.post_form(f"/finishes/steps/{second}/begin", {"because": "dry to the touch"})
    assert "dry to the touch" in client.get(f"/finishes/{finish_id}").text


def test_air_that_is_too_cold_says_stop_with_where_that_comes_from(
    client: ExaminingClient, ledger: Ledger, tag: str
) -> None:
    (step_id,) = step_ids(ledger, begun(ledger, tag, a_coat()))
    refused = client.post_form(f"/finishes/steps/{step_id}/begin", {"temperature": "41", "humidity": "60"})
    assert refused.status_code == 422
    assert "Wood Handbook" in refused.text
    client.post_form(f"/finishes/steps/{step_id}/begin", {"temperature": "70", "humidity": "50"})
    with ledger.reading() as session:
        assert session.scalars(select(FinishStep.temp_tenths)).one() == 211


def test_next_coat_from_is_said_and_can_be_put_off(client: ExaminingClient, ledger: Ledger, tag: str) -> None:
    finish_id = begun(ledger, tag, a_coat(coats=2, recoat=70))
    first, _second = step_ids(ledger, finish_id)
    sent = client.post_form(f"/finishes/steps/{first}/done", DONE)
    assert "Next coat from 09:40" in client.get(sent.headers["Location"]).text
    client.post_form(f"/finishes/steps/{first}/wait", {"ready": "2026-11-25T12:15"})
    assert "Next coat from 12:15" in client.get(f"/finishes/{finish_id}").text


def test_left_out_put_back_changed_and_stopped(client: ExaminingClient, ledger: Ledger, tag: str) -> None:
    finish_id = begun(ledger, tag, SAND, a_coat())
    sand, coat = step_ids(ledger, finish_id)
    assert client.post_form(f"/finishes/steps/{sand}/leave-out", {}).status_code == 422
    client.post_form(f"/finishes/steps/{sand}/leave-out", {"reason": "smooth already"})
    assert "smooth already" in client.get(f"/finishes/{finish_id}").text
    client.post_form(f"/finishes/steps/{sand}/put-back", {"reason": "not so smooth"})
    client.post_form(f"/finishes/steps/{coat}", {"ratio": "1:4", "note": "thin"})
    assert "1 paint : 4 water" in client.get(f"/finishes/{finish_id}").text
    client.post_form(f"/finishes/{finish_id}/stop", {"reason": "sold as it is"})
    page = client.get(f"/finishes/{finish_id}").text
    assert "sold as it is" in page
    assert "Begin" not in page.split("<main")[1].split("With this finish")[0].replace("Begun", "")


def test_a_step_is_added_on_this_piece_only(client: ExaminingClient, ledger: Ledger, tag: str) -> None:
    finish_id = begun(ledger, tag, SAND)
    assert "What is done next?" in client.get(f"/finishes/{finish_id}/steps/new").text
    client.post_form(f"/finishes/{finish_id}/steps/new?task=wash", {"ratio": "1:3", "part": "top"})
    assert "1 paint : 3 water" in client.get(f"/finishes/{finish_id}").text
    assert client.post_form(f"/finishes/{finish_id}/steps/new?task=wash", {"ratio": "0:0"}).status_code == 422


def test_kept_as_a_recipe_it_is_what_was_done(client: ExaminingClient, ledger: Ledger, tag: str) -> None:
    finish_id = begun(ledger, tag, SAND, a_coat(coats=2))
    sent = client.post_form(f"/finishes/{finish_id}/keep", {"name": "As on the chest"})
    assert "As on the chest" in client.get(sent.headers["Location"]).text
    with ledger.reading() as session:
        assert session.scalars(select(Recipe.name)).one() == "As on the chest"
        assert list(session.scalars(select(RecipeStep.coats).order_by(RecipeStep.position))) == [1, 2]


def test_made_again_on_another_piece(client: ExaminingClient, ledger: Ledger, tag: str) -> None:
    finish_id = begun(ledger, tag, SAND)
    with ledger.writing() as session:
        other = a_piece(session, title="Pine trunk").tag
    assert "Pine trunk" in client.get(f"/finishes/{finish_id}/again").text
    sent = client.post_form(f"/pieces/{other}/finishes/new?like={finish_id}", {})
    assert "Sand, P180" in client.get(sent.headers["Location"]).text


def test_the_sheet_names_the_next_step_and_keeps_both_finishes_of_a_redo(
    client: ExaminingClient, ledger: Ledger, tag: str
) -> None:
    first = begun(ledger, tag, SAND)
    assert "Next: sand, P180" in client.get(f"/pieces/{tag}").text
    with ledger.writing() as session:
        do_step(session, steps_of(session, first)[0].id, 20)
    new = {"name": "Ink blue", "redo_of": str(first), "made_for": "a buyer"}
    client.post_form(f"/pieces/{tag}/finishes/new", new)
    page = client.get(f"/pieces/{tag}").text
    for words in ("Ink blue", "Sage all over", "a later finish goes over it", "for a buyer", "Finish begun: Ink blue"):
        assert words in page


def test_a_step_that_changed_meanwhile_is_shown_not_written_over(
    client: ExaminingClient, ledger: Ledger, tag: str
) -> None:
    (step_id,) = step_ids(ledger, begun(ledger, tag, SAND))
    here = f"/finishes/steps/{step_id}/begin"
    fields = next(form["fields"] for form in Page(client.get(here).text).forms if form["action"] == here)
    with ledger.writing() as session:
        begin_step(session, step_id, now=NOW)
    assert client.post(here, fields).status_code == 409


@pytest.mark.parametrize(
    "path", ["/finishes/99", "/finishes/steps/99/begin", "/finishes/steps/99/done", "/finishes/99/keep"]
)
def test_what_is_not_there_is_said_so(client: ExaminingClient, path: str) -> None:
    client.get(path, status=404)


def test_the_finishes_of_a_piece_are_read_in_the_same_few_queries(
    client: ExaminingClient, ledger: Ledger, tag: str
) -> None:
    begun(ledger, tag, SAND)
    client.get(f"/pieces/{tag}/finishes")
    few = client.queries
    for _ in range(5):
        begun(ledger, tag, SAND, a_coat(coats=3))
    client.get(f"/pieces/{tag}/finishes")
    assert client.queries == few


def test_what_comes_after_is_said_for_what_it_is(client: ExaminingClient, ledger: Ledger, tag: str) -> None:
    finish_id = begun(ledger, tag, a_coat(), SAND, a_coat(recoat=70))
    coat, sand, last = step_ids(ledger, finish_id)
    sent = client.post_form(f"/finishes/steps/{coat}/done", DONE)
    assert "Done. Next step from" in client.get(sent.headers["Location"]).text
    client.post_form(f"/finishes/steps/{coat}/wait", {"ready": "2026-11-25T08:30"})
    client.post_form(f"/finishes/steps/{sand}/done", DONE)
    sent = client.post_form(f"/finishes/steps/{last}/done", DONE)
    assert "Done. Dry from 09:40" in client.get(sent.headers["Location"]).text
    page = client.get(f"/finishes/{finish_id}").text
    assert "<strong>Dry from 09:40</strong>" in page
    assert "Next coat from" not in page
