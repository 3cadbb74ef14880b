"""Put pieces right: facts, dates, amounts, hauls; nothing that counted is rewritten, all of it stays in sight."""

from datetime import date

import pytest
from sqlalchemy.orm import Session

from app.basics.errors import NotFound, RuleError, StaleEdit
from app.pieces.actions import (
    bring_back,
    correct_dates,
    correct_facts,
    correct_paid,
    leave,
    move_piece,
    note_next,
    set_finish,
    step_forward,
)
from app.pieces.models import Piece
from app.pieces.queries import (
    corrections_of,
    haul_sheet,
    leavings_of,
    piece_row,
    purchases_of,
    steps_of,
)
from app.pieces.rules import (
    Age,
    FromSource,
    Leaving,
    PurchaseKind,
    Stage,
    StepKind,
)
from tests.builders.pieces import NOW, a_haul, a_piece, a_source, an_owned_piece, some_facts


def october(day: int) -> date:
    return date(2026, 10, day)


def pay(session: Session, piece: Piece, **said: object) -> Piece:
    terms: dict[str, object] = {
        "price_cents": 3_000,
        "premium_cents": 0,
        "tax_cents": 0,
        "on_date": piece.sourced_on,
        "reason": "misread the receipt",
        "version": None,
        "now": NOW,
        **said,
    }
    return correct_paid(session, piece.id, **terms)  # type: ignore[arg-type]


def test_corrected_facts_keep_what_they_said_before(session: Session) -> None:
    piece = a_piece(session)
    facts = some_facts(title="Pine chest", age=Age.BEFORE_1978, materials="Pine")
    correct_facts(session, piece.id, facts, version=piece.version, now=NOW)
    told = {row.fact: (row.was, row.became) for row in corrections_of(session, piece.id)}
    assert told == {
        "Name": ("Oak chest", "Pine chest"),
        "Made of": ("", "Pine"),
        "Made": ("not known", "before 1978"),
    }
    assert "pine chest" in piece.folded
    assert "oak" not in piece.folded


def test_corrected_facts_leave_the_next_note_searchable(session: Session) -> None:
    piece = a_piece(session)
    note_next(session, piece.id, "glue the drawer", version=None, now=NOW)
    correct_facts(session, piece.id, some_facts(title="Pine chest"), version=None, now=NOW)
    assert "glue the drawer" in piece.folded


def test_facts_saved_unchanged_leave_no_history(session: Session) -> None:
    piece = a_piece(session)
    correct_facts(session, piece.id, some_facts(), version=piece.version, now=NOW)
    assert corrections_of(session, piece.id) == []


def test_facts_corrected_on_an_older_version_change_nothing(session: Session) -> None:
    piece = a_piece(session)
    old = piece.version
    correct_facts(session, piece.id, some_facts(title="First"), version=old, now=NOW)
    with pytest.raises(StaleEdit) as clash:
        correct_facts(session, piece.id, some_facts(title="Second"), version=old, now=NOW)
    assert clash.value.now_values["Name"] == "First"
    assert piece.title == "First"


def test_a_finish_is_said_and_taken_off_with_its_history(session: Session) -> None:
    piece = a_piece(session)
    set_finish(session, piece.id, colour="#7A8F6A", words="sage", version=None, now=NOW)
    assert (piece.finish_colour, piece.finish_words) == ("#7a8f6a", "sage")
    set_finish(session, piece.id, colour=None, words="sage", version=None, now=NOW)
    assert piece.finish_colour is None
    assert [(row.fact, row.was, row.became) for row in corrections_of(session, piece.id)][-1] == (
        "Finish colour",
        "#7a8f6a",
        "",
    )


def test_the_next_note_is_found_by_searching_and_keeps_no_history(session: Session) -> None:
    piece = a_piece(session)
    note_next(session, piece.id, " glue  the drawer ", version=None, now=NOW)
    assert piece.next_note == "glue the drawer"
    assert "glue the drawer" in piece.folded
    assert corrections_of(session, piece.id) == []
    with pytest.raises(RuleError) as refusal:
        note_next(session, piece.id, "x" * 201, version=None, now=NOW)
    assert refusal.value.field == "next_note"


def test_an_amount_put_right_is_struck_out_and_entered_again(session: Session) -> None:
    piece = a_piece(session, price_cents=4_000)
    pay(session, piece, price_cents=3_000, premium_cents=450)
    old, new = purchases_of(session, piece.id)
    assert (old.total_cents, old.struck_reason) == (4_000, "misread the receipt")
    assert (new.total_cents, new.is_struck, new.kind) == (3_450, False, PurchaseKind.BOUGHT)


def test_an_amount_put_right_raises_the_version(session: Session) -> None:
    piece = a_piece(session)
    old = piece.version
    pay(session, piece)
    assert piece.version > old
    with pytest.raises(StaleEdit) as clash:
        pay(session, piece, version=old)
    assert clash.value.now_values["Price"] == "30.00"


def test_an_amount_put_right_wants_a_reason(session: Session) -> None:
    piece = a_piece(session)
    with pytest.raises(RuleError) as refusal:
        pay(session, piece, reason="  ")
    assert refusal.value.field == "reason"
    assert len(purchases_of(session, piece.id)) == 1


def test_a_kerb_find_that_was_bought_after_all_changes_its_place_with_its_price(session: Session) -> None:
    kerb, sale = a_source(session, "kerb", is_free=True), a_source(session)
    piece = a_piece(session, source_id=kerb.id, price_cents=0)
    with pytest.raises(RuleError, match="cost nothing"):
        pay(session, piece, price_cents=500)
    pay(session, piece, price_cents=500, source=FromSource(sale.id))
    assert piece_row(session, piece.id).source_name == "estate sale"
    assert [row.kind for row in purchases_of(session, piece.id)] == [PurchaseKind.FREE, PurchaseKind.BOUGHT]
    assert [(row.fact, row.was, row.became) for row in corrections_of(session, piece.id)] == [
        ("From", "kerb", "estate sale")
    ]


def test_opening_stock_put_right_stays_opening_stock(session: Session) -> None:
    piece = an_owned_piece(session, cost_cents=2_500)
    pay(session, piece, price_cents=1_000, on_date=date(2024, 1, 1))
    assert [(row.kind, row.on_date, row.total_cents) for row in purchases_of(session, piece.id)] == [
        (PurchaseKind.OPENING, date(2024, 1, 1), 2_500),
        (PurchaseKind.OPENING, date(2024, 1, 1), 1_000),
    ]
    with pytest.raises(RuleError) as refusal:
        pay(session, piece, on_date=date(2024, 2, 1))
    assert refusal.value.field == "on_date"


def test_one_piece_of_a_haul_is_not_put_right_alone(session: Session) -> None:
    haul = a_haul(session)
    piece = session.get_one(Piece, haul_sheet(session, haul.id).shares[0].piece.id)
    with pytest.raises(RuleError, match="on the haul's page"):
        pay(session, piece)
    with pytest.raises(RuleError, match="on the haul's page") as refusal:
        correct_dates(session, piece.id, sourced_on=date(2026, 9, 1), step_dates={}, version=None, now=NOW)
    assert refusal.value.field == "sourced_on"


def test_a_purchase_put_right_to_another_day_moves_the_find_and_is_struck_once(session: Session) -> None:
    piece = a_piece(session, bought_on=october(5))
    pay(session, piece, on_date=october(2))
    assert (piece.sourced_on, steps_of(session, piece.id)[0].on_date) == (october(2), october(2))
    assert [(row.on_date, row.is_struck) for row in purchases_of(session, piece.id)] == [
        (october(5), True),
        (october(2), False),
    ]


def test_the_second_leaving_is_dated_without_touching_the_first(session: Session) -> None:
    piece = a_piece(session, bought_on=october(1))
    for out, back in ((3, 5), (10, 12)):
        leave(session, piece.id, Leaving.KEPT, on_date=october(out), reason="", version=None, now=NOW)
        bring_back(session, piece.id, on_date=october(back), reason="wanted", version=None, now=NOW)
    *_, second_out, second_back = steps_of(session, piece.id)
    dated = {second_out.id: october(9), second_back.id: october(14)}
    correct_dates(session, piece.id, sourced_on=piece.sourced_on, step_dates=dated, version=None, now=NOW)
    assert [(row.on_date.day, row.back_on and row.back_on.day) for row in leavings_of(session, piece.id)] == [
        (3, 5),
        (9, 14),
    ]


def test_dates_put_right_carry_steps_leavings_and_purchase_along(session: Session) -> None:
    piece = a_piece(session, bought_on=october(1))
    step_forward(session, piece.id, Stage.PREPPED, on_date=october(4), version=None, now=NOW)
    leave(session, piece.id, Leaving.KEPT, on_date=october(10), reason="", version=None, now=NOW)
    bring_back(session, piece.id, on_date=october(20), reason="no room", version=None, now=NOW)
    _, prepped, out, back = steps_of(session, piece.id)
    days = {prepped.id: october(3), out.id: october(8), back.id: october(12)}
    correct_dates(session, piece.id, sourced_on=october(2), step_dates=days, version=piece.version, now=NOW)
    assert [step.on_date for step in steps_of(session, piece.id)] == [october(2), october(3), october(8), october(12)]
    (leaving,) = leavings_of(session, piece.id)
    assert (leaving.on_date, leaving.back_on) == (october(8), october(12))
    assert (piece.sourced_on, piece.stage_since) == (october(2), october(12))
    old, new = purchases_of(session, piece.id)
    assert (old.struck_reason, new.on_date) == ("Found on 2 October 2026 after all", october(2))
    assert [row.fact for row in corrections_of(session, piece.id)] == [
        "Prepped on",
        "Left on",
        "Came back on",
        "Found on",
    ]


def test_dates_out_of_order_change_nothing(session: Session) -> None:
    piece = a_piece(session, bought_on=october(1), stage=Stage.PREPPED, stage_on=october(4))
    step_forward(session, piece.id, Stage.FINISHED, on_date=october(6), version=None, now=NOW)
    prepped = steps_of(session, piece.id)[1]
    with pytest.raises(RuleError, match="before the step it follows"):
        correct_dates(
            session, piece.id, sourced_on=october(1), step_dates={prepped.id: october(7)}, version=None, now=NOW
        )
    assert steps_of(session, piece.id)[1].on_date == october(4)
    with pytest.raises(NotFound):
        correct_dates(session, piece.id, sourced_on=october(1), step_dates={999: october(2)}, version=None, now=NOW)


def test_the_day_of_a_sale_is_not_put_right_here(session: Session) -> None:
    piece = a_piece(session, bought_on=october(1))
    sold = move_piece(session, piece, Stage.SOLD, StepKind.SALE, on_date=october(5), reason="", now=NOW)
    with pytest.raises(RuleError, match="belongs to a listing, a sale or a return"):
        correct_dates(session, piece.id, sourced_on=october(1), step_dates={sold.id: october(4)}, version=None, now=NOW)


def test_the_find_of_opening_stock_may_move_but_its_cost_stays_dated(session: Session) -> None:
    piece = an_owned_piece(session, stage=Stage.PREPPED)
    correct_dates(session, piece.id, sourced_on=date(2023, 2, 1), step_dates={}, version=None, now=NOW)
    assert [row.on_date for row in purchases_of(session, piece.id)] == [date(2024, 1, 1)]
    assert steps_of(session, piece.id)[0].on_date == date(2023, 2, 1)
    forward = steps_of(session, piece.id)[1].id
    with pytest.raises(RuleError, match="the day your books began"):
        correct_dates(
            session,
            piece.id,
            sourced_on=date(2024, 2, 1),
            step_dates={forward: date(2024, 3, 1)},
            version=None,
            now=NOW,
        )
