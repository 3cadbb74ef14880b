"""Writing pieces down: what is saved, what is refused, and what stands on a day."""

from datetime import date
from uuid import uuid4

import pytest
from sqlalchemy import select
from sqlalchemy.orm import Session

from app.basics.dates import Month
from app.basics.errors import NotFound, RuleError
from app.basics.striking import AlreadyStruck
from app.floor.actions import change_price
from app.reports.actions.writing_down import strike_write_down
from app.reports.models import WriteDown
from app.reports.queries import month_of, stock_now
from app.reports.queries.writing_down import piece_valued, stock_valued, written_down
from app.shop.rules import MonthIsClosed
from tests.builders.reports import came_back, found, listed, sold, spent
from tests.builders.taxes import NOW, a_write_down, closed
from tests.reports.counting import a_shop_of, queries_of

FOUND = date(2026, 9, 1)
YEAR_END = date(2026, 10, 31)
TODAY = date(2026, 11, 25)


def rows(session: Session) -> int:
    return len(session.scalars(select(WriteDown.id)).all())


def test_a_piece_is_written_down_to_what_it_will_bring(session: Session) -> None:
    chest = found(session, FOUND, 50_00)

    row = a_write_down(session, chest, 40_00, finish=8_00, sell=2_00)

    assert (row.cents, row.cost_cents) == (20_00, 50_00)
    assert written_down(session, TODAY) == 20_00
    assert written_down(session, date(2026, 11, 19)) == 0


def test_it_stands_apart_from_stock_at_cost_and_from_the_month(session: Session) -> None:
    chest = found(session, FOUND, 50_00)
    before = stock_now(session, TODAY)

    a_write_down(session, chest, 10_00)

    assert stock_now(session, TODAY) == before == 50_00
    assert month_of(session, Month(2026, 11)).profit == 0


def test_it_goes_back_up_by_what_it_was_written_down_at_most(session: Session) -> None:
    chest = found(session, FOUND, 50_00)
    a_write_down(session, chest, 20_00, on=date(2026, 10, 1))

    up = a_write_down(session, chest, 900_00, on=date(2026, 11, 1), reason="Asked for twice")

    assert up.cents == -30_00
    assert written_down(session, TODAY) == 0
    assert written_down(session, date(2026, 10, 31)) == 30_00


def test_sending_the_same_form_twice_makes_one_row(session: Session) -> None:
    chest = found(session, FOUND, 50_00)
    capture_id = str(uuid4())

    first = a_write_down(session, chest, 20_00, capture_id=capture_id)

    assert a_write_down(session, chest, 10_00, capture_id=capture_id) is first
    assert rows(session) == 1


@pytest.mark.parametrize(
    ("told", "field", "words"),
    [
        ({"price_cents": 50_00}, "price_expected", "need not be written down"),
        ({"price_cents": -1}, "price_expected", "never below zero"),
        ({"finish": -1}, "finish", "never below zero"),
        ({"sell": -1}, "sell", "never below zero"),
        ({"on": date(2026, 11, 26)}, "on_date", "has not come yet"),
        ({"on": date(2026, 8, 31)}, "on_date", "the day the piece was found"),
        ({"on": date(2023, 8, 31)}, "on_date", "the day your books begin"),
        ({"reason": "  "}, "reason", "Say what makes you expect that"),
        ({"reason": "x" * 301}, "reason", "301"),
    ],
)
def test_what_cannot_be_is_refused_at_its_field(
    session: Session, told: dict[str, object], field: str, words: str
) -> None:
    chest = found(session, FOUND, 50_00)

    with pytest.raises(RuleError, match=words) as refusal:
        a_write_down(session, chest, **told)  # type: ignore[arg-type]

    assert refusal.value.field == field
    assert rows(session) == 0


def test_a_piece_that_is_gone_is_not_written_down_but_for_a_day_it_was_here(session: Session) -> None:
    chest = found(session, FOUND, 50_00)
    sold(session, chest, date(2026, 11, 10), 60_00)

    with pytest.raises(RuleError, match="the piece was gone"):
        a_write_down(session, chest, 20_00)

    assert a_write_down(session, chest, 20_00, on=YEAR_END).cents == 30_00
    assert written_down(session, YEAR_END) == stock_valued(session, YEAR_END).written == 30_00
    assert written_down(session, TODAY) == stock_valued(session, TODAY).written == 0


def test_a_piece_that_came_back_stands_at_cost_again(session: Session) -> None:
    chest = found(session, FOUND, 50_00)
    a_write_down(session, chest, 20_00, on=date(2026, 9, 30))
    came_back(session, sold(session, chest, date(2026, 10, 10), 60_00), date(2026, 11, 5), 60_00)

    assert written_down(session, date(2026, 9, 30)) == stock_valued(session, date(2026, 9, 30)).written == 30_00
    assert written_down(session, TODAY) == stock_valued(session, TODAY).written == 0
    assert a_write_down(session, chest, 20_00).cents == 30_00


def test_rows_of_a_piece_follow_one_another(session: Session) -> None:
    chest = found(session, FOUND, 50_00)
    a_write_down(session, chest, 20_00, on=date(2026, 11, 1))

    with pytest.raises(RuleError, match="the day it was last written down or up"):
        a_write_down(session, chest, 10_00, on=YEAR_END)


def test_a_closed_month_takes_none_and_gives_none_back(session: Session) -> None:
    chest = found(session, FOUND, 50_00)
    row = a_write_down(session, chest, 20_00, on=YEAR_END)
    closed(session, "2026-10")

    with pytest.raises(MonthIsClosed):
        a_write_down(session, found(session, date(2026, 11, 1), 50_00), 20_00, on=date(2026, 10, 1))
    with pytest.raises(MonthIsClosed):
        strike_write_down(session, row.id, reason="wrong piece", now=NOW)

    assert written_down(session, YEAR_END) == 30_00


def test_the_newest_is_struck_first_and_each_only_once(session: Session) -> None:
    chest = found(session, FOUND, 50_00)
    first = a_write_down(session, chest, 20_00, on=date(2026, 10, 1))
    second = a_write_down(session, chest, 40_00, on=date(2026, 11, 1))

    with pytest.raises(RuleError, match="Strike out that one first"):
        strike_write_down(session, first.id, reason="wrong piece", now=NOW)
    strike_write_down(session, second.id, reason="wrong piece", now=NOW)
    assert written_down(session, TODAY) == 30_00
    strike_write_down(session, first.id, reason="wrong piece", now=NOW)
    assert written_down(session, TODAY) == 0
    with pytest.raises(AlreadyStruck):
        strike_write_down(session, first.id, reason="again", now=NOW)
    with pytest.raises(NotFound):
        strike_write_down(session, 999, reason="none", now=NOW)


def test_striking_asks_for_a_reason(session: Session) -> None:
    row = a_write_down(session, found(session, FOUND, 50_00), 20_00)

    with pytest.raises(RuleError) as refusal:
        strike_write_down(session, row.id, reason=" ", now=NOW)

    assert refusal.value.field == "reason"
    assert row.struck_at is None


def test_pieces_to_look_at_stand_first(session: Session) -> None:
    fine = found(session, FOUND, 90_00, "Fine table")
    listed(session, fine, FOUND, 200_00)
    low = found(session, FOUND, 50_00, "Cracked chest")
    listed(session, low, FOUND, 200_00)
    change_price(session, low.id, asking_cents=40_00, on_date=date(2026, 11, 1), note="", now=NOW)
    said = found(session, FOUND, 30_00, "Wormy stool")
    a_write_down(session, said, 10_00, on=date(2026, 10, 1))
    spent(session, said, date(2026, 11, 2), 5_00)

    sheet = stock_valued(session, TODAY)

    assert [piece.title for piece in sheet.to_look_at] == ["Cracked chest", "Wormy stool"]
    assert [piece.title for piece in sheet.pieces] == ["Cracked chest", "Wormy stool", "Fine table"]
    stool = sheet.pieces[1]
    assert (stool.value.lower, stool.value.net, stool.value.change) == (15_00, 10_00, 5_00)
    assert (sheet.cost, sheet.written, sheet.lower) == (175_00, 20_00, 155_00)
    assert written_down(session, TODAY) == sheet.written
    # What was asked in October was more than it cost.
    assert [piece.title for piece in stock_valued(session, YEAR_END).to_look_at] == ["Wormy stool"]


def test_the_page_of_a_piece_tells_of_the_day_it_is_asked_about(session: Session) -> None:
    chest = found(session, FOUND, 50_00)
    listed(session, chest, date(2026, 10, 1), 80_00)
    a_write_down(session, chest, 20_00, on=YEAR_END)
    sold(session, chest, date(2026, 11, 10), 60_00)

    then, now = piece_valued(session, chest.tag, YEAR_END), piece_valued(session, chest.tag, TODAY)

    assert then.value is not None
    assert (then.value.cost, then.value.written, then.asking) == (50_00, 30_00, 80_00)
    assert (now.value, now.asking) == (None, None)
    assert piece_valued(session, chest.tag, date(2026, 8, 1)).value is None
    assert len(now.entered) == 1


def test_the_list_asks_as_many_queries_for_many_pieces_as_for_few(session: Session) -> None:
    a_write_down(session, found(session, FOUND, 50_00), 20_00)
    a_shop_of(session, 1)
    few = queries_of(session, lambda: (stock_valued(session, TODAY), written_down(session, TODAY)))
    a_shop_of(session, 8)
    for _ in range(4):
        a_write_down(session, found(session, FOUND, 50_00), 20_00)

    assert queries_of(session, lambda: (stock_valued(session, TODAY), written_down(session, TODAY))) == few
