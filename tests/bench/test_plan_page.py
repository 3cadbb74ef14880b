"""The page of the plan: what may be asked, how it is told, and what is said where there is none."""

import re
from datetime import datetime

import pytest

from app.basics.spells import parse_spells
from app.bench.actions import expect
from app.database.unit_of_work import Ledger
from app.pieces.rules import Age
from app.recipes.rules import StepFacts, Task
from app.shop.actions import set_usual_hours
from tests.bench.hands import SAND, a_drying_job, a_job, begin
from tests.builders.finishes import a_coat
from tests.builders.pieces import NOW
from tests.examining_client import ExaminingClient

TONIGHT = "/bench/plan?from=19:00&to=22:00"


def usual_evenings(ledger: Ledger) -> None:
    with ledger.writing() as session:
        set_usual_hours(session, [parse_spells("19-21:30")] * 7)


def test_without_hours_it_asks_for_them_and_offers_the_next_three(client: ExaminingClient, ledger: Ledger) -> None:
    with ledger.writing() as session:
        a_job(session)
    page = client.get("/bench/plan").text
    assert "Say which hours you have" in page
    assert 'href="/bench/hours"' in page
    assert 'value="08:30"' in page
    assert 'value="11:30"' in page
    assert 'value="2026-11-25"' in page


def test_nothing_under_way_leads_to_the_bench(client: ExaminingClient, ledger: Ledger) -> None:
    usual_evenings(ledger)
    page = client.get("/bench/plan").text
    assert "Nothing to plan: begin a finish on a piece first." in page
    assert 'class="button" href="/bench"' in page
    assert "Nothing to plan" in client.get(TONIGHT).text


def test_one_evening_is_planned_and_what_it_counts_on_after_it_is_said(client: ExaminingClient, ledger: Ledger) -> None:
    with ledger.writing() as session:
        piece, steps = a_job(session, title="Oak chest")
    page = client.get(TONIGHT).text
    assert "Today, 19:00 to 22:00" in page
    assert "same hours on every day that follows" in page
    assert f'Oak chest <span class="tag-number">{piece.tag}</span>' in page
    assert f'href="/finishes/steps/{steps[0].id}/begin?next=/bench"' in page
    assert "The plan knows nothing of dust: do not sand beside a wet coat." in page
    assert page.count("guess") >= 3
    assert "Places to dry (4) and the spray corner (30 min after a coat) are guesses." in page
    usual_evenings(ledger)
    assert "usual week after these hours" in client.get(TONIGHT).text
    assert 'href="/bench/plan"' in client.get(TONIGHT).text


def test_the_usual_week_is_planned_without_being_asked(client: ExaminingClient, ledger: Ledger) -> None:
    usual_evenings(ledger)
    with ledger.writing() as session:
        for number in range(6):
            piece, _ = a_job(session, title=f"Chest {number}")
            expect(session, piece.id, 10_000 + number, version=None, now=NOW)
    page = client.get("/bench/plan").text
    assert "It counts on your usual week." in page
    assert "Today, 19:00 to 21:30" in page
    assert "Tomorrow 19:00 to 21:30" in page
    assert re.search(r"[0-9]+ sessions? after that", page)
    assert page.index("Chest 5") < page.index("Chest 0")
    assert "/brings?next=/bench/plan" in page


def test_what_is_begun_and_what_dries_stand_on_the_strip(client: ExaminingClient, ledger: Ledger) -> None:
    usual_evenings(ledger)
    with ledger.writing() as session:
        _, begun = a_job(session, title="Begun chest")
        begin(session, begun[0])
        a_drying_job(session, title="Wet chest")
    page = client.get("/bench/plan").text
    assert "It goes on where it was begun" in page
    drawn = page.partition('role="img"')[2].partition("</svg>")[0]
    assert "Wet chest" in drawn
    assert "dries until 11:30" in drawn
    assert 'class="part chart-bar"' in drawn
    assert "19:00" in drawn
    assert "<title" in drawn
    assert "<desc" in drawn


def test_what_is_left_over_is_told_with_its_reason(client: ExaminingClient, ledger: Ledger) -> None:
    with ledger.writing() as session:
        a_job(session, StepFacts(Task.SAND, active=240), title="Big chest")
    page = client.get(TONIGHT).text
    assert "Left over" in page
    assert "It takes 4 h and your longest free spell is 3 h." in page
    assert "not within this plan" in page


@pytest.mark.parametrize(
    ("asked", "words"),
    [
        ("from=19:00&to=18:00", "That ends before it begins."),
        ("from=19:00&to=19:00", "That is no time at all."),
        ("from=&to=18:00", "Say from when."),
        ("from=19:00&to=", "Say until when."),
        ("from=late&to=22:00", "Type a time like 19:00 or 7pm."),
        ("from=19:00&to=22:00&day=2026-11-24", "24 November 2026 is past."),
        ("from=19:00&to=22:00&day=2026-02-31", "There is no 31 February"),
        ("from=19:00&to=22:00&day=2199-01-01", "within the next 60 days"),
        ("from=07:00&to=08:00", "That time is over already."),
        ("from=%00&to=" + "9" * 3000 + "&_scheme=gopher&_method=x", "Type a time like 19:00 or 7pm."),
    ],
)
def test_hours_that_make_no_sense_are_said_at_their_box(
    client: ExaminingClient, ledger: Ledger, asked: str, words: str
) -> None:
    with ledger.writing() as session:
        a_job(session)
    page = client.get(f"/bench/plan?{asked}").text
    assert "There is a problem" in page
    assert words in page


def test_an_evening_past_midnight_is_planned(client: ExaminingClient, ledger: Ledger) -> None:
    with ledger.writing() as session:
        a_job(session, SAND)
    assert "Today, 23:00 to 01:00" in client.get("/bench/plan?from=11pm&to=1am").text


def test_the_plan_goes_along_as_a_list(client: ExaminingClient, ledger: Ledger) -> None:
    with ledger.writing() as session:
        piece, _ = a_job(session, title="Oak chest")
    header, first, *rest = client.get(TONIGHT.replace("plan?", "plan.csv?")).text.splitlines()
    assert header.startswith("From,To,Tag,Piece,Step,Part,Minutes,Minutes from,Dry at,Why there")
    assert first.startswith(
        f'2026-11-25 19:00,2026-11-25 20:00,{piece.tag},Oak chest,"Sand, P180",All of it,60,guess,,'
    )
    assert len(rest) == 2
    assert client.get("/bench/plan.csv").text.splitlines() == [header]


def test_looking_at_it_twice_shows_the_same(client: ExaminingClient, ledger: Ledger, now: datetime) -> None:  # noqa: ARG001
    with ledger.writing() as session:
        for _ in range(4):
            a_job(session)
    assert client.get(TONIGHT).text == client.get(TONIGHT).text


def test_each_piece_says_what_keeps_it_waiting_and_long_work_is_said_roughly(
    client: ExaminingClient, ledger: Ledger
) -> None:
    with ledger.writing() as session:
        a_drying_job(session, a_coat(coats=2, recoat=24 * 60), title="Wet chest")
        a_job(session, StepFacts(Task.TEST), SAND, title="Old chest", age=Age.UNKNOWN)
        a_job(session, StepFacts(Task.SAND, active=263), title="Rough chest")
    page = client.get("/bench/plan?from=17:00&to=22:00").text
    assert "Nothing can be begun on it until it is dry, tomorrow 07:30." in page
    assert page.count("It waits for the result of the lead test.") == 2
    assert "about 4 h 30 min" in page
