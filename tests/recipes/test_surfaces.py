"""Looking a piece over: what is kept, what is refused, and what was changed meanwhile."""

from typing import Any

import pytest
from sqlalchemy import select
from sqlalchemy.orm import Session

from app.basics.errors import NotFound, RuleError, StaleEdit
from app.desk.actions import strike_find
from app.pieces.rules import Age
from app.recipes.actions import look_over
from app.recipes.models import PieceSurface
from app.recipes.queries import NEVER_LOOKED_OVER, surface_of
from app.recipes.rules import SEEN_WORDS, LeadTest, OldFinish, Surface
from tests.builders.pieces import NOW, a_piece

SEEN = Surface(OldFinish.PAINT, is_glossy=True, has_odour=True, lead_test=LeadTest.NEGATIVE, note="tested at the back")


def test_a_piece_nobody_looked_over_has_its_age_and_its_woods_alone(session: Session) -> None:
    piece = a_piece(session, age=Age.BEFORE_1978, materials="Oak, pine inside")
    row = surface_of(session, piece.id)
    assert row.surface == Surface(age=Age.BEFORE_1978, woods="Oak, pine inside")
    assert (row.version, row.is_looked_over) == (NEVER_LOOKED_OVER, False)


def test_what_was_seen_is_kept_and_its_age_stays_the_pieces_own(session: Session) -> None:
    piece = a_piece(session, age=Age.BEFORE_1978, materials="oak")
    look_over(session, piece.id, SEEN, version=NEVER_LOOKED_OVER, now=NOW)
    row = surface_of(session, piece.id)
    assert row.is_looked_over
    assert (row.surface.age, row.surface.woods) == (Age.BEFORE_1978, "oak")
    assert row.surface.seen == ("is_glossy", "has_odour")
    assert (row.surface.old_finish, row.surface.lead_test) == (OldFinish.PAINT, LeadTest.NEGATIVE)
    assert row.surface.note == "tested at the back"


@pytest.mark.parametrize("name", SEEN_WORDS)
def test_each_thing_seen_is_kept_by_itself(session: Session, name: str) -> None:
    piece = a_piece(session)
    seen: dict[str, Any] = {name: True}
    look_over(session, piece.id, Surface(**seen), version=None, now=NOW)
    assert surface_of(session, piece.id).surface.seen == (name,)


def test_a_second_look_takes_the_place_of_the_first(session: Session) -> None:
    piece = a_piece(session)
    look_over(session, piece.id, SEEN, version=None, now=NOW)
    first = surface_of(session, piece.id).version
    look_over(session, piece.id, Surface(OldFinish.BARE), version=first, now=NOW)
    row = surface_of(session, piece.id)
    assert row.surface == Surface(OldFinish.BARE)
    assert row.version > first
    assert len(session.scalars(select(PieceSurface)).all()) == 1


@pytest.mark.parametrize("version", [NEVER_LOOKED_OVER, 0, 7])
def test_a_look_on_an_older_version_shows_what_stands_there_now(session: Session, version: int) -> None:
    piece = a_piece(session)
    look_over(session, piece.id, SEEN, version=None, now=NOW)
    with pytest.raises(StaleEdit) as clash:
        look_over(session, piece.id, Surface(), version=version, now=NOW)
    assert clash.value.version == 1
    assert dict(clash.value.now_values) == {
        "Old finish": "Paint",
        "Seen": "It is glossy, It smells: smoke, mildew, pets",
        "Lead": "Tested: none found",
        "Note": "tested at the back",
    }


def test_a_first_look_on_a_version_there_never_was_is_a_clash(session: Session) -> None:
    piece = a_piece(session)
    with pytest.raises(StaleEdit):
        look_over(session, piece.id, SEEN, version=0, now=NOW)


def test_a_note_is_cleaned_and_kept_within_bounds(session: Session) -> None:
    piece = a_piece(session)
    assert look_over(session, piece.id, Surface(note="  left \r\n drawer "), version=None, now=NOW).note
    assert surface_of(session, piece.id).surface.note == "left\n drawer"
    with pytest.raises(RuleError, match="characters long"):
        look_over(session, piece.id, Surface(note="x" * 5000), version=None, now=NOW)


def test_nothing_is_looked_over_that_is_not_there_or_struck_out(session: Session) -> None:
    with pytest.raises(NotFound):
        surface_of(session, 999)
    with pytest.raises(NotFound):
        look_over(session, 999, SEEN, version=None, now=NOW)
    piece = a_piece(session)
    strike_find(session, piece.id, reason="typed twice", version=None, now=NOW)
    with pytest.raises(RuleError, match="struck out"):
        look_over(session, piece.id, SEEN, version=None, now=NOW)


@pytest.mark.parametrize(
    ("woods", "bleeds"),
    [("Oak, pine", True), ("oak-veneered chipboard", True), ("MAHOGANY", True), ("beech", False), ("", False)],
)
def test_a_wood_rich_in_tannin_bleeds_however_it_is_written(woods: str, *, bleeds: bool) -> None:
    assert Surface(woods=woods).bleeds is bleeds
    assert Surface(woods="beech", is_stained=True).bleeds
    assert not Surface(woods="beech", is_stained=True).is_tannin_wood
