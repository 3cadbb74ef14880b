"""Receipts attached later: to costs, purchases for the shelf and trips; replaced, taken off, and always kept."""

from datetime import date
from io import BytesIO
from typing import Any

import pytest
from flask import Flask
from sqlalchemy.orm import Session

from app.basics.dates import Month
from app.basics.errors import NotFound, RuleError
from app.basics.settings import Settings
from app.costs.actions import strike_cost
from app.costs.queries import costs_of, shop_costs
from app.database.unit_of_work import Ledger
from app.desk.actions import attach_receipt, take_receipt_off
from app.desk.queries import receipt_row, rows_without_receipt
from app.photos.actions import lay_on_pile
from app.photos.queries import count_pile, pile, replaced_receipts
from app.photos.rules import StoredPhoto
from app.photos.store import keep
from app.reports.queries.records import record_findings
from tests.builders.closing import closed_up_to
from tests.builders.costs import a_cost
from tests.builders.photos import NOW, photo_bytes
from tests.builders.pieces import a_piece
from tests.builders.shelf import a_purchase, a_stocked_material
from tests.builders.trips import an_actual_trip
from tests.examining_client import ExaminingClient


def a_stored(app: Flask, red: int = 1, taken: str | None = None) -> StoredPhoto:
    settings: Settings = app.extensions["tackcloth_settings"]
    return keep(settings.photo_dir, BytesIO(photo_bytes(8, 8, colour=(20 * red, 3, 3), taken=taken)), f"{red}.jpg")


def lay(session: Session, *stored: StoredPhoto) -> list[int]:
    return [photo.id for photo in lay_on_pile(session, stored, now=NOW)]


def receipt_of(session: Session, name: str) -> int | None:
    return receipt_row(session, name).receipt_photo_id


def assert_records_hold(session: Session) -> None:
    assert [finding for finding in record_findings(session) if "eceipt" in finding.name and not finding.holds] == []


def test_a_receipt_from_the_pile_is_attached_to_each_kind_of_row(session: Session, app: Flask) -> None:
    cost = a_cost(session, a_piece(session).id)
    material = a_stocked_material(session)
    bought = a_purchase(session, material)
    trip = an_actual_trip(session)
    numbers = lay(session, *(a_stored(app, red) for red in (1, 2, 3)))
    names = [f"cost-{cost.id}", f"shelf-{bought.id}", f"trip-{trip.id}"]
    for name, number in zip(names, numbers, strict=True):
        attach_receipt(session, name, number, now=NOW)
    assert [receipt_of(session, name) for name in names] == numbers
    assert count_pile(session) == 0
    assert_records_hold(session)


def test_a_replaced_receipt_is_kept_in_sight_and_comes_back_when_the_new_one_goes(session: Session, app: Flask) -> None:
    name = f"cost-{a_cost(session).id}"
    for red in (1, 2, 3):
        attach_receipt(session, name, a_stored(app, red), now=NOW)
    newest = receipt_of(session, name)
    before = [photo.id for photo, _ in replaced_receipts(session, "cost_line", 1)]
    assert newest is not None
    assert before == [newest - 1, newest - 2]
    assert_records_hold(session)
    take_receipt_off(session, name, newest, now=NOW)
    assert take_receipt_off(session, name, newest, now=NOW) is False, "pressed twice"
    assert receipt_of(session, name) == newest - 1
    assert [photo.id for photo in pile(session)] == [newest]
    assert_records_hold(session)
    for photo_id in (newest - 1, newest - 2, newest - 2):
        take_receipt_off(session, name, photo_id, now=NOW)
    assert (receipt_of(session, name), count_pile(session)) == (None, 3)
    assert_records_hold(session)


def test_one_receipt_may_belong_to_several_rows(session: Session, app: Flask) -> None:
    names = [f"cost-{a_cost(session).id}" for _ in range(2)]
    for name in names:
        attach_receipt(session, name, a_stored(app), now=NOW)
    assert receipt_of(session, names[0]) == receipt_of(session, names[1])
    shared = receipt_of(session, names[1])
    assert shared is not None
    attach_receipt(session, names[0], a_stored(app, 2), now=NOW)
    take_receipt_off(session, names[1], shared, now=NOW)
    assert count_pile(session) == 0, "it is still an earlier receipt of the other row"
    assert_records_hold(session)


def test_the_same_receipt_again_replaces_nothing(session: Session, app: Flask) -> None:
    name = f"cost-{a_cost(session).id}"
    for _ in range(2):
        attach_receipt(session, name, a_stored(app), now=NOW)
    assert replaced_receipts(session, "cost_line", 1) == []


def test_a_closed_month_takes_a_receipt_and_no_amount_changes(session: Session, app: Flask) -> None:
    piece = a_piece(session, bought_on=date(2026, 10, 1))
    cost = a_cost(session, piece.id, on_date=date(2026, 10, 5))
    closed_up_to(session, Month(2026, 10))
    before = [(row.amount_cents, row.on_date, row.corrected_cents) for row in costs_of(session, piece.id)]
    attach_receipt(session, f"cost-{cost.id}", a_stored(app), now=NOW)
    assert [(row.amount_cents, row.on_date, row.corrected_cents) for row in costs_of(session, piece.id)] == before
    assert_records_hold(session)


def test_a_struck_row_and_what_is_not_there_are_refused(session: Session, app: Flask) -> None:
    cost = a_cost(session)
    strike_cost(session, cost.id, reason="entered twice", now=NOW)
    with pytest.raises(RuleError, match="struck out already: entered twice"):
        attach_receipt(session, f"cost-{cost.id}", a_stored(app), now=NOW)
    good = f"cost-{a_cost(session).id}"
    with pytest.raises(RuleError, match="not on the pile any more"):
        attach_receipt(session, good, 99, now=NOW)
    for name, number in (("cost-99", 1), ("sale-1", 1), ("cost-x", 1), ("cost-" + "9" * 30, 1)):
        with pytest.raises(NotFound):
            attach_receipt(session, name, number, now=NOW)


def test_what_lacks_a_receipt_is_listed_newest_first(session: Session, app: Flask) -> None:
    older, newer = a_cost(session, on_date=date(2026, 11, 1)), a_cost(session, on_date=date(2026, 11, 9))
    with_one = a_cost(session)
    attach_receipt(session, f"cost-{with_one.id}", a_stored(app), now=NOW)
    assert [row.id for row in rows_without_receipt(session)] == [newer.id, older.id]


def test_a_cost_line_gets_its_receipt_on_its_own_page(client: ExaminingClient, app: Flask, ledger: Ledger) -> None:
    with ledger.writing() as session:
        tag = a_piece(session).tag
        name = f"cost-{a_cost(session, 1).id}"
        piled = lay(session, a_stored(app, 7))[0]
    assert f'href="/receipts/{name}"' in client.get(f"/pieces/{tag}/costs").text
    page = f"/receipts/{name}"
    assert "Choose a photo, or one from the pile." in client.post_form(page, {}).text
    assert "not a readable photo" in client.post_form(page, {"receipt": (BytesIO(b"x"), "x.jpg")}).text
    answer = client.post_form(page, {"receipt": (BytesIO(photo_bytes()), "receipt.jpg")})
    assert (answer.status_code, answer.location) == (303, page)
    assert "The receipt is attached." in client.get(page).text
    client.post_form(page, {"piled": str(piled)})
    shown = client.get(page).text
    assert "Receipts it had before" in shown
    assert "Replace" in client.get(f"/pieces/{tag}/costs").text
    lost = client.post_form(page, {"piled": str(piled)})
    assert (lost.status_code, "not on the pile any more" in lost.text) == (422, True)
    client.post_form("/receipts/off", {}, from_page=page)
    assert "Receipts it had before" not in client.get(page).text


def test_photos_of_the_pile_are_attached_each_to_its_row(client: ExaminingClient, app: Flask, ledger: Ledger) -> None:
    with ledger.writing() as session:
        first, second = a_cost(session, on_date=date(2026, 11, 24)), a_cost(session, on_date=date(2026, 11, 20))
        numbers = lay(session, a_stored(app, 1, "2026:11:24 18:00:00"), a_stored(app, 2, "2026:11:24 18:01:00"))
    address = f"/receipts?photos={numbers[0]},{numbers[1]}"
    page = client.get(address).text
    assert page.index("Of that day") < page.index(f'value="cost-{first.id}"') < page.index("Without a receipt")
    nothing = client.post_form("/receipts", {}, from_page=address)
    assert "Choose for at least one photo" in nothing.text
    fields: dict[str, Any] = {f"of_{numbers[0]}": f"cost-{first.id}", f"of_{numbers[1]}": f"cost-{second.id}"}
    answer = client.post_form("/receipts", fields, from_page=address)
    assert answer.status_code == 303
    assert "Attached: " in client.get(answer.location).text
    with ledger.reading() as session:
        assert {row.receipt_photo_id for row in shop_costs(session)} == set(numbers)
    client.post_form("/receipts/off", {}, from_page=answer.location)
    with ledger.reading() as session:
        assert {row.receipt_photo_id for row in shop_costs(session)} == {None}
        assert count_pile(session) == 2


def test_more_rows_ask_no_more_queries(client: ExaminingClient, ledger: Ledger) -> None:
    with ledger.writing() as session:
        a_cost(session)
    client.get("/receipts")
    bare = client.queries
    with ledger.writing() as session:
        for _ in range(30):
            a_cost(session)
    client.get("/receipts")
    assert client.queries == bare
