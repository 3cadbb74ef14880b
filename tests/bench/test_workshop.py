"""What the workshop has and what a piece brings: said by the owner, or guessed and marked so."""

from datetime import datetime

import pytest
from sqlalchemy import select
from sqlalchemy.orm import Session

from app.basics.errors import NotFound, RuleError, StaleEdit
from app.bench.actions import expect, set_bench_facts
from app.bench.queries import brings, expectation, workshop
from app.bench.rules import NEVER_SAID, Brings, BringsFrom, brings_of
from app.pieces.actions import leave, strike_find
from app.pieces.models import Purchase
from app.pieces.queries import piece_rows
from app.pieces.rules import CannotMove, Leaving
from tests.builders.pieces import NOW, a_haul, a_piece


def test_what_was_guessed_is_marked_until_it_is_said(session: Session) -> None:
    has = workshop(session)
    assert (has.drying_places, has.spray_clear, has.is_guess) == (4, 30, True)
    set_bench_facts(session, drying_places=2, spray_clear=0, version=NEVER_SAID)
    has = workshop(session)
    assert (has.drying_places, has.spray_clear, has.is_guess) == (2, 0, False)
    set_bench_facts(session, drying_places=3, spray_clear=45, version=has.version)
    with pytest.raises(StaleEdit) as clash:
        set_bench_facts(session, drying_places=9, spray_clear=45, version=has.version)
    assert clash.value.now_values == {
        "The week": "no hours at all",
        "Places to dry": "3",
        "Spray corner taken": "45 min",
    }


@pytest.mark.parametrize(
    ("places", "clear", "field"), [(-1, 30, "drying_places"), (100, 30, "drying_places"), (4, 1441, "spray_clear")]
)
def test_a_workshop_nobody_has_is_refused(session: Session, places: int, clear: int, field: str) -> None:
    with pytest.raises(RuleError) as refused:
        set_bench_facts(session, drying_places=places, spray_clear=clear, version=None)
    assert refused.value.field == field


def test_a_piece_brings_what_its_owner_says_else_what_was_guessed_else_the_middle_of_the_known() -> None:
    found = brings_of([1, 2, 3], {1: 30_000, 9: 10_000}, {1: 5, 2: 20_001})
    assert found == {
        1: Brings(30_000, BringsFrom.OWNER),
        2: Brings(20_001, BringsFrom.BUYING),
        3: Brings(20_001, BringsFrom.OTHERS, 3),
    }
    assert brings_of([1], {}, {2: 10_001, 3: 10_002})[1].cents == 10_002
    assert (found[3].is_guess, found[3].words) == (True, "guess: the middle of 3 others")
    nobody = brings_of([1], {}, {})[1]
    assert (nobody.cents, nobody.is_guess, nobody.words) == (0, True, "nobody said")


def test_the_guess_at_buying_counts_while_its_purchase_does(session: Session, now: datetime) -> None:
    haul = a_haul(session, amounts=(20_000, 10_000, 5_000))
    first, second, _ = [piece.id for piece in piece_rows(session) if piece.haul_id == haul.id]
    assert brings(session, [first])[first] == Brings(20_000, BringsFrom.BUYING)
    expect(session, first, 40_000, version=NEVER_SAID, now=now)
    assert brings(session, [first])[first] == Brings(40_000, BringsFrom.OWNER)
    there = expectation(session, first)
    expect(session, first, 0, version=there.version, now=now)
    assert brings(session, [first, second])[first].cents == 0
    with pytest.raises(StaleEdit) as clash:
        expect(session, first, 1, version=there.version, now=now)
    assert clash.value.now_values == {"It brings": "0.00"}
    expect(session, first, None, version=None, now=now)
    assert brings(session, [first])[first].source is BringsFrom.BUYING
    expect(session, first, None, version=None, now=now)


def test_a_form_from_before_an_amount_was_taken_back_and_said_again_is_late(session: Session, now: datetime) -> None:
    piece = a_piece(session)
    expect(session, piece.id, 10_000, version=NEVER_SAID, now=now)
    older = expectation(session, piece.id)
    expect(session, piece.id, None, version=older.version, now=now)
    with pytest.raises(StaleEdit) as clash:
        expect(session, piece.id, 5_000, version=NEVER_SAID, now=now)
    assert clash.value.now_values == {"It brings": "nothing said"}
    expect(session, piece.id, 20_000, version=None, now=now)
    with pytest.raises(StaleEdit):
        expect(session, piece.id, 5_000, version=older.version, now=now)
    assert expectation(session, piece.id).cents == 20_000


def test_nothing_is_expected_of_a_piece_that_is_gone_or_never_was(session: Session, now: datetime) -> None:
    gone = a_piece(session)
    leave(session, gone.id, Leaving.KEPT, on_date=NOW.date(), reason="ours", version=None, now=now)
    with pytest.raises(CannotMove):
        expect(session, gone.id, 1, version=None, now=now)
    with pytest.raises(NotFound):
        expect(session, 999, 1, version=None, now=now)
    with pytest.raises(RuleError) as refused:
        expect(session, a_piece(session).id, -1, version=None, now=now)
    assert refused.value.field == "brings"


def test_a_purchase_that_was_struck_out_tells_nothing(session: Session, now: datetime) -> None:
    piece = a_piece(session)
    session.scalars(select(Purchase)).one().guess_cents = 20_000
    assert brings(session, [piece.id])[piece.id] == Brings(20_000, BringsFrom.BUYING)
    strike_find(session, piece.id, reason="twice", version=None, now=now)
    assert brings(session, [piece.id])[piece.id].source is BringsFrom.NOBODY
