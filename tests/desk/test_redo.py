"""A piece redone for a buyer: both finishes stay on it, costs and time add up, and the profit is right."""

from datetime import date, timedelta

from sqlalchemy.orm import Session

from app.desk.queries import piece_sheet
from app.desk.queries.history import Happening
from app.pieces.actions import step_back, step_forward
from app.pieces.rules import Age, Stage
from app.recipes.rules import FinishState, StepFacts, Task
from app.reports.queries import profit_of_piece
from tests.builders.finishes import a_coat, a_finish, do_step, steps_of
from tests.builders.pieces import NOW, a_piece
from tests.builders.sales import a_sale
from tests.builders.shelf import a_material, a_purchase

FIRST, SECOND = NOW - timedelta(days=9), NOW - timedelta(days=4)
SOLD = date(2026, 11, 24)


def test_a_redo_adds_its_cost_and_time_and_the_profit_is_right(session: Session) -> None:
    white, navy = a_material(session, "White paint"), a_material(session, "Ink blue paint")
    a_purchase(session, white, 1_000_000, 2_000)
    a_purchase(session, navy, 500_000, 3_000)
    piece = a_piece(session, age=Age.AFTER_1978, price_cents=40_00)
    old = a_finish(
        session, piece.id, [StepFacts(Task.SAND, grit=180), a_coat(material_id=white.id)], name="White", now=FIRST
    )
    sand, coat = steps_of(session, old.id)
    do_step(session, sand.id, 40, now=FIRST)
    do_step(session, coat.id, 30, now=FIRST, used_milli=250_000)
    step_forward(session, piece.id, Stage.FINISHED, on_date=FIRST.date(), version=None, now=FIRST)
    why = "a buyer wants it blue"
    step_back(session, piece.id, Stage.PREPPED, on_date=SECOND.date(), reason=why, version=None, now=SECOND)
    new = a_finish(
        session,
        piece.id,
        [a_coat(material_id=navy.id)],
        name="Ink blue",
        now=SECOND,
        redo_of_id=old.id,
        made_for="the neighbour",
    )
    do_step(session, steps_of(session, new.id)[0].id, 50, now=SECOND, used_milli=200_000)
    a_sale(session, piece, sold_on=SOLD, price_cents=300_00)

    sheet = piece_sheet(session, piece.tag, today=NOW.date(), zone="America/Denver")
    assert [(each.name, each.state, each.covered_by_id) for each in sheet.finishes] == [
        ("Ink blue", FinishState.DONE, None),
        ("White", FinishState.DONE, new.id),
    ]
    told = [(line.what, line.words, line.note) for line in sheet.history if line.finish_id is not None]
    assert told == [
        (Happening.FINISH_ENDED, "done: Ink blue", ""),
        (Happening.FINISH_BEGUN, "Ink blue", "over White, for the neighbour"),
        (Happening.FINISH_ENDED, "done: White", ""),
        (Happening.FINISH_BEGUN, "White", ""),
    ]
    # White: a quarter of 20.00 is 5.00; blue: two fifths of 30.00 is 12.00. 300.00 - 40.00 - 17.00 = 243.00.
    profit = profit_of_piece(session, piece.id)
    assert profit.profit == 243_00
    assert profit.minutes == 40 + 30 + 50
