"""A piece about to leave: what on it still dries or is soft is said where it is listed and sold, and blocks nothing."""

from datetime import datetime, timedelta

import pytest
from sqlalchemy.orm import Session

from app.database.unit_of_work import Ledger
from app.pieces.queries import piece_by_tag
from app.pieces.rules import Age, Stage
from app.recipes.queries import leaving_of
from app.recipes.rules import Part, Product, Task
from tests.builders.finishes import a_coat, a_finish, do_step, steps_of
from tests.builders.floor import a_channel
from tests.builders.pieces import a_piece
from tests.examining_client import ExaminingClient

STILL_SOFT = "Let the last coat harden for about 7 days"


def painted(session: Session, done_at: datetime, **said: object) -> str:
    """The tag of a finished piece whose body was coated then."""
    piece = a_piece(session, stage=Stage.FINISHED, age=Age.AFTER_1978)
    finish = a_finish(session, piece.id, [a_coat(Part.BODY, **said)])
    (step,) = steps_of(session, finish.id)
    do_step(session, step.id, now=done_at)
    return piece.tag


@pytest.mark.parametrize(("days", "is_soft", "is_drying"), [(0, True, True), (6.9, True, False), (7.1, False, False)])
def test_a_fresh_coat_is_soft_for_a_week(
    session: Session, now: datetime, days: float, *, is_soft: bool, is_drying: bool
) -> None:
    tag = painted(session, now - timedelta(days=days))
    leaving = leaving_of(session, piece_by_tag(session, tag), now)
    assert ([each.rule for each in leaving.findings], len(leaving.drying)) == (
        ["sticking"] if is_soft else [],
        int(is_drying),
    )
    assert leaving.is_fit is not (is_soft or is_drying)


def test_wax_that_dries_is_told_without_the_week(session: Session, now: datetime) -> None:
    tag = painted(session, now, task=Task.WAX, product=Product.PASTE_WAX)
    leaving = leaving_of(session, piece_by_tag(session, tag), now)
    assert (leaving.findings, [step.part for step in leaving.drying]) == ((), [Part.BODY])


@pytest.mark.parametrize("deed", ["list", "sell"])
def test_the_pages_of_listing_and_selling_say_what_is_not_hard_yet(
    client: ExaminingClient, ledger: Ledger, now: datetime, deed: str
) -> None:
    with ledger.writing() as session:
        a_channel(session)
        tag = painted(session, now)
        old = painted(session, now - timedelta(days=8))
    page = client.get(f"/pieces/{tag}/{deed}").text
    assert STILL_SOFT in page
    assert "Body: dry from " in page
    assert STILL_SOFT not in client.get(f"/pieces/{old}/{deed}").text
    if deed == "list":
        listed = client.post_form(f"/pieces/{tag}/list", {"asking": "240", "channels": ["1"], "on_date": "2026-11-25"})
        assert listed.location == f"/pieces/{tag}"
