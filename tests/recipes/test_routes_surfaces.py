"""The page on which a piece is looked over."""

import pytest
from werkzeug.datastructures import MultiDict

from app.database.unit_of_work import Ledger
from app.pieces.models import Piece
from app.pieces.rules import Age
from app.recipes.actions import look_over
from app.recipes.queries import SurfaceRow, surface_of
from app.recipes.rules import LeadTest, OldFinish, Surface
from tests.builders.pieces import NOW, a_piece
from tests.examining_client import ExaminingClient, Page

WHOLE = {"old_finish": "paint", "seen": "is_glossy", "lead_test": "positive", "note": "behind the top drawer"}


@pytest.fixture
def piece(ledger: Ledger, client: ExaminingClient) -> Piece:  # noqa: ARG001
    with ledger.writing() as session:
        return a_piece(session, materials="oak", age=Age.BEFORE_1978)


def known(ledger: Ledger, piece: Piece) -> SurfaceRow:
    with ledger.reading() as session:
        return surface_of(session, piece.id)


def test_what_is_seen_is_saved_and_shown_again(client: ExaminingClient, ledger: Ledger, piece: Piece) -> None:
    here = f"/pieces/{piece.tag}/surface"
    page = client.get(here).text
    assert "Made of: oak. Made: before 1978." in page
    assert f'<a class="button" href="/pieces/{piece.tag}/correct">Put that right</a>' in page
    assert 'value="unknown" checked' in page
    answer = client.post_form(here, WHOLE)
    assert answer.location == f"/pieces/{piece.tag}"
    row = known(ledger, piece)
    assert row.surface == Surface(
        OldFinish.PAINT,
        is_glossy=True,
        lead_test=LeadTest.POSITIVE,
        age=Age.BEFORE_1978,
        woods="oak",
        note="behind the top drawer",
    )
    shown = client.get(here).text
    assert [f'value="{value}" checked' in shown for value in ("paint", "is_glossy", "positive")] == [True] * 3
    assert "behind the top drawer" in shown


def test_several_things_are_ticked_and_ticks_are_taken_off(
    client: ExaminingClient, ledger: Ledger, piece: Piece
) -> None:
    here = f"/pieces/{piece.tag}/surface"
    hidden = Page(client.get(here).text).forms[0]["fields"]
    both = MultiDict([*hidden.items(), ("old_finish", "wax"), ("lead_test", "none"), ("seen", "is_damp")])
    both.add("seen", "has_polish")
    assert client.raw.post(here, data=both, headers={"Origin": "http://localhost"}).status_code == 303
    assert known(ledger, piece).surface.seen == ("has_polish", "is_damp")
    client.post_form(here, {"old_finish": "wax", "lead_test": "none", "note": ""})
    assert known(ledger, piece).surface.seen == ()


def test_saved_over_by_another_page_both_are_in_sight(client: ExaminingClient, ledger: Ledger, piece: Piece) -> None:
    here = f"/pieces/{piece.tag}/surface"
    older = Page(client.get(here).text).forms[0]["fields"]
    with ledger.writing() as session:
        look_over(session, piece.id, Surface(OldFinish.WAX), version=None, now=NOW)
    answer = client.post(here, {**older, **WHOLE})
    assert answer.status_code == 409
    assert "The surface was changed after you opened this page" in answer.text
    assert "<dd>Wax</dd>" in answer.text
    assert "behind the top drawer" in answer.text
    assert known(ledger, piece).surface.old_finish is OldFinish.WAX


@pytest.mark.parametrize(
    ("said", "words"),
    [
        ({"old_finish": "gold leaf"}, "Not a valid choice"),
        ({"old_finish": ""}, "Tap what is on it"),
        ({"lead_test": ""}, "Tap what the test said"),
        ({"seen": "is_haunted"}, "Tap what you see out of the list."),
        ({"note": "x" * 5000}, "characters long"),
    ],
)
def test_what_cannot_be_is_refused_and_what_was_typed_stays(
    client: ExaminingClient, ledger: Ledger, piece: Piece, said: dict[str, str], words: str
) -> None:
    answer = client.post_form(f"/pieces/{piece.tag}/surface", {**WHOLE, **said})
    assert answer.status_code == 422
    assert words in answer.text
    assert {**WHOLE, **said}["note"] in answer.text
    assert not known(ledger, piece).is_looked_over


def test_the_sheet_leads_to_it(client: ExaminingClient, piece: Piece) -> None:
    assert f'href="/pieces/{piece.tag}/surface"' in client.get(f"/pieces/{piece.tag}").text
    client.get("/pieces/777/surface", status=404)
