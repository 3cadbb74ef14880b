"""Striking out what was entered by mistake: a whole find, or the newest step by hand."""

from datetime import date, timedelta

import pytest
from sqlalchemy.orm import Session

from app.basics.errors import NotFound, RuleError, StaleEdit
from app.pieces.actions import (
    leave,
    note_next,
    split_off,
    step_back,
    step_forward,
    strike_find,
    undo_step,
)
from app.pieces.models import Piece
from app.pieces.queries import count_pieces, piece_row, pieces_chosen, purchases_of, source_row, sources, steps_of
from app.pieces.rules import (
    CannotMove,
    Leaving,
    PieceChoice,
    SplitPart,
    Stage,
    Whereabouts,
    standing_steps,
    time_in_stages,
)
from tests.builders.pieces import NOW, a_haul, a_piece, a_source, an_owned_piece

TODAY = date(2026, 11, 25)


def strike(session: Session, piece: Piece, reason: str = "logged twice", version: int | None = None) -> Piece:
    return strike_find(session, piece.id, reason=reason, version=version, now=NOW)


def test_a_find_struck_out_keeps_its_purchase_in_sight_with_the_reason(session: Session) -> None:
    piece = strike(session, a_piece(session, price_cents=125_000))
    [purchase] = purchases_of(session, piece.id)
    assert (purchase.is_struck, purchase.struck_reason) == (True, "logged twice")
    row = piece_row(session, piece.id)
    assert (row.is_struck, row.is_on_hand, row.stands_as) == (True, False, "Struck out")


def test_a_struck_find_shows_only_where_it_is_asked_for(session: Session) -> None:
    kept, struck = a_piece(session), strike(session, a_piece(session))
    assert [row.id for row in pieces_chosen(session, PieceChoice())] == [kept.id]
    assert [row.id for row in pieces_chosen(session, PieceChoice(whereabouts=Whereabouts.ON_HAND))] == [kept.id]
    assert [row.id for row in pieces_chosen(session, PieceChoice(whereabouts=Whereabouts.STRUCK))] == [struck.id]
    assert count_pieces(session) == 1


def test_a_struck_find_counts_for_no_source(session: Session) -> None:
    place = a_source(session)
    strike(session, a_piece(session, source_id=place.id))
    a_piece(session, source_id=place.id)
    assert [row.pieces for row in sources(session)] == [1]
    assert source_row(session, place.id).pieces == 1


def test_what_was_owned_already_can_be_struck_out_too(session: Session) -> None:
    assert strike(session, an_owned_piece(session)).struck_reason == "logged twice"


def test_nothing_more_is_done_with_a_struck_find(session: Session) -> None:
    piece = strike(session, a_piece(session))
    with pytest.raises(RuleError, match="struck out"):
        note_next(session, piece.id, "sand", version=None, now=NOW)
    with pytest.raises(RuleError, match="struck out"):
        step_forward(session, piece.id, Stage.PREPPED, on_date=TODAY, version=None, now=NOW)
    with pytest.raises(RuleError, match="struck out"):
        strike(session, piece)


def test_striking_a_find_wants_its_reason_and_the_newest_version(session: Session) -> None:
    piece = a_piece(session)
    with pytest.raises(RuleError) as refusal:
        strike(session, piece, reason=" ")
    assert refusal.value.field == "reason"
    with pytest.raises(StaleEdit):
        strike(session, piece, version=piece.version - 1)
    assert not piece_row(session, piece.id).is_struck


def test_a_piece_of_a_haul_is_put_right_with_the_haul(session: Session) -> None:
    a_haul(session)
    with pytest.raises(RuleError, match="Put the haul right"):
        strike(session, session.get_one(Piece, pieces_chosen(session, PieceChoice())[0].id))


def test_a_piece_that_left_or_was_split_is_not_struck_out(session: Session) -> None:
    gone, chairs = a_piece(session), a_piece(session, count=2)
    leave(session, gone.id, Leaving.SCRAPPED, on_date=TODAY, reason="", version=None, now=NOW)
    parts = [SplitPart("", 1, 1), SplitPart("", 1, 1)]
    _, part = split_off(session, chairs.id, parts, cents=4000, minutes=0, on_date=TODAY, version=None, now=NOW)
    with pytest.raises(RuleError, match="has left"):
        strike(session, gone)
    for piece in (chairs, part):
        with pytest.raises(RuleError, match="was split"):
            strike(session, piece)


def test_a_slip_is_undone_and_leaves_no_mark_but_its_struck_line(session: Session) -> None:
    piece = a_piece(session)
    slip = step_forward(session, piece.id, Stage.FINISHED, on_date=TODAY, version=None, now=NOW)
    undo_step(session, piece.id, slip.id, now=NOW)
    steps = steps_of(session, piece.id)
    assert (piece.stage, piece.stage_since) == (Stage.SOURCED, steps[0].on_date)
    assert [step.is_struck for step in steps] == [False, True]
    assert len(standing_steps(steps)) == 1
    assert [spell.stage for spell in time_in_stages(steps, TODAY)] == [Stage.SOURCED]
    undo_step(session, piece.id, slip.id, now=NOW)
    assert piece.stage is Stage.SOURCED
    step_forward(session, piece.id, Stage.PREPPED, on_date=steps[0].on_date, version=None, now=NOW)


def test_a_step_back_is_undone_like_a_step_forward(session: Session) -> None:
    piece = a_piece(session, stage=Stage.FINISHED)
    back = step_back(session, piece.id, Stage.SOURCED, on_date=TODAY, reason="oops", version=None, now=NOW)
    undo_step(session, piece.id, back.id, now=NOW)
    assert piece.stage is Stage.FINISHED


def test_only_the_newest_step_by_hand_is_undone_and_only_on_its_day(session: Session) -> None:
    piece = a_piece(session)
    first = step_forward(session, piece.id, Stage.PREPPED, on_date=TODAY, version=None, now=NOW)
    second = step_forward(session, piece.id, Stage.FINISHED, on_date=TODAY, version=None, now=NOW)
    with pytest.raises(CannotMove, match="newest"):
        undo_step(session, piece.id, first.id, now=NOW)
    with pytest.raises(CannotMove, match="on the day it was made"):
        undo_step(session, piece.id, second.id, now=NOW + timedelta(days=1))
    with pytest.raises(NotFound):
        undo_step(session, a_piece(session).id, second.id, now=NOW)
    start = steps_of(session, a_piece(session).id)[0]
    with pytest.raises(RuleError):
        undo_step(session, session.get_one(Piece, piece.id + 2).id, start.id, now=NOW)
