"""Parts taken off a piece: to the shelf at a value, never more than the piece stands at."""

from datetime import date, datetime

import pytest
from sqlalchemy import select
from sqlalchemy.orm import Session

from app.basics.errors import RuleError
from app.database.unit_of_work import Ledger
from app.desk.actions import take_parts
from app.desk.queries import stands_at
from app.pieces.actions import strike_find
from app.shelf.models import Material, ShelfPurchase
from app.shelf.rules import MaterialClass, NewParts, TooMuchOff, Unit
from tests.builders.costs import a_cost
from tests.builders.pieces import a_piece
from tests.builders.sales import a_sold_piece
from tests.builders.shelf import a_material
from tests.examining_client import ExaminingClient

DAY = date(2026, 11, 10)
TOLD = {
    "material": "",
    "new_name": "Brass pulls",
    "quantity": "4",
    "value": "8.00",
    "on_date": "2026-11-10",
    "note": "",
}


def parts(piece_id: int, cents: int = 800, *, material_id: int = 0, on_date: date = DAY) -> NewParts:
    return NewParts(material_id, piece_id, 4_000, cents, on_date)


def test_new_hardware_comes_on_the_shelf_with_its_name(session: Session, now: datetime) -> None:
    piece = a_piece(session, price_cents=4_000)
    taken = take_parts(session, parts(piece.id), new_name="Brass pulls", capture_id="one", now=now)
    material = session.get_one(Material, taken.material_id)
    assert (material.name, material.klass, material.unit) == ("Brass pulls", MaterialClass.HARDWARE, Unit.EACH)
    assert (taken.from_piece_id, taken.quantity_milli, taken.price_cents) == (piece.id, 4_000, 800)
    take_parts(session, parts(piece.id, material_id=material.id), new_name="", capture_id="two", now=now)
    assert len(session.scalars(select(Material)).all()) == 1


def test_no_more_than_the_piece_stands_at_on_that_day_goes_with_them(session: Session, now: datetime) -> None:
    piece = a_piece(session, price_cents=500)
    a_cost(session, piece.id, amount_cents=400, on_date=date(2026, 11, 20))
    assert [stands_at(session, piece.id, day) for day in (DAY, date(2026, 11, 20))] == [500, 900]
    with pytest.raises(TooMuchOff):
        take_parts(session, parts(piece.id, 501), new_name="Pulls", capture_id="one", now=now)
    take_parts(session, parts(piece.id, 500), new_name="Other pulls", capture_id="two", now=now)


def test_only_what_is_counted_one_by_one_comes_off(session: Session, now: datetime) -> None:
    piece, paint = a_piece(session), a_material(session)
    for material_id in (paint.id, 99):
        with pytest.raises(RuleError) as refused:
            take_parts(session, parts(piece.id, material_id=material_id), new_name="", capture_id="one", now=now)
        assert refused.value.field == "material"
    with pytest.raises(RuleError) as refused:
        take_parts(session, parts(piece.id), new_name=" ", capture_id="one", now=now)
    assert refused.value.field == "new_name"


def test_sold_and_struck_pieces_are_refused(session: Session, now: datetime) -> None:
    sold, _sale = a_sold_piece(session)
    with pytest.raises(RuleError, match="It is sold"):
        take_parts(session, parts(sold.id), new_name="Pulls", capture_id="one", now=now)
    mistake = a_piece(session)
    strike_find(session, mistake.id, reason="twice", version=None, now=now)
    with pytest.raises(RuleError, match="struck out"):
        take_parts(session, parts(mistake.id), new_name="Knobs", capture_id="two", now=now)


def test_the_page_takes_parts_off_and_shows_them_on_the_piece(client: ExaminingClient, ledger: Ledger) -> None:
    with ledger.writing() as session:
        tag = a_piece(session, price_cents=4_000).tag
    path = f"/pieces/{tag}/parts-off"
    assert "$40.00 today" in client.get(path).text
    answer = client.post_form(path, TOLD)
    assert answer.location == f"/pieces/{tag}/materials"
    page = client.get(answer.location).text
    assert "Taken off it" in page
    assert "Brass pulls" in page
    assert '<option value="1">Brass pulls</option>' in client.get(path).text
    refused = client.post_form(path, {**TOLD, "value": "99.00"})
    assert refused.status_code == 422
    assert 'value="99.00"' in refused.text
    with ledger.reading() as session:
        assert len(session.scalars(select(ShelfPurchase)).all()) == 1


def test_a_piece_that_is_gone_has_no_page_for_it(client: ExaminingClient, ledger: Ledger) -> None:
    with ledger.writing() as session:
        tag = a_sold_piece(session)[0].tag
    client.get(f"/pieces/{tag}/parts-off", status=409)
