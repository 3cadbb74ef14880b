"""Printing tags: the page, the PDF, and where a code leads."""

import re
from typing import Any

import pypdfium2
import pytest
from flask import Flask
from sqlalchemy.orm import Session

from app.access import actions
from app.access.queries import home_address
from app.access.rules import Home
from app.basics.quantities import Units
from app.database.unit_of_work import Ledger
from app.desk.queries.tags import tag_choice, tag_faces
from app.floor.actions import word_care
from app.pieces.queries import piece_rows
from app.pieces.rules import Form, Stage
from app.recipes.rules import Product, Task
from tests.builders.finishes import a_coat, a_finish, do_step, steps_of
from tests.builders.floor import a_listed_piece
from tests.builders.pieces import NOW, a_piece
from tests.builders.sales import a_sold_piece
from tests.builders.wordings import a_home
from tests.desk.printed import pages_of, read_codes
from tests.examining_client import ExaminingClient

GOOD = "copper kettle on the sill"


def words_of(body: bytes) -> str:
    return " ".join(page.get_textpage().get_text_range() for page in pypdfium2.PdfDocument(body))


def codes_of(body: bytes) -> list[str]:
    return sorted(code for page in pages_of(body) for code in read_codes(page))


def test_all_on_hand_are_printed_where_nothing_is_asked(client: ExaminingClient, ledger: Ledger) -> None:
    with ledger.writing() as session:
        here, listed, sold = a_piece(session).tag, a_listed_piece(session).tag, a_sold_piece(session)[0].tag
        a_home(session)
    answer = client.get("/tags.pdf")
    assert answer.headers["Content-Disposition"] == 'attachment; filename="tags.pdf"'
    assert codes_of(answer.data) == sorted(f"HTTPS://192.168.1.20:8427/T/{tag}" for tag in (here, listed))
    assert codes_of(client.get("/tags.pdf?which=floor").data) == [f"HTTPS://192.168.1.20:8427/T/{listed}"]
    assert codes_of(client.get(f"/tags.pdf?which=ticked&tag={sold.lower()}").data) == [
        f"HTTPS://192.168.1.20:8427/T/{sold}"
    ]


def test_a_shop_without_an_address_is_told_so_and_prints_the_number_alone(
    client: ExaminingClient, ledger: Ledger
) -> None:
    with ledger.writing() as session:
        tag = a_piece(session).tag
    assert "no address for phones yet" in client.get("/tags").text
    assert codes_of(client.get("/tags.pdf").data) == [tag]
    with ledger.writing() as session:
        a_home(session)
    assert "no address for phones yet" not in client.get("/tags").text


def test_the_home_address_is_read(ledger: Ledger, client: ExaminingClient) -> None:  # noqa: ARG001
    with ledger.writing() as session:
        assert home_address(session) is None
        a_home(session)
        assert home_address(session) == Home("192.168.1.20", 8427)


def test_the_page_counts_the_sheets_and_keeps_what_was_chosen(client: ExaminingClient, ledger: Ledger) -> None:
    with ledger.writing() as session:
        for _ in range(3):
            a_piece(session)
    text = client.get("/tags?layout=a4-21&start=20&down=0.5&right=-1").text
    assert "3 tags on 2 sheets." in text
    assert '<option selected value="0.5">' in text
    assert '<option selected value="-1">' in text
    assert re.search(r'id="layout-2"[^>]*value="a4-21" checked', text)


@pytest.mark.parametrize(
    ("asked", "words"),
    [
        ("layout=a4-21&start=22", "That sheet has labels 1 to 21."),
        ("start=next", "Type the number of a label, like 5."),
        ("start=-1", "Type the number of a label, like 5."),
        ("down=7", "Choose by how much to move it."),
        ("which=ticked", "Tick the pieces whose tags you want."),
        ("which=ticked&tag=XXXX", "Tick the pieces whose tags you want."),
        ("which=floor", "There is no such piece to print a tag for."),
    ],
)
def test_what_cannot_be_printed_is_said_at_its_field(
    client: ExaminingClient, ledger: Ledger, asked: str, words: str
) -> None:
    with ledger.writing() as session:
        a_piece(session)
    there = client.get(f"/tags.pdf?{asked}", status=303).headers["Location"]
    assert words in client.get(there).text


def test_an_address_too_long_for_a_label_is_refused_with_a_way_out(client: ExaminingClient, ledger: Ledger) -> None:
    with ledger.writing() as session:
        a_piece(session)
        a_home(session, host="a" * 60 + "." + "b" * 60 + "." + "c" * 60 + ".local")
    client.get("/tags.pdf?layout=letter-30", status=303)
    assert "Choose a larger tag." in client.get("/tags?layout=letter-30").text
    assert words_of(client.get("/tags.pdf?layout=tie-letter").data)


def test_a_shop_without_pieces_is_told_so_and_not_blamed(client: ExaminingClient) -> None:
    page = client.get("/tags").text
    assert "No piece is here yet to print a tag for." in page
    assert "There is a problem" not in page


def test_nonsense_in_the_address_is_forgiven(client: ExaminingClient, ledger: Ledger) -> None:
    with ledger.writing() as session:
        a_piece(session)
    assert "1 tag on 1 sheet." in client.get("/tags?which=moon&layout=papyrus").text


def test_the_edges_can_be_printed_alone(client: ExaminingClient, ledger: Ledger) -> None:
    with ledger.writing() as session:
        a_piece(session)
    body = client.get("/tags.pdf?frame=1&layout=a4-21").data
    assert (codes_of(body), "21" in words_of(body)) == ([], True)


def test_a_tag_carries_form_size_and_the_note_on_care_of_a_finished_piece(
    client: ExaminingClient, ledger: Ledger
) -> None:
    with ledger.writing() as session:
        told: dict[str, Any] = {"form": Form.CHEST, "title": "Oak chest", "width_mm": 800, "height_mm": 762, "count": 2}
        piece = a_piece(session, stage=Stage.FINISHED, **told)
        _waxed(session, piece.id)
        _waxed(session, a_piece(session, stage=Stage.PREPPED, title="Half done").id)
    plain, cared = (words_of(client.get(f"/tags.pdf{asked}").data) for asked in ("", "?care=y"))
    for words in ("Oak chest", "Chest of drawers, set of 2", "W 31 1/2 x H 30 in", piece.tag):
        assert words in plain
    assert "Looking after it" not in plain
    assert cared.count("Looking after it") == 1
    assert "Treat it gently until 25 December 2026" in cared.replace("\r\n", " ")
    assert "Waxed" in cared


def test_what_the_paper_cannot_show_is_said_before_it_is_printed(client: ExaminingClient, ledger: Ledger) -> None:
    with ledger.writing() as session:
        far = a_piece(session, title="\u6905\u5b50").tag
        done = a_piece(session, stage=Stage.FINISHED)
        word_care(session, done.id, "Wax\n" * 100, version=None, now=NOW)
        tag = done.tag
    page = client.get("/tags?care=y").text
    assert re.search(rf"does not fit its label and is cut:</strong> <a href=\"/pieces/{tag}/care\">", page)
    assert re.search(rf"no such letters and shows \u25ca for them:</strong> {far}\.", page)
    assert "does not fit its label" not in client.get("/tags").text


def test_a_piece_leads_to_its_tag(client: ExaminingClient, ledger: Ledger) -> None:
    with ledger.writing() as session:
        tag = a_piece(session, title="L" * 120).tag
    assert f"/tags?which=ticked&amp;tag={tag}" in client.get(f"/pieces/{tag}").text
    assert f"Pieces ticked: {tag}" in client.get(f"/tags?which=ticked&tag={tag}").text


def test_queries_do_not_grow_with_pieces(client: ExaminingClient, ledger: Ledger) -> None:
    counted = []
    for more in (1, 5):
        with ledger.writing() as session:
            for _ in range(more):
                _waxed(session, a_piece(session, stage=Stage.FINISHED).id)
        client.get("/tags?care=y")
        counted.append(client.queries)
    assert counted[0] == counted[1]


@pytest.mark.parametrize("path", ["/t/{}", "/T/{}"])
def test_a_code_leads_to_its_piece_however_it_is_written(client: ExaminingClient, ledger: Ledger, path: str) -> None:
    with ledger.writing() as session:
        tag = a_piece(session).tag
    for written in (tag, tag.lower(), f"{tag[0]}-{tag[1:]}"):
        assert client.get(path.format(written), status=303).headers["Location"] == f"/pieces/{tag}"


def test_a_tag_nobody_has_is_named(client: ExaminingClient) -> None:
    assert "No piece here has the tag 9ZZ9." in client.get("/t/9zz9", status=404).text
    assert "&lt;B&gt;" in client.get("/T/<b>", status=404).text


def test_a_phone_that_is_not_signed_in_comes_back_to_the_piece(
    app: Flask,
    client: ExaminingClient,  # noqa: ARG001
    ledger: Ledger,
) -> None:
    with ledger.writing() as session:
        tag = a_piece(session).tag
        actions.set_passphrase(session, GOOD, now=NOW)
    phone = ExaminingClient(app)
    phone.raw.environ_base["REMOTE_ADDR"] = "192.168.1.30"
    door = phone.get(f"/T/{tag}", status=303).headers["Location"]
    assert door == f"/sign-in?next=/T/{tag}"
    onward = phone.post_form(door, {"passphrase": GOOD, "name": "phone"}).headers["Location"]
    assert onward == f"/T/{tag}"
    assert phone.get(onward, status=303).headers["Location"] == f"/pieces/{tag}"


def test_struck_finds_get_no_tag(ledger: Ledger, client: ExaminingClient) -> None:  # noqa: ARG001
    from app.desk.actions import strike_find

    with ledger.writing() as session:
        kept, struck = a_piece(session), a_piece(session)
        strike_find(session, struck.id, reason="twice", version=None, now=NOW)
        assert [piece.tag for piece in tag_choice(session, [struck.tag]).pieces] == [kept.tag]
        faces = tag_faces(
            session, piece_rows(session, ids=[kept.id]), units=Units.METRIC, zone="UTC", with_care=True, now=NOW
        )
        assert (faces[0].number, faces[0].code, faces[0].care) == (kept.tag, kept.tag, ())


def _waxed(session: Session, piece_id: int) -> None:
    finish = a_finish(session, piece_id, [a_coat(task=Task.WAX, product=Product.PASTE_WAX)])
    do_step(session, steps_of(session, finish.id)[0].id)
