"""The pages that say the usual hours, the workshop, and what a piece brings."""

from datetime import datetime

import pytest

from app.bench.queries import expectation, workshop
from app.database.unit_of_work import Ledger
from app.pieces.actions import leave
from app.pieces.rules import Leaving
from app.shop.queries import usual_hours
from app.shop.rules import UsualSpell
from tests.builders.pieces import NOW, a_piece
from tests.examining_client import ExaminingClient, Page

WORKSHOP = {"drying_places": "4", "spray_clear": "30 min"}


def test_the_week_is_kept_and_shown_as_it_was_typed(client: ExaminingClient, ledger: Ledger) -> None:
    page = client.get("/bench/hours").text
    assert page.count("A guess, change it.") == 2
    typed = {"day_0": "7pm to 9:30pm", "day_4": "22:00-1:00", "drying_places": "6", "spray_clear": "45 min"}
    answer = client.post_form("/bench/hours", typed)
    assert (answer.status_code, answer.headers["Location"]) == (303, "/bench/plan")
    with ledger.reading() as session:
        assert usual_hours(session) == [UsualSpell(0, 1140, 150), UsualSpell(4, 1320, 120), UsualSpell(5, 0, 60)]
        assert (workshop(session).drying_places, workshop(session).spray_clear) == (6, 45)
    page = client.get("/bench/hours").text
    assert 'value="19:00-21:30"' in page
    assert 'value="22:00-01:00"' in page
    assert "A guess, change it." not in page


@pytest.mark.parametrize(
    ("typed", "words"),
    [
        ({"day_0": "19-21, 20-22"}, "Monday 20:00-22:00 overlaps with Monday 19:00-21:00"),
        ({"day_1": "evening"}, "is no spell. Type it like 19:00-21:30"),
        ({"day_2": "19:00-19:00"}, "has no length"),
        ({"day_3": "1-2," * 200}, "too much for one day"),
        ({"drying_places": "many"}, "Type a whole number, like 4."),
        ({"drying_places": "100"}, "from 0 to 99"),
        ({"drying_places": ""}, "Say how many pieces or parts can dry at once."),
        ({"spray_clear": "25 h"}, "clear again within a day"),
    ],
)
def test_what_is_wrong_is_said_beside_what_stands(
    client: ExaminingClient, ledger: Ledger, typed: dict[str, str], words: str
) -> None:
    client.post_form("/bench/hours", {"day_5": "9-12", **WORKSHOP})
    answer = client.post_form("/bench/hours", {**WORKSHOP, "day_5": "", **typed})
    assert answer.status_code == 422
    assert words in answer.text
    assert "Nothing has changed yet. It stands at Saturday 09:00-12:00." in answer.text
    with ledger.reading() as session:
        assert usual_hours(session) == [UsualSpell(5, 540, 180)]


def test_a_place_nobody_has_keeps_the_hours_as_they_were(client: ExaminingClient, ledger: Ledger) -> None:
    assert client.post_form("/bench/hours", {**WORKSHOP, "day_0": "9-12", "drying_places": "100"}).status_code == 422
    with ledger.reading() as session:
        assert usual_hours(session) == []


def test_a_second_tab_does_not_quietly_undo_the_week_of_the_first(client: ExaminingClient, ledger: Ledger) -> None:
    client.post_form("/bench/hours", WORKSHOP)
    both = next(form for form in Page(client.get("/bench/hours").text).forms if form["action"] == "/bench/hours")
    first = {**both["filled"], **both["fields"], "day_0": "19-21"}
    second = {**both["filled"], **both["fields"], "day_5": "9-12", "submit_token": "second"}
    assert client.post("/bench/hours", first).status_code == 303
    late = client.post("/bench/hours", second)
    assert late.status_code == 409
    assert "Monday 19:00-21:00" in late.text
    assert 'value="9-12"' in late.text
    with ledger.reading() as session:
        assert usual_hours(session) == [UsualSpell(0, 1140, 120)]
    form = next(form for form in Page(late.text).forms if form["action"] == "/bench/hours")
    assert client.post("/bench/hours", {**form["filled"], **form["fields"]}).status_code == 303
    with ledger.reading() as session:
        assert usual_hours(session) == [UsualSpell(5, 540, 180)]


def test_what_a_piece_brings_is_said_and_taken_back(client: ExaminingClient, ledger: Ledger) -> None:
    with ledger.writing() as session:
        piece = a_piece(session)
    path = f"/bench/{piece.tag}/brings"
    assert "nobody said" in client.get(path).text
    answer = client.post_form(path, {"brings": "320"}, from_page=f"{path}?next=/bench/plan%3Ffrom%3D19")
    assert answer.headers["Location"] == "/bench/plan?from=19"
    with ledger.reading() as session:
        assert expectation(session, piece.id).cents == 32_000
    assert 'value="320.00"' in client.get(path).text
    client.post_form(path, {"brings": ""})
    with ledger.reading() as session:
        assert expectation(session, piece.id).cents is None
    assert client.post_form(path, {"brings": "a lot"}).status_code == 422


def test_nothing_is_asked_about_a_piece_that_is_gone(client: ExaminingClient, ledger: Ledger, now: datetime) -> None:
    with ledger.writing() as session:
        piece = a_piece(session)
        leave(session, piece.id, Leaving.KEPT, on_date=NOW.date(), reason="", version=None, now=now)
    page = client.get(f"/bench/{piece.tag}/brings").text
    assert "not here any more" in page
    assert "<form" not in page
    client.get("/bench/0O1/brings", status=404)
