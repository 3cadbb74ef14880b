"""Take a set apart: cost and hours move by dated transfers, exact, and no older row changes."""

from datetime import date

import pytest
from sqlalchemy.orm import Session

from app.basics.errors import RuleError, StaleEdit
from app.pieces.actions import correct_dates, correct_facts, correct_paid, move_piece, split_off, step_forward
from app.pieces.models import Piece
from app.pieces.queries import corrections_of, piece_row, purchases_of, steps_of, transfers_of
from app.pieces.rules import SplitPart, Stage, StepKind
from tests.builders.pieces import NOW, a_piece, some_facts

SPLIT_ON = date(2026, 11, 1)
PARTS = (SplitPart("Pair of chairs", 2, 2), SplitPart("Armchair", 1, 3), SplitPart("", 1, 2))


def split(session: Session, piece: Piece, **said: object) -> list[Piece]:
    terms: dict[str, object] = {
        "cents": 10_000,
        "minutes": 100,
        "on_date": SPLIT_ON,
        "version": None,
        "now": NOW,
        **said,
    }
    return split_off(session, piece.id, PARTS, **terms)  # type: ignore[arg-type]


def four_chairs(session: Session) -> Piece:
    return a_piece(session, title="Four chairs", count=4, stage=Stage.PREPPED, materials="beech")


def test_a_set_becomes_pieces_that_share_cost_and_hours_exactly(session: Session) -> None:
    piece, armchair, fourth = split(session, four_chairs(session))
    # 10000 by 2 : 3 : 2 is 2857.14, 4285.71, 2857.14: the cent left over goes to the largest remainder.
    assert [row.cents for row in transfers_of(session, piece.id)] == [-4_286, -2_857]
    assert [row.minutes for row in transfers_of(session, piece.id)] == [-43, -28]
    assert transfers_of(session, armchair.id)[0].cents == 4_286
    assert transfers_of(session, armchair.id)[0].other_tag == piece.tag
    assert (piece.title, piece.count) == ("Pair of chairs", 2)
    assert (armchair.title, armchair.count) == ("Armchair", 1)
    assert (fourth.title, fourth.count) == ("Four chairs", 1)


def test_a_part_copies_the_facts_but_has_no_purchase_of_its_own(session: Session) -> None:
    piece, armchair, _ = split(session, four_chairs(session))
    row = piece_row(session, armchair.id)
    assert (row.materials, row.split_from_tag, row.haul_id) == ("beech", piece.tag, None)
    assert (row.stage, row.stage_since, row.sourced_on) == (Stage.PREPPED, SPLIT_ON, piece.sourced_on)
    assert [(step.kind, step.on_date) for step in steps_of(session, armchair.id)] == [(StepKind.START, SPLIT_ON)]
    assert purchases_of(session, armchair.id) == []
    assert len(purchases_of(session, piece.id)) == 1
    assert not any(purchase.is_struck for purchase in purchases_of(session, piece.id))


def test_the_split_is_in_the_history_of_the_set(session: Session) -> None:
    piece, *_ = split(session, four_chairs(session))
    assert [(row.fact, row.was, row.became) for row in corrections_of(session, piece.id)] == [
        ("Name", "Four chairs", "Pair of chairs"),
    ]


def test_a_set_on_the_floor_is_taken_down_before_it_is_split(session: Session) -> None:
    piece = four_chairs(session)
    move_piece(session, piece, Stage.LISTED, StepKind.FORWARD, on_date=date(2026, 10, 9), reason="", now=NOW)
    with pytest.raises(RuleError, match="Step it back to finished"):
        split(session, piece)


def test_a_split_in_the_future_or_before_the_last_step_is_refused(session: Session) -> None:
    piece = four_chairs(session)
    step_forward(session, piece.id, Stage.FINISHED, on_date=date(2026, 10, 20), version=None, now=NOW)
    for day in (date(2026, 11, 26), date(2026, 10, 19)):
        with pytest.raises(RuleError) as refusal:
            split(session, piece, on_date=day)
        assert refusal.value.field == "on_date"


def test_a_split_on_an_older_version_is_refused(session: Session) -> None:
    piece = four_chairs(session)
    old = piece.version
    correct_facts(session, piece.id, some_facts(count=4), version=None, now=NOW)
    with pytest.raises(StaleEdit):
        split(session, piece, version=old)


def test_a_split_raises_the_version(session: Session) -> None:
    piece = a_piece(session, count=2)
    old = piece.version
    parts = [SplitPart("", 1, 1), SplitPart("", 1, 1)]
    split_off(session, piece.id, parts, cents=0, minutes=0, on_date=SPLIT_ON, version=old, now=NOW)
    assert piece.version > old


def test_a_part_is_not_put_right_as_if_it_had_been_bought(session: Session) -> None:
    _, armchair, _ = split(session, four_chairs(session))
    with pytest.raises(RuleError, match="when a set was split"):
        correct_paid(
            session,
            armchair.id,
            price_cents=1,
            premium_cents=0,
            tax_cents=0,
            on_date=SPLIT_ON,
            reason="x",
            version=None,
            now=NOW,
        )


def test_what_was_paid_for_a_split_set_cannot_fall_below_what_its_parts_took(session: Session) -> None:
    piece, *_ = split(session, four_chairs(session), cents=4_000)
    terms = {
        "premium_cents": 0,
        "tax_cents": 0,
        "on_date": piece.sourced_on,
        "reason": "x",
        "version": None,
        "now": NOW,
    }
    with pytest.raises(RuleError, match="went to the other pieces"):
        correct_paid(session, piece.id, price_cents=2_856, **terms)  # type: ignore[arg-type]
    correct_paid(session, piece.id, price_cents=2_857, **terms)  # type: ignore[arg-type]


def test_the_days_of_a_split_set_stay_around_the_split(session: Session) -> None:
    piece, armchair, _ = split(session, a_piece(session, count=4))
    with pytest.raises(RuleError, match="the day it was split"):
        correct_dates(session, piece.id, sourced_on=date(2026, 11, 2), step_dates={}, version=None, now=NOW)
    correct_dates(session, armchair.id, sourced_on=date(2026, 9, 1), step_dates={}, version=None, now=NOW)
    assert steps_of(session, armchair.id)[0].on_date == SPLIT_ON
