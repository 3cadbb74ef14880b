"""The page of the pile: photos come in, are shown in groups, and go where the owner says."""

import re
from datetime import date
from io import BytesIO
from typing import Any

import pytest
from flask import Flask
from werkzeug.datastructures import FileStorage

from app.basics.settings import Settings
from app.database.unit_of_work import Ledger
from app.photos.actions import lay_on_pile
from app.photos.models import Photo
from app.photos.queries import photos_of, pile
from app.photos.rules import Shows
from app.photos.store import keep
from app.pieces.models import Piece
from tests.builders.photos import NOW, photo_bytes
from tests.builders.pieces import a_piece
from tests.builders.timelog import a_time
from tests.examining_client import ExaminingClient, Page


def body(red: int, time: str | None = "09:00:00") -> bytes:
    taken = f"2026:11:24 {time}" if time else None
    return photo_bytes(8, 8, kind="PNG", colour=(red % 256, red // 256, 1), taken=taken, offset="-07:00")


@pytest.fixture
def tag(ledger: Ledger, client: ExaminingClient) -> str:  # noqa: ARG001
    with ledger.writing() as session:
        return a_piece(session, title="Oak chest").tag


def lay(app: Flask, ledger: Ledger, *times: str) -> list[int]:
    """Photos on the pile, taken at these times of 24 November."""
    settings: Settings = app.extensions["tackcloth_settings"]
    stored = [keep(settings.photo_dir, BytesIO(body(red, time)), f"{red}.png") for red, time in enumerate(times)]
    with ledger.writing() as session:
        return [photo.id for photo in lay_on_pile(session, stored, now=NOW)]


def piled(ledger: Ledger) -> list[int]:
    with ledger.reading() as session:
        return [photo.id for photo in pile(session)]


def sort(client: ExaminingClient, act: str, numbers: list[int], **said: Any) -> Any:
    """Send the form of the first group on the page with these photos ticked."""
    forms = [form for form in Page(client.get("/photos").text).forms if form["action"] == "/photos/sort"]
    fields = {name: value for name, value in forms[0]["fields"].items() if name != "photos"}
    return client.post("/photos/sort", {**fields, "act": act, "photos": [str(number) for number in numbers], **said})


def test_today_says_how_many_wait_to_be_sorted(app: Flask, client: ExaminingClient, ledger: Ledger, tag: str) -> None:
    assert tag
    assert "photos to sort</a>" not in client.get("/").text
    lay(app, ledger, "09:00:00", "09:01:00")
    assert '<a href="/photos">2 photos to sort</a>' in client.get("/").text


def test_an_empty_pile_asks_for_photos_with_two_boxes(client: ExaminingClient) -> None:
    page = client.get("/photos").text
    assert "Nothing to sort" in page
    boxes = re.findall(r'<input[^>]*type="file"[^>]*>', page)
    assert ["multiple" in box for box in boxes] == [True, False]
    assert ['capture="environment"' in box for box in boxes] == [False, True]
    assert all('accept="image/jpeg,image/png,image/webp,image/heic,image/heif"' in box for box in boxes)
    assert 'data-upload="/photos/one"' in page


def test_photos_come_in_without_script_and_each_trouble_is_told(
    client: ExaminingClient, ledger: Ledger, tag: str
) -> None:
    client.post_form(f"/pieces/{tag}/photos", {"photos": FileStorage(BytesIO(body(5)), filename="there.png")})
    files = [(body(1), "a.png"), (b"no", "notes.txt"), (body(5), "there.png"), (body(1), "a.png")]
    sent = [FileStorage(BytesIO(content), filename=name) for content, name in files]
    answer = client.post_form("/photos", {"photos": sent, "camera": FileStorage(BytesIO(body(2)), filename="c.png")})
    assert answer.status_code == 422
    assert "notes.txt: This is not a readable photo" in answer.text
    assert f"2 photos laid on the pile. 2 photos already here and not doubled: on {tag}, on the pile." in answer.text
    assert len(piled(ledger)) == 2


def test_good_photos_lead_back_to_the_pile_and_none_is_asked_about(client: ExaminingClient) -> None:
    answer = client.post_form("/photos", {"photos": FileStorage(BytesIO(body(1)), filename="a.png")})
    assert (answer.status_code, answer.location) == (303, "/photos")
    assert "1 photo laid on the pile." in client.get("/photos").text
    assert "Choose at least one photo first." in client.post_form("/photos", {}).text


def test_the_gap_can_be_chosen_and_nonsense_is_the_usual_one(
    client: ExaminingClient, app: Flask, ledger: Ledger
) -> None:
    lay(app, ledger, "09:00:00", "09:05:00", "09:30:00", "23:59:00")
    counts = {}
    for gap in ("2", "10", "30", "1440", "7", "x"):
        counts[gap] = client.get(f"/photos?gap={gap}").text.count('action="/photos/sort"')
    assert counts == {"2": 4, "10": 3, "30": 2, "1440": 1, "7": 3, "x": 3}


def test_pieces_found_or_worked_on_that_day_stand_first(client: ExaminingClient, app: Flask, ledger: Ledger) -> None:
    with ledger.writing() as session:
        found = a_piece(session, title="Found that day", bought_on=date(2026, 11, 24))
        worked = a_piece(session, title="Worked on", bought_on=date(2026, 11, 1))
        other = a_piece(session, title="Something else", bought_on=date(2026, 11, 20))
        a_time(session, worked.id, on_date=date(2026, 11, 24))
    lay(app, ledger, "23:30:00")
    likely, others = re.findall(r"<optgroup.*?</optgroup>", client.get("/photos").text, re.DOTALL)
    assert (found.tag in likely, worked.tag in likely, other.tag in likely) == (True, True, False)
    assert other.tag in others


def test_today_tells_of_photos_that_wait_and_of_none(client: ExaminingClient, app: Flask, ledger: Ledger) -> None:
    assert "on no piece yet" not in client.get("/").text
    numbers = lay(app, ledger, "09:00:00", "09:01:00")
    assert 'href="/photos">2 photos to sort</a>' in client.get("/").text
    sort(client, "aside", numbers)
    assert "on no piece yet" not in client.get("/").text


def test_ticked_photos_go_on_the_piece_and_can_be_laid_back(
    client: ExaminingClient, app: Flask, ledger: Ledger, tag: str
) -> None:
    numbers = lay(app, ledger, "09:00:00", "09:01:00", "09:02:00")
    answer = sort(client, "piece", numbers[:2], piece=tag)
    assert answer.status_code == 303
    page = client.get(answer.location).text
    assert f"2 photos put on Oak chest, {tag}." in page
    with ledger.reading() as session:
        assert [(photo.id, photo.shows) for photo in photos_of(session, 1)] == [(n, Shows.FOUND) for n in numbers[:2]]
    assert piled(ledger) == numbers[2:]
    assert "put on Oak chest" not in client.get(f"/photos?moved={numbers[0]}").text, "no piece was named"
    client.post_form("/photos/back", {}, from_page=answer.location)
    assert piled(ledger) == numbers
    assert "2 photos back on the pile." in client.get("/photos").text


def test_what_they_show_can_be_said(client: ExaminingClient, app: Flask, ledger: Ledger, tag: str) -> None:
    sort(client, "piece", lay(app, ledger, "09:00:00"), piece=tag, shows="listing")
    with ledger.reading() as session:
        assert photos_of(session, 1)[0].shows is Shows.LISTING


def test_photos_taken_off_can_be_put_back(client: ExaminingClient, app: Flask, ledger: Ledger) -> None:
    numbers = lay(app, ledger, "09:00:00")
    answer = sort(client, "aside", numbers)
    assert "1 photo taken off the pile." in client.get(answer.location).text
    client.post_form("/photos/back", {}, from_page=answer.location)
    assert piled(ledger) == numbers


@pytest.mark.parametrize(
    ("act", "to"), [("find", "/find?photos="), ("receipts", "/receipts?photos=")], ids=["find", "receipts"]
)
def test_photos_are_carried_to_a_find_and_to_receipts(
    client: ExaminingClient, app: Flask, ledger: Ledger, act: str, to: str
) -> None:
    numbers = lay(app, ledger, "09:00:00", "09:01:00")
    answer = sort(client, act, numbers)
    assert answer.location == to + ",".join(map(str, numbers))
    client.get(answer.location)


def test_no_tick_and_no_piece_are_asked_about_and_the_ticks_stay(
    client: ExaminingClient, app: Flask, ledger: Ledger, tag: str
) -> None:
    numbers = lay(app, ledger, "09:00:00", "09:01:00")
    answer = sort(client, "piece", numbers[:1])
    assert answer.status_code == 422
    assert "Choose the piece these photos belong to." in answer.text
    assert len(re.findall(r'name="photos" value="\d+" checked', answer.text)) == 1
    for act in ("piece", "find", "receipts", "aside"):
        answer = sort(client, act, [], piece=tag)
        assert (answer.status_code, "Leave at least one photo ticked." in answer.text) == (422, True)
    assert sort(client, "piece", numbers, piece="ZZZ9").status_code == 404
    assert piled(ledger) == numbers


def test_a_double_click_puts_them_on_the_piece_once(
    client: ExaminingClient, app: Flask, ledger: Ledger, tag: str
) -> None:
    numbers = lay(app, ledger, "09:00:00")
    form = next(one for one in Page(client.get("/photos").text).forms if one["action"] == "/photos/sort")
    fields = {**form["fields"], "act": "piece", "piece": tag, "photos": [str(number) for number in numbers]}
    first, second = client.post("/photos/sort", fields), client.post("/photos/sort", fields)
    assert (first.status_code, second.status_code) == (303, 303)
    with ledger.reading() as session:
        assert len(photos_of(session, 1)) == 1


@pytest.mark.parametrize("said", ["1,2,x", "9" * 30, "-1,,", "1;2"])
def test_numbers_that_are_none_do_no_harm(client: ExaminingClient, said: str) -> None:
    for path in ("/photos?moved=", "/find?photos=", "/receipts?photos=", "/receipts?done="):
        client.get(path + said)


def test_two_hundred_photos_in_many_groups_ask_no_more_queries(
    client: ExaminingClient, ledger: Ledger, tag: str
) -> None:
    client.get("/photos")
    bare = client.queries
    with ledger.writing() as session:
        for number in range(200):
            session.add(
                Photo(
                    sha256=f"{number:064d}",
                    shows=Shows.FOUND,
                    position=number,
                    width=40,
                    height=30,
                    bytes=1,
                    kind="jpeg",
                    given_name="x",
                    taken_at=NOW.replace(hour=number // 60, minute=number % 60) if number % 3 else None,
                    made_at=NOW,
                )
            )
        assert session.query(Piece).filter_by(tag=tag).one()
    for path in ("/photos", "/photos?gap=2", "/photos?gap=1440", "/photos?gap=2&page=3"):
        page = client.get(path).text
        assert client.queries <= bare + 2, path
        assert "200 photos on the pile" in page
