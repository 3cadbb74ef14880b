"""Pages of the clock and of work: start, stop, switch, type, strike out, take away."""

import csv
import re
from collections.abc import Iterator
from datetime import date, timedelta
from io import StringIO

import pytest
from freezegun import freeze_time

from app.database.unit_of_work import Ledger
from app.pieces.actions import leave
from app.pieces.rules import Leaving
from app.timelog.actions import start_timer, strike_time
from app.timelog.queries import TimeRow, TimerRow, running_timer, times_between
from app.timelog.rules import Activity
from tests.builders.pieces import NOW, a_piece
from tests.builders.timelog import a_time
from tests.examining_client import ExaminingClient

WHOLE = {"minutes": "1:20", "activity": "sanding", "on_date": "2026-11-20", "note": "both sides", "piece": ""}


@pytest.fixture
def tag(ledger: Ledger, client: ExaminingClient) -> str:  # noqa: ARG001
    with ledger.writing() as session:
        return a_piece(session, title="Oak chest").tag


@pytest.fixture
def after_nineteen_hours(ledger: Ledger, client: ExaminingClient) -> Iterator[None]:  # noqa: ARG001
    with ledger.writing() as session:
        start_timer(session, piece_id=None, activity=Activity.SANDING, now=NOW)
    with freeze_time(NOW + timedelta(hours=19)):
        yield


def entries(ledger: Ledger) -> list[TimeRow]:
    with ledger.reading() as session:
        return times_between(session, date.min, date.max)


def timer(ledger: Ledger) -> TimerRow | None:
    with ledger.reading() as session:
        return running_timer(session)


def started(client: ExaminingClient, piece: str, activity: str) -> str:
    """Where starting the clock, as a piece's page does it, leads."""
    page = client.get("/time/new").text
    token = re.search(r'name="csrf_token" value="([^"]+)"', page)
    assert token is not None
    answer = client.post("/time/start", {"csrf_token": token[1], "piece": piece, "activity": activity})
    assert answer.status_code == 303
    return str(answer.location)


def test_the_clock_is_started_from_a_pieces_page_and_shows_everywhere(
    client: ExaminingClient, tag: str, ledger: Ledger
) -> None:
    assert started(client, tag, "sanding") == f"/pieces/{tag}"
    found = timer(ledger)
    assert found is not None
    assert found.piece_tag == tag
    with freeze_time(NOW + timedelta(minutes=64, seconds=30)):
        page = client.get(f"/pieces/{tag}/time").text
    assert "Sanding · Oak chest" in page
    assert "1 h 4 min" in page


def test_the_clock_is_started_for_the_shop_and_stopped_on_its_own_page(client: ExaminingClient, ledger: Ledger) -> None:
    answer = client.post_form("/time/start", {"piece": "", "activity": "sourcing"}, from_page="/time")
    assert answer.location == "/time"
    with freeze_time(NOW + timedelta(minutes=40)):
        answer = client.post_form("/time/stop", {}, from_page="/time")
        assert answer.location == "/time"
        assert "The clock is stopped: 40 min." in client.get("/time").text
    assert [(row.minutes, row.piece_tag) for row in entries(ledger)] == [(40, None)]


def test_starting_without_an_activity_asks_for_it(client: ExaminingClient, ledger: Ledger) -> None:
    answer = client.post_form("/time/start", {"piece": ""}, from_page="/time")
    assert answer.status_code == 422
    assert "Choose what you do." in answer.text
    assert timer(ledger) is None


def test_a_double_click_on_start_and_on_stop_is_harmless(client: ExaminingClient, tag: str, ledger: Ledger) -> None:
    for _ in range(2):
        started(client, tag, "sanding")
    page = client.get("/time").text
    token = re.search(r'name="csrf_token" value="([^"]+)"', page)
    assert token is not None
    for _ in range(2):
        assert client.post("/time/stop", {"csrf_token": token[1]}).status_code == 303
    assert len(entries(ledger)) == 1


def test_a_second_clock_is_offered_as_a_switch(client: ExaminingClient, tag: str, ledger: Ledger) -> None:
    started(client, "", "sourcing")
    with freeze_time(NOW + timedelta(minutes=25)):
        offer = started(client, tag, "sanding")
        assert offer == f"/time/switch?piece={tag}&activity=sanding"
        page = client.get(offer).text
        for words in ("Sourcing, for the shop", "25 min", f"Sanding, Oak chest {tag}"):
            assert words in page
        answer = client.post_form("/time/switch", {}, from_page=offer)
    assert answer.location == f"/pieces/{tag}"
    found = timer(ledger)
    assert found is not None
    assert (found.piece_tag, found.started_at) == (tag, NOW + timedelta(minutes=25))
    assert [row.minutes for row in entries(ledger)] == [25]


@pytest.mark.parametrize("query", ["", "?activity=sanding", "?activity=napping&piece=ZZZ"])
def test_there_is_nothing_to_switch_without_a_clock(client: ExaminingClient, query: str) -> None:
    answer = client.get(f"/time/switch{query}", status=303)
    assert str(answer.location).startswith("/time")


@pytest.mark.usefixtures("after_nineteen_hours")
def test_a_clock_that_ran_on_asks_how_long_it_was(client: ExaminingClient, ledger: Ledger) -> None:
    answer = client.post_form("/time/stop", {}, from_page="/time")
    assert answer.location == "/time/ran-long"
    assert entries(ledger) == []
    page = client.get("/time/ran-long").text
    assert "The clock ran 19 h" in page
    assert "How long did you work?" in page
    answer = client.post_form("/time/ran-long", {"minutes": "2 h 30"}, from_page="/time/ran-long")
    assert answer.location == "/time"
    assert [(row.minutes, row.on_date) for row in entries(ledger)] == [(150, date(2026, 11, 25))]
    assert timer(ledger) is None
    assert client.get("/time/ran-long", status=303).location == "/time"


@pytest.mark.usefixtures("after_nineteen_hours")
@pytest.mark.parametrize(
    ("typed", "words"),
    [
        ("", "Type how long you really worked."),
        ("20 h", "it cannot have been more"),
        ("a bit", "Type the time in minutes"),
    ],
)
def test_an_impossible_length_is_told_at_its_field(
    client: ExaminingClient, ledger: Ledger, typed: str, words: str
) -> None:
    answer = client.post_form("/time/ran-long", {"minutes": typed})
    assert answer.status_code == 422
    assert re.search(rf'id="minutes-error">.*?{words}', answer.text)
    assert f'value="{typed}"' in answer.text
    assert timer(ledger) is not None


@pytest.mark.usefixtures("after_nineteen_hours")
def test_a_clock_that_ran_for_nothing_can_be_dropped(client: ExaminingClient, ledger: Ledger) -> None:
    answer = client.post_form("/time/drop", {}, from_page="/time/ran-long")
    assert answer.location == "/time"
    assert "No time was saved." in client.get("/time").text
    assert timer(ledger) is None
    assert entries(ledger) == []


@pytest.mark.usefixtures("after_nineteen_hours")
def test_a_clock_that_ran_on_cannot_be_switched_away(client: ExaminingClient, ledger: Ledger) -> None:
    answer = client.post_form("/time/switch", {}, from_page="/time/switch?piece=&activity=repair")
    assert answer.location == "/time/ran-long"
    assert "Say how long you really worked." in client.get(answer.location).text
    assert timer(ledger) is not None


def test_work_is_typed_in_on_a_piece(client: ExaminingClient, tag: str, ledger: Ledger) -> None:
    path = f"/time/new?piece={tag.lower()}"
    assert re.search(rf'<option selected value="{tag}">Oak chest · {tag}</option>', client.get(path).text)
    answer = client.post_form("/time/new", {**WHOLE, "piece": tag}, from_page=path)
    assert answer.location == f"/pieces/{tag}/time"
    page = client.get(answer.location).text
    for words in ("1 h 20 min saved.", "Sanding", "20 Nov 2026", "both sides"):
        assert words in page
    assert [(row.minutes, row.piece_tag) for row in entries(ledger)] == [(80, tag)]


def test_work_for_the_shop_leads_to_its_week(client: ExaminingClient) -> None:
    answer = client.post_form("/time/new", {**WHOLE, "on_date": "2026-11-05"})
    assert answer.location == "/time?week=2026-11-02"
    page = client.get(answer.location).text
    assert "Thursday 5 Nov" in page
    assert "both sides" in page


def test_a_piece_that_is_gone_can_be_worked_on_from_its_own_page(
    client: ExaminingClient, tag: str, ledger: Ledger
) -> None:
    with ledger.writing() as session:
        leave(session, 1, Leaving.KEPT, on_date=date(2026, 11, 2), reason="", version=None, now=NOW)
    assert tag not in client.get("/time/new").text
    client.post_form("/time/new", {**WHOLE, "piece": tag}, from_page=f"/time/new?piece={tag}")
    assert len(entries(ledger)) == 1


@pytest.mark.parametrize(
    ("wrong", "words"),
    [
        ({"minutes": ""}, "Type how long it took."),
        ({"minutes": "   "}, "Type how long it took."),
        ({"minutes": "0"}, "at least 1 minute"),
        ({"minutes": "25 h"}, "at most 24 hours"),
        ({"minutes": "a while"}, "Type the time in minutes"),
        ({"activity": ""}, "Choose what you did."),
        ({"on_date": ""}, "Say on which day it was."),
        ({"on_date": "2026-11-26"}, "has not come yet"),
        ({"on_date": "2023-01-01"}, "before the day your books begin"),
        ({"note": "x" * 201}, "201 characters long"),
    ],
)
def test_bad_words_are_told_at_their_field_and_the_rest_is_kept(
    client: ExaminingClient, ledger: Ledger, wrong: dict[str, str], words: str
) -> None:
    answer = client.post_form("/time/new", {**WHOLE, **wrong})
    assert answer.status_code == 422
    assert re.search(rf'id="{next(iter(wrong))}-error">.*?{re.escape(words)}', answer.text)
    for name, said in {**WHOLE, **wrong}.items():
        if name not in {"activity", "piece"}:
            assert re.search(rf'name="{name}"[^>]*value="{re.escape(said)}"', answer.text), name
    assert entries(ledger) == []


def test_a_full_day_is_told_at_the_minutes(client: ExaminingClient, ledger: Ledger) -> None:
    with ledger.writing() as session:
        a_time(session, minutes=23 * 60)
    answer = client.post_form("/time/new", WHOLE)
    assert re.search(r'id="minutes-error">.*?there is room for 1 h', answer.text)


def test_a_week_shows_its_days_with_totals_and_leads_on(client: ExaminingClient, ledger: Ledger) -> None:
    with ledger.writing() as session:
        a_time(session, on_date=date(2026, 11, 24), minutes=30)
        a_time(session, on_date=date(2026, 11, 24), minutes=15)
        a_time(session, on_date=date(2026, 11, 23), minutes=60)
        a_time(session, on_date=date(2026, 11, 4), minutes=7)
    page = client.get("/time").text
    for words in ("23 Nov to 29 Nov 2026", "1 h 45 min", "Tuesday 24 Nov", "45 min"):
        assert words in page
    assert "week=2026-11-16" in page
    assert "week=2026-11-30" not in page
    first = client.get("/time?week=2026-11-02").text
    assert "week=2026-11-09" in first
    assert "week=2026-10-26" not in first
    assert "No time was written down this week." in client.get("/time?week=2026-11-11").text


def test_a_week_that_is_none_shows_the_present_one(client: ExaminingClient) -> None:
    for week in ("soon", "2026-99-99"):
        assert "23 Nov to 29 Nov 2026" in client.get(f"/time?week={week}").text


def test_striking_out_asks_for_a_reason_and_keeps_the_entry_in_sight(
    client: ExaminingClient, tag: str, ledger: Ledger
) -> None:
    with ledger.writing() as session:
        path = f"/time/{a_time(session, 1).id}/strike"
    assert "stays in sight" in client.get(path).text
    answer = client.post_form(path, {"reason": " "})
    assert "Say why it is struck out" in answer.text
    answer = client.post_form(path, {"reason": "wrong piece"})
    assert answer.location == f"/pieces/{tag}/time"
    assert "Struck out: wrong piece" in client.get(answer.location).text
    assert "<form" not in client.get(path).text.partition("<main")[2]


def test_time_is_taken_away_with_what_was_struck_out(client: ExaminingClient, tag: str, ledger: Ledger) -> None:
    with ledger.writing() as session:
        strike_time(session, a_time(session, 1).id, reason="wrong", now=NOW)
        a_time(session, on_date=date(2026, 11, 24), note="=1+1")
    header, late, early = csv.reader(StringIO(client.get("/time.csv").text))
    assert dict(zip(header, late, strict=True)) | {"Note": "'=1+1", "Minutes": "45"} == dict(
        zip(header, late, strict=True)
    )
    assert dict(zip(header, early, strict=True))["Struck out because"] == "wrong"
    assert len(client.get("/time.csv?week=2026-11-24").text.splitlines()) == 2
    assert len(client.get(f"/pieces/{tag}/time.csv").text.splitlines()) == 2


def test_what_is_not_there_is_not_found(client: ExaminingClient) -> None:
    for path in ("/pieces/ZZZ/time", "/pieces/ZZZ/time.csv", "/time/99/strike"):
        client.get(path, status=404)


def test_more_entries_take_no_more_queries(client: ExaminingClient, tag: str, ledger: Ledger) -> None:
    pages = ("/time", f"/pieces/{tag}/time", "/time/new")
    before = {}
    with ledger.writing() as session:
        a_time(session, 1, on_date=date(2026, 11, 24))
    for path in pages:
        client.get(path)
        before[path] = client.queries
    with ledger.writing() as session:
        for _ in range(12):
            a_time(session, a_piece(session).id, on_date=date(2026, 11, 24))
            a_time(session, 1, on_date=date(2026, 11, 23))
    for path in pages:
        client.get(path)
        assert client.queries == before[path], path
