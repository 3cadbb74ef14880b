"""Move pieces: forward, back, out and in again; every move in the order of its days."""

from datetime import date

import pytest
from sqlalchemy.orm import Session

from app.basics.errors import NotFound, RuleError, StaleEdit
from app.pieces.actions import bring_back, leave, move_piece, step_back, step_forward
from app.pieces.queries import leavings_of, steps_of
from app.pieces.rules import CannotMove, Leaving, Stage, StepKind
from tests.builders.pieces import NOW, a_piece

TODAY = date(2026, 11, 25)


def october(day: int) -> date:
    return date(2026, 10, day)


def test_a_piece_steps_forward_and_back_with_every_step_kept(session: Session) -> None:
    piece = a_piece(session, bought_on=october(1))
    step_forward(session, piece.id, Stage.FINISHED, on_date=october(9), version=None, now=NOW)
    step_back(session, piece.id, Stage.PREPPED, on_date=october(12), reason="runs in the paint", version=None, now=NOW)
    assert (piece.stage, piece.stage_since) == (Stage.PREPPED, october(12))
    assert [(step.kind, step.to_stage, step.reason) for step in steps_of(session, piece.id)] == [
        (StepKind.START, Stage.SOURCED, ""),
        (StepKind.FORWARD, Stage.FINISHED, ""),
        (StepKind.BACK, Stage.PREPPED, "runs in the paint"),
    ]


def test_a_step_dated_before_the_last_one_is_refused(session: Session) -> None:
    piece = a_piece(session, stage=Stage.PREPPED, bought_on=october(1), stage_on=october(9))
    with pytest.raises(RuleError, match="Its last step was on 9 October 2026") as refusal:
        step_forward(session, piece.id, Stage.FINISHED, on_date=october(8), version=None, now=NOW)
    assert refusal.value.field == "on_date"


def test_a_step_in_the_future_is_refused(session: Session) -> None:
    piece = a_piece(session)
    with pytest.raises(RuleError, match="has not come yet"):
        step_forward(session, piece.id, Stage.PREPPED, on_date=date(2026, 11, 26), version=None, now=NOW)


def test_stepping_forward_to_an_earlier_stage_is_refused(session: Session) -> None:
    piece = a_piece(session, stage=Stage.FINISHED)
    with pytest.raises(CannotMove, match="step back"):
        step_forward(session, piece.id, Stage.PREPPED, on_date=TODAY, version=None, now=NOW)


@pytest.mark.parametrize("stage", [Stage.LISTED, Stage.SOLD])
def test_neither_listing_nor_selling_is_done_by_hand(session: Session, stage: Stage) -> None:
    piece = a_piece(session, stage=Stage.FINISHED)
    with pytest.raises(CannotMove):
        step_forward(session, piece.id, stage, on_date=TODAY, version=None, now=NOW)


def test_a_sold_piece_is_not_stepped_back_by_hand(session: Session) -> None:
    piece = a_piece(session)
    move_piece(session, piece, Stage.SOLD, StepKind.SALE, on_date=october(5), reason="", now=NOW)
    with pytest.raises(CannotMove, match="by a return"):
        step_back(session, piece.id, Stage.FINISHED, on_date=TODAY, reason="x", version=None, now=NOW)
    with pytest.raises(CannotMove, match="sold"):
        leave(session, piece.id, Leaving.KEPT, on_date=TODAY, reason="", version=None, now=NOW)


def test_a_struck_sale_may_be_entered_again_with_an_earlier_day(session: Session) -> None:
    piece = a_piece(session, stage=Stage.FINISHED, bought_on=october(1), stage_on=october(5))
    move_piece(session, piece, Stage.SOLD, StepKind.SALE, on_date=october(20), reason="", now=NOW)
    move_piece(session, piece, Stage.FINISHED, StepKind.SALE_STRUCK, on_date=TODAY, reason="wrong day", now=NOW)
    assert (piece.stage, piece.stage_since) == (Stage.FINISHED, october(5))
    move_piece(session, piece, Stage.SOLD, StepKind.SALE, on_date=october(10), reason="", now=NOW)
    assert (piece.stage, piece.stage_since) == (Stage.SOLD, october(10))
    assert len(steps_of(session, piece.id)) == 5


def test_a_return_is_struck_out_only_while_nothing_followed(session: Session) -> None:
    piece = a_piece(session, bought_on=october(1))
    move_piece(session, piece, Stage.SOLD, StepKind.SALE, on_date=october(10), reason="", now=NOW)
    move_piece(session, piece, Stage.PREPPED, StepKind.RETURN, on_date=october(12), reason="too large", now=NOW)
    step_forward(session, piece.id, Stage.FINISHED, on_date=october(13), version=None, now=NOW)
    with pytest.raises(CannotMove, match="moved since"):
        move_piece(session, piece, Stage.SOLD, StepKind.RETURN_STRUCK, on_date=TODAY, reason="no", now=NOW)


def test_a_struck_return_makes_the_piece_sold_again(session: Session) -> None:
    piece = a_piece(session, bought_on=october(1))
    move_piece(session, piece, Stage.SOLD, StepKind.SALE, on_date=october(10), reason="", now=NOW)
    move_piece(session, piece, Stage.FINISHED, StepKind.RETURN, on_date=october(12), reason="too large", now=NOW)
    move_piece(session, piece, Stage.SOLD, StepKind.RETURN_STRUCK, on_date=TODAY, reason="other piece", now=NOW)
    assert (piece.stage, piece.stage_since) == (Stage.SOLD, october(10))


@pytest.mark.parametrize("how", Leaving)
def test_a_piece_leaves_and_comes_back_with_both_days_kept(session: Session, how: Leaving) -> None:
    piece = a_piece(session, stage=Stage.PREPPED, bought_on=october(1), stage_on=october(2))
    leave(session, piece.id, how, on_date=october(5), reason="", version=None, now=NOW)
    assert (piece.left_as, piece.stage, piece.stage_since) == (how, Stage.PREPPED, october(2))
    with pytest.raises(CannotMove, match="Bring it back first"):
        step_forward(session, piece.id, Stage.FINISHED, on_date=TODAY, version=None, now=NOW)
    bring_back(session, piece.id, on_date=october(9), reason="  changed  my mind ", version=None, now=NOW)
    assert (piece.left_as, piece.stage, piece.stage_since) == (None, Stage.PREPPED, october(9))
    (row,) = leavings_of(session, piece.id)
    assert (row.how, row.on_date, row.back_on, row.back_reason) == (how, october(5), october(9), "changed my mind")


def test_a_piece_that_left_from_the_floor_comes_back_finished(session: Session) -> None:
    piece = a_piece(session, stage=Stage.FINISHED, bought_on=october(1))
    move_piece(session, piece, Stage.LISTED, StepKind.FORWARD, on_date=october(3), reason="", now=NOW)
    leave(session, piece.id, Leaving.GIVEN_AWAY, on_date=october(5), reason="", version=None, now=NOW)
    bring_back(session, piece.id, on_date=october(6), reason="no room", version=None, now=NOW)
    assert piece.stage is Stage.FINISHED


def test_a_piece_can_leave_twice(session: Session) -> None:
    piece = a_piece(session, bought_on=october(1))
    for day in (3, 7):
        leave(session, piece.id, Leaving.KEPT, on_date=october(day), reason="", version=None, now=NOW)
        bring_back(session, piece.id, on_date=october(day + 1), reason="back", version=None, now=NOW)
    assert [(row.on_date, row.back_on) for row in leavings_of(session, piece.id)] == [
        (october(3), october(4)),
        (october(7), october(8)),
    ]


def test_coming_back_wants_a_reason_and_a_day_not_before_it_left(session: Session) -> None:
    piece = a_piece(session, bought_on=october(1))
    with pytest.raises(CannotMove, match="has not left"):
        bring_back(session, piece.id, on_date=TODAY, reason="x", version=None, now=NOW)
    leave(session, piece.id, Leaving.SCRAPPED, on_date=october(5), reason="", version=None, now=NOW)
    with pytest.raises(RuleError, match="why it comes back"):
        bring_back(session, piece.id, on_date=TODAY, reason=" ", version=None, now=NOW)
    with pytest.raises(RuleError, match="5 October 2026"):
        bring_back(session, piece.id, on_date=october(4), reason="x", version=None, now=NOW)


def test_a_move_made_on_an_older_version_shows_where_the_piece_is_now(session: Session) -> None:
    piece = a_piece(session)
    old = piece.version
    step_forward(session, piece.id, Stage.PREPPED, on_date=TODAY, version=old, now=NOW)
    with pytest.raises(StaleEdit) as clash:
        step_forward(session, piece.id, Stage.FINISHED, on_date=TODAY, version=old, now=NOW)
    assert clash.value.now_values["Stage"] == "prepped"
    assert clash.value.version == piece.version


def test_a_piece_that_is_not_there_is_not_found(session: Session) -> None:
    with pytest.raises(NotFound):
        step_forward(session, 999, Stage.PREPPED, on_date=TODAY, version=None, now=NOW)
