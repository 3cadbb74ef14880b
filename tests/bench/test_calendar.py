"""The times of drying for a calendar: read back by a library, and held to the letter of the format."""

from datetime import timedelta
from typing import Any

from icalendar import Calendar

from app.database.unit_of_work import Ledger
from app.recipes.actions import wait_longer
from app.recipes.rules import Part
from tests.bench.hands import HOUR, a_drying_job
from tests.builders.finishes import a_coat
from tests.builders.pieces import NOW
from tests.examining_client import ExaminingClient

READY = "/bench/ready.ics"
LONGEST_LINE = 75


def events(client: ExaminingClient) -> list[Any]:
    return list(Calendar.from_ical(client.get(READY).data).walk("VEVENT"))


def test_each_part_that_dries_is_one_event_at_its_moment_in_utc(client: ExaminingClient, ledger: Ledger) -> None:
    with ledger.writing() as session:
        piece, steps = a_drying_job(session, a_coat(Part.BODY, coats=2), title="chest of drawers")
    answer = client.get(READY)
    assert answer.headers["Content-Type"] == "text/calendar; charset=utf-8"
    assert 'filename="ready.ics"' in answer.headers["Content-Disposition"]
    [found] = events(client)
    assert found["SUMMARY"] == f"Next coat: Body, chest of drawers {piece.tag}"
    assert found.decoded("DTSTART") == NOW + 3 * HOUR
    assert b"DTSTART:20261125T183000Z\r\n" in answer.data
    assert found["UID"] == f"step-{steps[0].id}@tackcloth"
    assert found.decoded("DTSTAMP") == NOW
    assert "LAST-MODIFIED" not in found
    assert "The label of the product rules" in found["DESCRIPTION"]
    assert "Then: Paint, coat 2 of 2." in found["DESCRIPTION"]
    [alarm] = found.walk("VALARM")
    assert (alarm["ACTION"], alarm.decoded("TRIGGER")) == ("DISPLAY", timedelta(0))


def test_waiting_longer_moves_the_same_event(client: ExaminingClient, ledger: Ledger) -> None:
    with ledger.writing() as session:
        _, steps = a_drying_job(session)
    [before] = events(client)
    with ledger.writing() as session:
        wait_longer(session, steps[0].id, ready_at=NOW + 9 * HOUR, version=None, now=NOW)
    [after] = events(client)
    assert after["UID"] == before["UID"]
    assert after["SEQUENCE"] > before["SEQUENCE"]
    assert after.decoded("DTSTART") == NOW + 9 * HOUR


def test_the_last_coat_is_said_to_be_dry(client: ExaminingClient, ledger: Ledger) -> None:
    with ledger.writing() as session:
        piece, _ = a_drying_job(session, a_coat(), title="Oak chest")
    [found] = events(client)
    assert found["SUMMARY"] == f"Dry: All of it, Oak chest {piece.tag}"
    assert "Then" not in found["DESCRIPTION"]


def test_every_line_ends_and_folds_as_the_format_wants_and_words_are_escaped(
    client: ExaminingClient, ledger: Ledger
) -> None:
    chair = "\N{CHAIR}\N{VARIATION SELECTOR-16}"
    for lead in range(8):
        with ledger.writing() as session:
            a_drying_job(session, title=f"{'x' * (30 + lead)}{chair * 9}, a; b \\ c" + "y" * 30)
    data = client.get(READY).data
    assert data.endswith(b"END:VCALENDAR\r\n")
    assert b"\n" not in data.replace(b"\r\n", b"")
    lines = data.split(b"\r\n")[:-1]
    assert max(map(len, lines)) <= LONGEST_LINE
    for line in lines:
        line.decode()
    unfolded = data.replace(b"\r\n ", b"").decode()
    assert f"{chair * 9}\\, a\\; b \\\\ cyyy" in unfolded
    assert "Then: Paint\\, coat 2 of 2.\\nThe time holds" in unfolded
    assert len(events(client)) == 8
    assert all(f"{chair * 9}, a; b \\ cyyy" in found["SUMMARY"] for found in events(client))


def test_a_title_cannot_smuggle_a_line_in(client: ExaminingClient, ledger: Ledger) -> None:
    with ledger.writing() as session:
        a_drying_job(session, title="Chest\r\nATTENDEE:mailto:nobody@example.invalid\nX")
    data = client.get(READY).data
    assert b"\r\nATTENDEE" not in data
    assert len(events(client)) == 1


def test_nothing_drying_leads_back_to_the_bench(client: ExaminingClient) -> None:
    assert client.get(READY, status=303).headers["Location"] == "/bench"
    assert "Nothing is drying now" in client.get("/bench").text
