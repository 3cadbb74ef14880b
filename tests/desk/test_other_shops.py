"""The same job in a shop that reckons in other money, and in one whose day is not the server's."""

from dataclasses import replace
from datetime import UTC, date, datetime
from typing import NamedTuple
from urllib.parse import urlencode

import pytest
from flask import Flask
from freezegun import freeze_time

from app.basics.dates import Month
from app.database.unit_of_work import Ledger
from app.pieces.queries import PieceRow, piece_rows
from app.reports.queries import month_of, profit_of_piece, prove_ledger
from app.shop.actions import set_up_shop
from tests.conftest import NOW, SHOP
from tests.examining_client import ExaminingClient, Page


def a_shop(ledger: Ledger, **facts: str) -> None:
    with ledger.writing() as session:
        set_up_shop(session, replace(SHOP, **facts), now=NOW)  # type: ignore[arg-type]


def the_piece(ledger: Ledger) -> PieceRow:
    with ledger.reading() as session:
        [piece] = piece_rows(session)
    return piece


def sell(client: ExaminingClient, tag: str, **answers: str) -> int:
    """Answer the sell page and agree to what it shows once more; the status of the first that is refused."""
    told = urlencode({"channel": "", "told": "yes", **answers})
    asked = client.raw.get(f"/pieces/{tag}/sell/check?{told}")
    confirm = f"/pieces/{tag}/sell/confirm"
    forms = [form for form in Page(asked.text).forms if form["action"] == confirm]
    return client.post(confirm, forms[0]["fields"]).status_code if forms else asked.status_code


class Money(NamedTuple):
    """What is typed in a currency, in its own places, and what it comes to."""

    currency: str
    paid: str
    cost: str
    price: str
    fees: str
    too_fine: str
    minor: tuple[int, int]
    profit: str
    profit_in_files: str


YEN = Money("JPY", "12,500", "800", "30000", "1500", "12.5", (12_500, 800), "\u00a515,200", "15200")
DINAR = Money("KWD", "12.345", "0.8", "30", "1.5", "12.3456", (12_345, 800), "KWD15.355", "15.355")


@pytest.mark.parametrize("money", [YEN, DINAR], ids=lambda money: money.currency)
def test_a_shop_without_cents_and_one_with_three_places_reckon_in_their_own(
    bare_client: ExaminingClient, ledger: Ledger, money: Money
) -> None:
    a_shop(ledger, currency=money.currency)
    client = bare_client
    find = {"form": "chest", "bought_on": "2026-11-02"}
    refused = client.post_form("/find", {**find, "paid": money.too_fine})
    assert (refused.status_code, money.too_fine in refused.text) == (422, True)
    client.post_form("/find", {**find, "paid": money.paid})
    tag = the_piece(ledger).tag
    client.post_form(f"/pieces/{tag}/costs/new", {"amount": money.cost, "kind": "materials", "on_date": "2026-11-03"})
    assert sell(client, tag, sold_on="2026-11-20", price=money.price, fees=money.fees) == 303
    with ledger.reading() as session:
        terms = {term.key: term.cents for term in profit_of_piece(session, the_piece(ledger).id).terms}
        assert [finding for finding in prove_ledger(session, date(2026, 11, 25)) if not finding.holds] == []
    assert (-terms["price"], -terms["cost:materials"]) == money.minor
    for path in (f"/pieces/{tag}", f"/pieces/{tag}/profit", "/books/months/2026-11"):
        assert money.profit in client.get(path).text
    assert f",{money.profit_in_files}," in client.get("/books/months.csv").text


class Place(NamedTuple):
    """A zone and a moment, and what day and month it is there."""

    zone: str
    moment: datetime
    here: str
    tomorrow: str
    month: Month


# Half past one in the afternoon of the 30th in London is the small hours of the 1st in Auckland; five in the
# morning of the 1st in London is the evening of the 30th in Los Angeles.
EAST = Place(
    "Pacific/Auckland", datetime(2026, 11, 30, 13, 30, tzinfo=UTC), "2026-12-01", "2026-12-02", Month(2026, 12)
)
WEST = Place(
    "America/Los_Angeles", datetime(2026, 12, 1, 5, 0, tzinfo=UTC), "2026-11-30", "2026-12-01", Month(2026, 11)
)


@pytest.mark.parametrize("place", [EAST, WEST], ids=lambda place: place.zone)
def test_a_day_begins_and_ends_where_the_shop_is(app: Flask, ledger: Ledger, place: Place) -> None:
    a_shop(ledger, time_zone=place.zone)
    with freeze_time(place.moment):
        client = ExaminingClient(app)
        assert f'value="{place.here}"' in client.get("/find").text
        early = client.post_form("/find", {"form": "chest", "paid": "40", "bought_on": place.tomorrow})
        assert (early.status_code, "has not come yet" in early.text) == (422, True)
        client.post_form("/find", {"form": "chest", "paid": "40", "bought_on": place.here})
        tag = the_piece(ledger).tag
        assert sell(client, tag, sold_on=place.tomorrow, price="100") == 422
        assert sell(client, tag, sold_on=place.here, price="100") == 303
        assert place.month.name.split()[0] in client.get("/books").text
    with ledger.reading() as session:
        assert month_of(session, place.month).profit == 60_00
