"""Nothing that is typed breaks a page: every box of every form gets what nobody should type there."""

from collections.abc import Iterator
from http import HTTPStatus
from itertools import product
from uuid import uuid4

import pytest
from flask import Flask
from markupsafe import escape

from app.database.unit_of_work import Ledger
from app.pocket.actions import hold_capture
from app.recipes.rules import StepFacts, Task
from app.web.saving import CONFLICT, UNPROCESSABLE
from tests.builders.captures import a_cost_sent, a_find, a_time_sent, new_id
from tests.builders.costs import a_cost
from tests.builders.finishes import a_coat, a_finish, do_step, steps_of
from tests.builders.floor import a_channel, a_fee, a_listed_piece
from tests.builders.pieces import NOW, a_haul, a_piece, a_source, an_owned_piece
from tests.builders.recipes import a_label, a_recipe, a_step
from tests.builders.sales import a_deposit, a_deposit_end, a_refund, a_return, a_sold_piece, a_tax_place
from tests.builders.shelf import a_count, a_stocked_material, a_use
from tests.builders.taxes import a_write_down
from tests.builders.timelog import a_time
from tests.builders.trips import a_car_year, a_rate, a_trip
from tests.every_page import examples
from tests.examining_client import ExaminingClient, Page

BAD = {
    "a comma": "12,50",
    "not a number": "NaN",
    "no such day": "2026-02-31",
    "a day to come": "2026-11-26",
    "blanks": "   ",
    "very long": "x" * 10_000,
    "many digits": "9" * 5_000,
    "emoji and right to left": "\N{CHAIR}\N{RIGHT-TO-LEFT OVERRIDE}\N{HEBREW LETTER ALEF}\N{HEBREW LETTER BET}",
    "a lone zero byte": "\x00",
}
NEEDS_THE_PASSPHRASE = ("/sign-in", "/settings/passphrase")
TYPED_IN = frozenset({"text", "date", "color", None})
UNDERSTOOD = frozenset({200, 303, 400, 404, 409, 422})


@pytest.fixture
def paths(app: Flask, client: ExaminingClient, ledger: Ledger) -> list[str]:  # noqa: ARG001
    """Every page with a form of its own, on a small shop with one of everything."""
    with ledger.writing() as session:
        a_source(session)
        a_piece(session, count=3)
        a_listed_piece(session, channel_ids=[a_channel(session).id])
        a_cost(session, an_owned_piece(session).id)
        a_time(session)
        a_trip(session, a_piece(session).id)
        a_rate(session)
        a_car_year(session)
        paint = a_stocked_material(session)
        a_use(session, paint, milli=2_000_000)
        a_count(session, paint, 100_000)
        a_label(session, paint.id)
        a_recipe(session, steps=(a_step(material_id=paint.id, recoat=240), a_step(Task.SAND, grit=180)))
        sanded, *_ = steps_of(
            session, a_finish(session, a_piece(session).id, [StepFacts(Task.SAND), a_coat(coats=2)]).id
        )
        do_step(session, sanded.id)
        a_haul(session)
        a_write_down(session, a_piece(session, price_cents=60_00))
        a_return(session, a_sold_piece(session)[1])
        a_refund(session, a_sold_piece(session)[1])
        a_fee(session, a_channel(session, "Market stall"))
        for data in (a_find(new_id()), a_cost_sent(new_id()), a_time_sent(new_id())):
            hold_capture(session, new_id(), data | {"on_date": ""}, arrived={}, trouble="No day.", now=NOW)
        a_tax_place(session)
        paid_down = a_listed_piece(session)
        a_deposit_end(session, a_deposit(session, paid_down), cents=1_00)
        a_deposit(session, paid_down, payer="Bea")
    with ledger.reading() as session:
        pages = examples(session).paths(app)
    takes = {rule.endpoint for rule in app.url_map.iter_rules() if "POST" in (rule.methods or set())}
    return sorted(path for endpoint in takes & set(pages) for path in pages[endpoint])


def forms_of(client: ExaminingClient, path: str) -> Iterator[tuple[str, dict[str, str], dict[str, bool]]]:
    """Each form on the page: where it goes, what it holds, and its fields with whether each is a box to type in."""
    response = client.raw.get(path)
    page = Page(response.text if response.status_code == HTTPStatus.OK else "")
    typed_in = {str(box.get("name")) for box in page.controls if box.get("type") in TYPED_IN}
    for form in page.forms:
        action = form["action"] or path
        if form["method"] == "post" and action not in NEEDS_THE_PASSPHRASE:
            filled = {**form["fields"], **form["filled"]}
            yield action, filled, {name: name in typed_in for name in filled if name != "csrf_token"}


def test_no_box_of_any_form_breaks_its_page_or_loses_what_is_typed(
    client: ExaminingClient, app: Flask, paths: list[str]
) -> None:
    place_of = (app.create_url_adapter(None) or app.url_map.bind("localhost")).match
    tried: set[tuple[object, str]] = set()
    broken, lost = [], []
    for action, filled, names in (form for path in paths for form in forms_of(client, path)):
        # The same form on the page of another piece is the same form.
        fresh = {name: is_box for name, is_box in names.items() if (place_of(action, "POST")[0], name) not in tried}
        tried |= {(place_of(action, "POST")[0], name) for name in fresh}
        for (name, is_box), (what, typed) in product(fresh.items(), BAD.items()):
            answer = client.post(action, {**filled, "submit_token": str(uuid4()), name: typed})
            if answer.status_code not in UNDERSTOOD:
                broken.append((action, name, what, answer.status_code))
            asks_again = is_box and answer.status_code == UNPROCESSABLE and f'name="{name}"' in answer.text
            if asks_again and str(escape(typed)) not in answer.text:
                lost.append((action, name, what))
    assert (broken, lost) == ([], [])
    assert len(tried) > 60


def test_every_form_made_on_an_older_version_shows_the_clash(
    client: ExaminingClient, app: Flask, paths: list[str]
) -> None:
    place_of = (app.create_url_adapter(None) or app.url_map.bind("localhost")).match
    missing = {"reason": "typed late", "how": "kept", "asking": "90", "channels": "1", "to_stage": "prepped"}
    missing |= {"gross": "90", "total": "100"}
    answers: dict[str, list[tuple[int, bool]]] = {}
    for action, filled, names in (form for path in paths for form in forms_of(client, path)):
        if "version" in names:
            told = {
                name: words or missing.get(name, "") for name, words in {**dict.fromkeys(missing, ""), **filled}.items()
            }
            older = {**told, "version": "0", "submit_token": str(uuid4())}
            answer = client.post(action, older)
            is_shown = "was changed after you opened this page" in answer.text
            answers.setdefault(place_of(action, "POST")[0], []).append((answer.status_code, is_shown))
    assert len(answers) >= 14
    assert {place: got for place, got in answers.items() if set(got) != {(CONFLICT, True)}} == {}
