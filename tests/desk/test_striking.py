"""Striking out a find that was logged by mistake, and undoing a slip, from the pages."""

from datetime import date, datetime

import pytest
from sqlalchemy.orm import Session

from app.basics.errors import RuleError
from app.costs.actions import add_cost, strike_cost
from app.costs.rules import CostKind, NewCost
from app.database.unit_of_work import Ledger
from app.desk.actions import step_back_piece, strike_find
from app.pieces.models import Piece
from app.pieces.queries import piece_row
from app.pieces.rules import Stage
from app.reports.queries import piece_ledgers, prove_ledger, stock_now
from app.sales.actions import strike_sale
from app.timelog.actions import start_timer, strike_time
from app.timelog.rules import Activity
from tests.builders.costs import a_cost
from tests.builders.floor import a_listed_piece
from tests.builders.pieces import a_haul, a_piece
from tests.builders.sales import a_sale
from tests.builders.timelog import a_time
from tests.examining_client import ExaminingClient

TODAY = date(2026, 11, 25)


def strike(session: Session, piece: Piece, now: datetime) -> None:
    strike_find(session, piece.id, reason="logged twice", version=None, now=now)


def test_the_books_hold_with_a_struck_find_and_know_nothing_of_it(session: Session, now: datetime) -> None:
    piece = a_piece(session, price_cents=125_000)
    strike(session, piece, now)
    assert stock_now(session, TODAY) == 0
    assert piece_ledgers(session) == []
    assert [finding.name for finding in prove_ledger(session, TODAY) if not finding.holds] == []


def test_costs_and_work_that_count_are_struck_out_first(session: Session, now: datetime) -> None:
    piece = a_piece(session)
    line, entry = a_cost(session, piece.id), a_time(session, piece.id)
    with pytest.raises(RuleError, match="Costs still count"):
        strike(session, piece, now)
    strike_cost(session, line.id, reason="wrong piece", now=now)
    with pytest.raises(RuleError, match="Work still counts"):
        strike(session, piece, now)
    strike_time(session, entry.id, reason="wrong piece", now=now)
    strike(session, piece, now)
    assert piece_row(session, piece.id).is_struck
    with pytest.raises(RuleError, match="struck out"):
        add_cost(session, NewCost(piece.id, CostKind.HARDWARE, 100, TODAY), capture_id="again", now=now)
    with pytest.raises(RuleError, match="struck out"):
        start_timer(session, piece_id=piece.id, activity=Activity.SANDING, now=now)


def test_the_running_clock_is_stopped_first(session: Session, now: datetime) -> None:
    piece = a_piece(session)
    start_timer(session, piece_id=piece.id, activity=Activity.SANDING, now=now)
    with pytest.raises(RuleError, match="Stop the clock first"):
        strike(session, piece, now)


def test_a_piece_that_was_on_the_floor_is_no_mistake(session: Session, now: datetime) -> None:
    piece = a_listed_piece(session)
    step_back_piece(session, piece.id, Stage.PREPPED, on_date=TODAY, reason="x", version=None, now=now)
    with pytest.raises(RuleError, match="has been on the floor"):
        strike(session, piece, now)


def test_a_sale_is_struck_out_before_its_piece(session: Session, now: datetime) -> None:
    piece = a_piece(session)
    sale = a_sale(session, piece)
    with pytest.raises(RuleError, match="Strike the sale out first"):
        strike(session, piece, now)
    strike_sale(session, sale.id, reason="never happened", now=now)
    strike(session, piece, now)
    assert [finding.name for finding in prove_ledger(session, TODAY) if not finding.holds] == []


def kept(ledger: Ledger, **said: object) -> Piece:
    with ledger.writing() as session:
        return a_piece(session, **said)  # type: ignore[arg-type]


def test_a_find_is_struck_out_from_its_own_page(client: ExaminingClient, ledger: Ledger) -> None:
    piece = kept(ledger, title="Junk stool")
    here = f"/pieces/{piece.tag}"
    assert f"{here}/strike" in client.get(here).text
    assert client.post_form(f"{here}/strike", {"reason": ""}).status_code == 422
    assert client.post_form(f"{here}/strike", {"reason": "logged twice"}).location == here
    page = client.get(here).text
    assert "Struck out:" in page
    assert "logged twice" in page
    for offer in ("Mark prepped", "Add a cost", "Start the clock", "More to do with it", ">Correct<"):
        assert offer not in page
    assert "Junk stool" not in client.get("/bench").text
    assert "Junk stool" not in client.get("/pieces").text
    assert "Junk stool" in client.get("/pieces?left=struck").text
    assert "Junk stool" not in client.get("/books/stock").text
    assert "Junk stool" not in client.get("/books/pieces").text
    assert "struck out already" in client.get(f"{here}/strike").text


def test_the_page_says_what_stands_in_the_way(client: ExaminingClient, ledger: Ledger) -> None:
    piece = kept(ledger)
    with ledger.writing() as session:
        a_cost(session, piece.id)
        haul = a_haul(session)
        part = session.get_one(Piece, piece.id + 1)
    assert "Costs still count on it" in client.get(f"/pieces/{piece.tag}/strike").text
    assert f"/hauls/{haul.id}" in client.get(f"/pieces/{part.tag}/strike").text


def test_one_tap_marks_it_and_one_more_undoes_the_slip(client: ExaminingClient, ledger: Ledger) -> None:
    piece = kept(ledger)
    here = f"/pieces/{piece.tag}"
    assert client.post_form(f"{here}/step", {}, from_page=here).location == here
    with ledger.reading() as session:
        row = piece_row(session, piece.id)
    assert (row.stage, row.stage_since) == (Stage.PREPPED, TODAY)
    assert client.post_form(f"{here}/undo-step", {}, from_page=here).location == here
    page = client.get(here).text
    assert "Mark prepped" in page
    assert "That was a slip" not in page
    assert "a slip, undone the same day" in page


def test_the_running_clock_switches_to_other_work_from_the_sheet(client: ExaminingClient, ledger: Ledger) -> None:
    piece = kept(ledger)
    here = f"/pieces/{piece.tag}"
    client.post_form("/time/start", {}, from_page=here)
    assert client.post_form("/time/switch", {"activity": "sanding"}, from_page=here).location == here
    assert "The clock runs: sanding" in client.get(here).text
