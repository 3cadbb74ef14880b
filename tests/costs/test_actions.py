"""Writing costs down, striking them out, and reading them back."""

from dataclasses import fields
from datetime import date, datetime
from io import BytesIO
from pathlib import Path

import pytest
from sqlalchemy import event
from sqlalchemy.orm import Session

from app.basics.dates import Month
from app.basics.errors import NotFound, RuleError
from app.basics.striking import AlreadyStruck
from app.costs.actions import add_cost, strike_cost
from app.costs.queries import (
    CostRow,
    cost_by_id,
    costs_of,
    counted_total,
    places_bought_at,
    shop_cost_months,
    shop_costs,
)
from app.costs.rules import CostKind, NewCost
from app.photos.queries import photo_by_id
from app.photos.rules import Shows
from app.photos.store import keep
from app.pieces.actions import leave
from app.pieces.rules import Leaving
from tests.builders.costs import a_cost
from tests.builders.photos import photo_bytes
from tests.builders.pieces import a_piece

DAY = date(2026, 11, 20)


def test_a_cost_is_written_down_as_it_was_said(session: Session) -> None:
    piece = a_piece(session, title="Oak chest")
    line = a_cost(session, piece.id, kind=CostKind.HARDWARE, bought_at="hardware store", note="six pulls")
    row = cost_by_id(session, line.id)
    assert (row.piece_tag, row.piece_name, row.kind_words) == (piece.tag, "Oak chest", "Hardware")
    assert (row.amount_cents, row.on_date, row.bought_at, row.note) == (1250, DAY, "hardware store", "six pulls")
    assert not row.is_struck


def test_the_same_capture_sent_twice_is_one_line(session: Session, now: datetime) -> None:
    piece = a_piece(session)
    new = NewCost(piece.id, CostKind.OTHER, 1250, DAY)
    first = add_cost(session, new, capture_id="a-phone-1", now=now)
    assert add_cost(session, new, capture_id="a-phone-1", now=now).id == first.id
    assert len(costs_of(session, piece.id)) == 1


def test_a_line_without_its_number_is_refused(session: Session, now: datetime) -> None:
    with pytest.raises(RuleError, match="lost its number"):
        add_cost(session, NewCost(None, CostKind.RENT, 1250, DAY), capture_id="", now=now)


def test_a_cost_on_a_piece_that_is_not_there_is_refused(session: Session) -> None:
    with pytest.raises(NotFound):
        a_cost(session, 99)


def test_today_is_the_shops_own_day(session: Session, now: datetime) -> None:
    # Two in the morning in UTC is still the evening before in the shop's zone.
    early = now.replace(hour=2)
    a_cost(session, on_date=date(2026, 11, 24), now=early)
    with pytest.raises(RuleError, match="has not come yet"):
        a_cost(session, on_date=date(2026, 11, 25), now=early)


def test_a_cost_before_the_books_begin_is_refused(session: Session) -> None:
    with pytest.raises(RuleError, match="your books begin"):
        a_cost(session, on_date=date(2023, 12, 31))


def test_a_piece_that_has_left_can_still_cost_money(session: Session, now: datetime) -> None:
    piece = a_piece(session)
    leave(session, piece.id, Leaving.SCRAPPED, on_date=DAY, reason="worm", version=None, now=now)
    a_cost(session, piece.id, on_date=date(2026, 11, 24))
    assert counted_total(costs_of(session, piece.id)) == 1250


def test_a_struck_line_stays_in_sight_and_counts_no_more(session: Session, now: datetime) -> None:
    piece = a_piece(session)
    wrong, right = a_cost(session, piece.id, amount_cents=125_000), a_cost(session, piece.id)
    strike_cost(session, wrong.id, reason=" a slip of the point ", now=now)
    rows = costs_of(session, piece.id)
    assert {row.id: (row.is_struck, row.struck_reason) for row in rows} == {
        right.id: (False, None),
        wrong.id: (True, "a slip of the point"),
    }
    assert counted_total(rows) == 1250


def test_striking_out_changes_nothing_else(session: Session, now: datetime) -> None:
    line = a_cost(session, bought_at="hardware store", note="n")
    before = cost_by_id(session, line.id)
    strike_cost(session, line.id, reason="wrong", now=now)
    after = cost_by_id(session, line.id)
    changed = {one.name for one in fields(CostRow) if getattr(before, one.name) != getattr(after, one.name)}
    assert changed == {"struck_at", "struck_reason"}


def test_a_struck_line_cannot_be_struck_again(session: Session, now: datetime) -> None:
    line = a_cost(session)
    strike_cost(session, line.id, reason="wrong", now=now)
    with pytest.raises(AlreadyStruck):
        strike_cost(session, line.id, reason="still wrong", now=now)
    assert cost_by_id(session, line.id).struck_reason == "wrong"


def test_striking_out_without_a_reason_or_a_line_is_refused(session: Session, now: datetime) -> None:
    line = a_cost(session)
    with pytest.raises(RuleError, match="Say why"):
        strike_cost(session, line.id, reason=" ", now=now)
    with pytest.raises(NotFound):
        strike_cost(session, 99, reason="wrong", now=now)
    assert not cost_by_id(session, line.id).is_struck


def test_a_receipt_is_attached_and_shared_by_the_lines_it_proves(
    session: Session, now: datetime, tmp_path: Path
) -> None:
    piece = a_piece(session)
    stored = keep(tmp_path, BytesIO(photo_bytes()), "receipt.jpg")
    lines = [
        add_cost(
            session,
            NewCost(piece.id, kind, 500, DAY),
            capture_id=f"capture-{kind}",
            now=now,
            receipt=stored,
        )
        for kind in (CostKind.MATERIALS, CostKind.HARDWARE)
    ]
    photo_id = lines[0].receipt_photo_id
    assert photo_id is not None
    assert lines[1].receipt_photo_id == photo_id
    assert photo_by_id(session, photo_id).shows is Shows.RECEIPT


def test_shop_costs_are_read_by_month_the_newest_day_first(session: Session) -> None:
    piece = a_piece(session)
    a_cost(session, piece.id)
    late = a_cost(session, on_date=date(2026, 11, 22))
    early = a_cost(session, on_date=date(2026, 11, 1))
    before = a_cost(session, on_date=date(2026, 10, 31))
    assert [row.id for row in shop_costs(session, Month(2026, 11))] == [late.id, early.id]
    assert [row.id for row in shop_costs(session)] == [late.id, early.id, before.id]
    assert shop_cost_months(session) == (Month(2026, 10), Month(2026, 11))


def test_a_shop_without_costs_has_no_months(session: Session) -> None:
    assert shop_cost_months(session) is None
    assert shop_costs(session) == []


def test_places_come_back_once_the_most_recent_first(session: Session) -> None:
    for place in ("paint store", "", "hardware store", "paint store"):
        a_cost(session, bought_at=place)
    assert places_bought_at(session) == ["paint store", "hardware store"]


def test_more_lines_take_no_more_queries(session: Session) -> None:
    piece_id = a_piece(session).id
    asked: list[str] = []
    event.listen(session.connection(), "before_cursor_execute", lambda *said: asked.append(said[2]))
    counts = []
    for _ in range(2):
        for _ in range(10):
            a_cost(session, piece_id)
        session.expire_all()
        asked.clear()
        costs_of(session, piece_id)
        counts.append(len(asked))
    assert counts == [1, 1]
