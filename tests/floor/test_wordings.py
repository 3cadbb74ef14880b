"""The owner's own words for a piece: kept, emptied, never lost to another phone."""

from datetime import datetime

import pytest
from sqlalchemy.orm import Session

from app.basics.errors import NotFound, RuleError, StaleEdit
from app.floor.actions import word_care, word_listing
from app.floor.queries import NEVER_WORDED, WordingRow, wording_of, wordings_of
from app.floor.rules import CARE_LIMIT, LISTING_LIMIT
from tests.builders.pieces import a_piece


def test_words_are_kept_beside_each_other_and_emptied_apart(session: Session, now: datetime) -> None:
    piece = a_piece(session)
    assert wording_of(session, piece.id) == WordingRow(NEVER_WORDED, "", "")
    word_listing(session, piece.id, "  Take it home \r\ntoday ", version=NEVER_WORDED, now=now)
    word_care(session, piece.id, "Wax it", version=1, now=now)
    assert wording_of(session, piece.id) == WordingRow(2, "Take it home\ntoday", "Wax it")
    word_listing(session, piece.id, "", version=None, now=now)
    assert wording_of(session, piece.id) == WordingRow(3, "", "Wax it")


def test_words_changed_meanwhile_are_shown_and_not_overwritten(session: Session, now: datetime) -> None:
    piece = a_piece(session)
    word_listing(session, piece.id, "mine", version=NEVER_WORDED, now=now)
    with pytest.raises(StaleEdit) as clash:
        word_listing(session, piece.id, "theirs", version=NEVER_WORDED, now=now)
    assert (dict(clash.value.now_values), clash.value.version) == ({"Words": "mine"}, 1)
    with pytest.raises(StaleEdit) as other:
        word_care(session, piece.id, "wax", version=NEVER_WORDED, now=now)
    assert dict(other.value.now_values) == {"Words": "as worked out"}
    assert wording_of(session, piece.id).listing == "mine"


def test_words_that_fit_nowhere_are_refused(session: Session, now: datetime) -> None:
    piece = a_piece(session)
    word_care(session, piece.id, "x" * CARE_LIMIT, version=None, now=now)
    with pytest.raises(RuleError) as refused:
        word_care(session, piece.id, "x" * (CARE_LIMIT + 1), version=None, now=now)
    assert refused.value.field == "words"
    with pytest.raises(RuleError):
        word_listing(session, piece.id, "x" * (LISTING_LIMIT + 1), version=None, now=now)
    with pytest.raises(NotFound):
        word_listing(session, 99_999, "words", version=None, now=now)


def test_the_words_of_many_pieces_are_read_by_piece(session: Session, now: datetime) -> None:
    one, two = a_piece(session), a_piece(session)
    word_care(session, two.id, "wax", version=None, now=now)
    assert wordings_of(session, {one.id, two.id}) == {two.id: WordingRow(1, "", "wax")}
