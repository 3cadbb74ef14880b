"""Putting right the day a piece went on the floor."""

from datetime import date

import pytest
from sqlalchemy.orm import Session

from app.basics.errors import RuleError, StaleEdit
from app.database.unit_of_work import Ledger
from app.floor.actions import change_price, correct_listed_on, end_listing
from app.floor.queries import listings_of, open_listing
from app.pieces.actions import step_back
from app.pieces.models import Piece
from app.pieces.queries import corrections_of, steps_of
from app.pieces.rules import Stage
from tests.builders.floor import a_listed_piece
from tests.builders.pieces import NOW, a_piece
from tests.builders.sales import a_sold_piece
from tests.examining_client import ExaminingClient

TODAY = date(2026, 11, 25)


def correct(session: Session, piece: Piece, day: date, version: int | None = None) -> None:
    correct_listed_on(session, piece.id, day, version=version, now=NOW)


def test_the_step_the_listing_and_its_first_price_take_the_day(session: Session) -> None:
    piece = a_listed_piece(session)
    found = steps_of(session, piece.id)[-2].on_date
    correct(session, piece, found)
    listing = open_listing(session, piece.id)
    assert listing is not None
    assert (listing.listed_on, listing.prices[0].on_date) == (found, found)
    assert (piece.stage_since, steps_of(session, piece.id)[-1].on_date) == (found, found)
    assert [row.fact for row in corrections_of(session, piece.id)] == ["Listed on"]


def test_a_day_out_of_order_or_to_come_is_refused_at_its_field(session: Session) -> None:
    piece = a_listed_piece(session)
    change_price(session, piece.id, asking_cents=5_00, on_date=date(2026, 11, 20), note="", now=NOW)
    for day in (date(2026, 11, 26), date(2026, 11, 21), date(2026, 9, 30)):
        with pytest.raises(RuleError) as refusal:
            correct(session, piece, day)
        assert refusal.value.field == "listed_on"


def test_a_spell_that_is_over_stays_before_its_end(session: Session) -> None:
    piece, sale = a_sold_piece(session)
    with pytest.raises(RuleError, match="Its next step was on"):
        correct(session, piece, TODAY)
    correct(session, piece, sale.sold_on)
    assert listings_of(session, piece.id)[-1].listed_on == sale.sold_on
    assert piece.stage_since == sale.sold_on


def test_a_piece_taken_down_keeps_its_later_step(session: Session) -> None:
    piece = a_listed_piece(session)
    step_back(session, piece.id, Stage.PREPPED, on_date=TODAY, reason="x", version=None, now=NOW)
    end_listing(session, piece.id, on_date=TODAY, ended_by="step_back", now=NOW)
    correct(session, piece, TODAY)
    assert (piece.stage, piece.stage_since) == (Stage.PREPPED, TODAY)


def test_a_piece_never_on_the_floor_and_an_old_version_are_refused(session: Session) -> None:
    with pytest.raises(RuleError, match="never on the floor"):
        correct(session, a_piece(session), TODAY)
    piece = a_listed_piece(session)
    with pytest.raises(StaleEdit):
        correct(session, piece, TODAY, version=piece.version - 1)


def test_the_page_is_reached_from_the_dates_and_saves(client: ExaminingClient, ledger: Ledger) -> None:
    with ledger.writing() as session:
        piece, plain = a_listed_piece(session), a_piece(session)
    here = f"/pieces/{piece.tag}/listed-on"
    assert here in client.get(f"/pieces/{piece.tag}/dates").text
    assert client.post_form(here, {"listed_on": "2026-11-26"}).status_code == 422
    assert client.post_form(here, {"listed_on": "2026-11-24"}).status_code == 303
    page = client.get(f"/pieces/{piece.tag}").text
    assert "Listed on put right" in page
    assert "never on the floor" in client.get(f"/pieces/{plain.tag}/listed-on").text
