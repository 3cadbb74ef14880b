"""Pages of trips: logging one from a phone, the log, rates that charge anew, the year of the car, taking away."""

import csv
import re
from collections.abc import Mapping
from datetime import date
from io import BytesIO, StringIO
from typing import Any

import pytest
from werkzeug.datastructures import FileStorage, MultiDict

from app.basics.dates import Month
from app.database.unit_of_work import Ledger
from app.shop.actions import keep_closed
from app.shop.rules import MonthFigures
from app.trips.actions import strike_trip
from app.trips.queries import TripRow, car_year_sheet, own_rates, trips_between
from app.trips.rules import CountsAs, TripPurpose
from tests.builders.photos import photo_bytes
from tests.builders.pieces import NOW, a_piece
from tests.builders.sales import a_sold_piece
from tests.builders.trips import a_car_year, a_rate, a_trip, an_actual_trip
from tests.examining_client import ExaminingClient, Page

WHOLE = {
    "purpose": "fetch",
    "purpose_words": "fetch a chest",
    "from_place": "the shop",
    "to_place": "estate sale, upper town",
    "distance": "13",
    "on_date": "2026-11-20",
    "typed": "",
    "sharing": "equally",
    "counts_as": "rate",
    "extra": "",
    "actual": "",
    "note": "snow",
}
RATE = {
    "rate": "0.50",
    "unit": "mi",
    "from_date": "2026-01-01",
    "until_date": "2026-12-31",
    "source": "a year of fuel",
}


@pytest.fixture
def tag(ledger: Ledger, client: ExaminingClient) -> str:  # noqa: ARG001
    with ledger.writing() as session:
        return a_piece(session, title="Oak chest").tag


def trips(ledger: Ledger) -> list[TripRow]:
    with ledger.reading() as session:
        return trips_between(session, date.min, date.max)


def close_october(ledger: Ledger) -> None:
    month = Month(2026, 10)
    with ledger.writing() as session:
        keep_closed(session, month, MonthFigures(0, 0, 0, 0, 0), first=month, now=NOW)


def sent(client: ExaminingClient, path: str, said: Mapping[str, Any]) -> str:
    """What the page says to a form that is refused."""
    answer = client.post_form(path, said)
    assert answer.status_code == 422
    return answer.text


def test_a_trip_for_a_piece_is_logged_and_shown_with_its_share(
    client: ExaminingClient, tag: str, ledger: Ledger
) -> None:
    path = f"/trips/new?piece={tag}"
    page = client.get(path).text
    assert re.search(rf'value="{tag}" checked', page)
    assert "Today's rate is $0.725 a mile." in page
    answer = client.post_form("/trips/new", {**WHOLE, "pieces": tag}, from_page=path)
    assert answer.status_code == 303
    page = client.get(answer.location).text
    for words in ("fetch a chest", "13 mi at $0.725 a mile", "$9.43", "Oak chest", "Trip saved: $9.43.", "25 Nov 2026"):
        assert words in page
    assert "$9.43" in client.get(f"/pieces/{tag}/trips").text
    row = trips(ledger)[0]
    assert (row.purpose, row.counts_as, row.note) == (TripPurpose.FETCH, CountsAs.RATE, "snow")


def test_the_form_begins_today_and_where_the_last_trip_began(client: ExaminingClient, ledger: Ledger) -> None:
    with ledger.writing() as session:
        a_trip(session, from_place="the garage", to_place="auction barn", purpose_words="look at lots")
    page = client.get("/trips/new").text
    assert re.search(r'name="from_place"[^>]*value="the garage"', page)
    assert re.search(r'name="on_date"[^>]*value="2026-11-25"', page)
    assert '<option value="auction barn">' in page
    assert '<option value="look at lots">' in page


def test_pieces_are_chosen_and_typed_and_sold_ones_may_be_among_them(
    client: ExaminingClient, tag: str, ledger: Ledger
) -> None:
    with ledger.writing() as session:
        sold = a_sold_piece(session, title="Pine trunk")[0].tag
    page = Page(client.get("/trips/new").text)
    hidden = next(form["fields"] for form in page.forms if form["method"] == "post")
    said = MultiDict({**hidden, **WHOLE, "purpose": "deliver", "typed": "trunk", "extra": "0.58"})
    said.setlist("pieces", [tag])
    answer = client.post("/trips/new", said)
    assert answer.status_code == 303
    assert [(share.tag, share.cents) for share in trips(ledger)[0].shares] == [(tag, 5_01), (sold, 5_00)]


def test_the_same_form_sent_twice_is_one_trip(client: ExaminingClient, ledger: Ledger) -> None:
    page = Page(client.get("/trips/new").text)
    hidden = next(form["fields"] for form in page.forms if form["method"] == "post")
    for _ in range(2):
        assert client.post("/trips/new", {**hidden, **WHOLE}).status_code == 303
    assert len(trips(ledger)) == 1


@pytest.mark.parametrize(
    ("wrong", "words"),
    [
        ({"purpose": ""}, "Choose what sort of trip"),
        ({"purpose_words": " "}, "the tax log asks for the purpose"),
        ({"from_place": ""}, "Say from where it went"),
        ({"to_place": ""}, "Say where it went to"),
        ({"to_place": "x" * 121}, "121 characters long"),
        ({"distance": ""}, "Type how far it was"),
        ({"distance": "0"}, "a distance of nothing is no trip"),
        ({"distance": "NaN"}, "in plain digits"),
        ({"distance": "12,5"}, "with a point"),
        ({"distance": "10000"}, "One trip is at most 9,999.99 mi"),
        ({"on_date": "2026-11-26"}, "has not come yet"),
        ({"on_date": "2023-12-31"}, "the day your books begin"),
        ({"on_date": "2026-02-30"}, "There is no 30 February"),
        ({"on_date": "2026-10-20"}, "October 2026 is closed"),
        ({"typed": "walnut"}, "No piece answers to walnut"),
        ({"actual": "5"}, "never both"),
        ({"extra": "-1"}, "never below zero"),
        ({"note": "x" * 201}, "201 characters long"),
    ],
)
def test_bad_words_are_told_at_their_field_and_the_rest_is_kept(
    client: ExaminingClient, ledger: Ledger, wrong: dict[str, str], words: str
) -> None:
    close_october(ledger)
    page = sent(client, "/trips/new", {**WHOLE, **wrong})
    field = next(iter(wrong))
    assert re.search(rf'id="{field}-error">.*?{re.escape(words)}', page)
    for name, said in {**WHOLE, **wrong}.items():
        if name not in {"purpose", "sharing", "counts_as"} and said:
            assert re.search(rf'name="{name}"[^>]*value="{re.escape(said)}"', page), name
    assert trips(ledger) == []


@pytest.mark.parametrize(
    ("said", "field", "words"),
    [
        ({"actual": ""}, "actual", "Type what the trip really cost"),
        ({"actual": "45", "extra": "2"}, "extra", "part of what it really cost"),
    ],
)
def test_a_trip_at_actual_cost_takes_its_cost_alone(
    client: ExaminingClient, ledger: Ledger, said: dict[str, str], field: str, words: str
) -> None:
    page = sent(client, "/trips/new", {**WHOLE, "counts_as": "actual", **said})
    assert re.search(rf'id="{field}-error">.*?{re.escape(words)}', page)
    assert trips(ledger) == []


def test_a_chosen_piece_that_is_none_is_refused_and_what_was_typed_is_kept(client: ExaminingClient) -> None:
    page = sent(client, "/trips/new", {**WHOLE, "pieces": "ZZZZ"})
    assert re.search(r'id="pieces-error">.*?Choose the pieces from those shown', page) or "Choose the pieces" in page
    assert 'value="snow"' in page


def test_a_receipt_is_kept_and_can_be_opened(client: ExaminingClient) -> None:
    receipt = FileStorage(BytesIO(photo_bytes()), filename="receipt.jpg")
    answer = client.post_form("/trips/new", {**WHOLE, "counts_as": "actual", "actual": "45", "receipt": receipt})
    link = re.search(r'href="(/photos/\d+/large)"', client.get(answer.location).text)
    assert link is not None
    assert client.get(link[1]).content_type == "image/webp"


def test_a_receipt_that_is_no_photo_is_refused_at_its_field(client: ExaminingClient, ledger: Ledger) -> None:
    receipt = FileStorage(BytesIO(b"%PDF-1.7"), filename="receipt.pdf")
    page = sent(client, "/trips/new", {**WHOLE, "receipt": receipt})
    assert re.search(r'id="receipt-error">.*?not a readable photo', page)
    assert trips(ledger) == []


def test_the_log_shows_a_month_or_a_year_with_totals(client: ExaminingClient, ledger: Ledger) -> None:
    with ledger.writing() as session:
        a_trip(session, extra_cents=2_00)
        an_actual_trip(session, on_date=date(2026, 10, 3), purpose_words="hired van")
        a_trip(session, on_date=date(2025, 5, 5), purpose_words="long ago")
    month = client.get("/trips").text
    for words in ("Trips, November 2026", "fetch a chest", "20 mi", "32.19 km", "$14.50", "$2.00", "$16.50"):
        assert words in month
    assert "hired van" not in month
    assert 'href="/trips?month=2026-10"' in month
    year = client.get("/trips?year=2026").text
    for words in ("Trips, 2026", "fetch a chest", "hired van", "40 mi", "$45.00", "$61.50", 'href="/trips?year=2025"'):
        assert words in year
    assert "long ago" not in year
    assert "long ago" in client.get("/trips?year=2025").text


@pytest.mark.parametrize("asked", ["?month=2026-13", "?year=x", "?year=99999", "?year=0001", "?year=٢٠٢٦"])
def test_a_period_that_is_none_shows_the_present_month(client: ExaminingClient, asked: str) -> None:
    page = client.get(f"/trips{asked}").text
    assert "Trips, November 2026" in page
    assert "No trips in November 2026." in page


def test_striking_out_asks_for_a_reason_and_keeps_the_trip_in_sight(
    client: ExaminingClient, tag: str, ledger: Ledger
) -> None:
    with ledger.writing() as session:
        trip_id = a_trip(session, 1).id
    path = f"/trips/{trip_id}/strike"
    assert "Say why it is struck out" in sent(client, path, {"reason": "  "})
    answer = client.post_form(path, {"reason": "entered twice"})
    assert answer.location == f"/trips/{trip_id}"
    assert "entered twice" in client.get(answer.location).text
    for page in (client.get("/trips").text, client.get(f"/pieces/{tag}/trips").text):
        assert re.search(r'<tr[^>]*class="is-struck".*?Struck out: entered twice', page, re.DOTALL)
        assert "$0.00" in page
    assert "<form" not in client.get(path).text.partition("<main")[2]


def test_a_struck_trip_cannot_be_struck_again_from_an_old_page(client: ExaminingClient, ledger: Ledger) -> None:
    with ledger.writing() as session:
        trip_id = a_trip(session).id
    path = f"/trips/{trip_id}/strike"
    token = re.search(r'name="csrf_token" value="([^"]+)"', client.get(path).text)
    assert token is not None
    with ledger.writing() as session:
        strike_trip(session, trip_id, reason="entered twice", now=NOW)
    answer = client.post(path, {"csrf_token": token[1], "reason": "again"})
    assert answer.status_code == 422
    assert "struck out already: entered twice" in answer.text


def test_a_trip_in_a_closed_month_leads_to_its_correction(client: ExaminingClient, ledger: Ledger) -> None:
    with ledger.writing() as session:
        trip_id = a_trip(session, on_date=date(2026, 10, 20)).id
    path = f"/trips/{trip_id}/strike"
    token = re.search(r'name="csrf_token" value="([^"]+)"', client.get(path).text)
    assert token is not None
    close_october(ledger)
    for page in (f"/trips/{trip_id}", path):
        text = client.get(page).text
        assert f'href="/corrections/trip/{trip_id}"' in text
        assert "<form" not in text.partition("<main")[2]
    answer = client.post(path, {"csrf_token": token[1], "reason": "by an old page"})
    assert answer.status_code == 422
    assert "October 2026 is closed" in answer.text
    assert not trips(ledger)[0].is_struck


def test_a_rate_says_what_it_changes_before_it_is_saved(client: ExaminingClient, ledger: Ledger) -> None:
    with ledger.writing() as session:
        a_trip(session, on_date=date(2026, 10, 20))
        a_trip(session)
    close_october(ledger)
    page = client.get("/trips/rates/check", query_string=RATE).text
    for words in (
        "1 trip is charged anew:",
        "together $10.00 instead of $14.50",
        "1 trip of these days stands in a closed month",
        "100 mi come to",
        "$50.00",
    ):
        assert words in page
    assert [row.charged_cents for row in trips(ledger)] == [14_50, 14_50]
    form = next(one for one in Page(page).forms if one["action"] == "/trips/rates/new")
    answer = client.post("/trips/rates/new", form["fields"])
    assert answer.location == "/trips/rates"
    page = client.get(answer.location).text
    for words in ("1 trip was charged anew.", "$0.50 a mile", "a year of fuel", "$0.725 a mile", "Notice 2026-10"):
        assert words in page
    assert [row.charged_cents for row in trips(ledger)] == [10_00, 14_50]


@pytest.mark.parametrize(
    ("wrong", "words"),
    [
        ({"rate": "0"}, "Type the rate."),
        ({"rate": "NaN"}, "like 0.725."),
        ({"rate": "1001"}, "at most 1,000"),
        ({"unit": "furlong"}, "Not a valid choice"),
        ({"from_date": "2026-02-30"}, "There is no 30 February"),
        ({"until_date": "2025-12-31"}, "It ends before it begins"),
        ({"source": " "}, "Say where the rate is from"),
        ({"from_date": "2026-06-01"}, "already. Choose other days"),
    ],
)
def test_a_rate_that_cannot_be_is_told_at_its_field_before_anything_is_saved(
    client: ExaminingClient, ledger: Ledger, wrong: dict[str, str], words: str
) -> None:
    with ledger.writing() as session:
        a_rate(session, date(2026, 5, 1), date(2026, 12, 31))
    whole = {**RATE, "until_date": "2026-04-30"}
    if "already" in words:
        whole["until_date"] = "2026-12-31"
    page = client.get("/trips/rates/check", query_string={**whole, **wrong}, status=422).text
    assert re.search(rf'id="{next(iter(wrong))}-error">.*?{re.escape(words)}', page)
    token = re.search(r'name="csrf_token" value="([^"]+)"', client.get("/costs/new").text)
    assert token is not None
    answer = client.post("/trips/rates/new", {**whole, **wrong, "csrf_token": token[1]})
    assert answer.status_code == 422
    with ledger.reading() as session:
        assert len(own_rates(session)) == 1


def test_a_new_rate_is_asked_for_the_first_year_that_has_none(client: ExaminingClient) -> None:
    page = client.get("/trips/rates/new").text
    assert re.search(r'name="from_date"[^>]*value="2027-01-01"', page)
    assert re.search(r'name="until_date"[^>]*value="2027-12-31"', page)
    assert client.get("/trips/rates/check").text.count("Check the rate") >= 1


def test_striking_a_rate_says_what_it_changes_and_keeps_it_in_sight(client: ExaminingClient, ledger: Ledger) -> None:
    with ledger.writing() as session:
        rate_id = a_rate(session).id
        a_trip(session)
    path = f"/trips/rates/{rate_id}/strike"
    assert "together $14.50 instead of $10.00" in client.get(path).text
    assert "Say why it is struck out" in sent(client, path, {"reason": ""})
    answer = client.post_form(path, {"reason": "wrong year"})
    assert "Struck out: wrong year" in client.get(answer.location).text
    assert trips(ledger)[0].charged_cents == 14_50
    assert "<form" not in client.get(path).text.partition("<main")[2]


def test_the_cars_year_is_said_and_worked_out(client: ExaminingClient, ledger: Ledger) -> None:
    with ledger.writing() as session:
        a_trip(session)
        an_actual_trip(session)
    said = {"unit": "mi", "total": "9,000", "commuting": "1000", "in_service_on": "2021-05-03"}
    path = "/trips/car/2026"
    assert "not said yet" in client.get(path).text
    assert client.post_form(path, said).location == path
    page = client.get(path).text
    for words in ("9,000 mi", "1,000 mi", "20 mi", "7,980 mi", "hired or borrowed car"):
        assert words in page
    refused = sent(client, path, {**said, "total": "1010"})
    assert re.search(r'id="total-error">.*?more than the car ran', refused)
    assert 'value="1010"' in refused
    with ledger.reading() as session:
        assert car_year_sheet(session, 2026).version == 1


def test_two_devices_saying_the_cars_year_do_not_overwrite_each_other(client: ExaminingClient, ledger: Ledger) -> None:
    path = "/trips/car/2026"
    page = Page(client.get(path).text)
    hidden = next(form["fields"] for form in page.forms if form["method"] == "post")
    with ledger.writing() as session:
        a_car_year(session)
    answer = client.post(path, {**hidden, "unit": "mi", "total": "7000"})
    assert answer.status_code == 409
    assert "was changed after you opened this page" in answer.text
    assert "9,000 mi" in answer.text
    assert 'value="7000"' in answer.text


def test_a_year_to_come_or_beyond_the_books_has_no_form(client: ExaminingClient) -> None:
    assert "has not begun yet" in client.get("/trips/car/2027").text
    for year in (1899, 2201, 10**12):
        client.get(f"/trips/car/{year}", status=404)


def test_the_log_is_taken_away_with_what_a_tax_log_asks_for(client: ExaminingClient, tag: str, ledger: Ledger) -> None:
    with ledger.writing() as session:
        a_trip(session, 1, purpose_words="=1+1", extra_cents=50)
        wrong = an_actual_trip(session, on_date=date(2025, 3, 1))
        strike_trip(session, wrong.id, reason="entered twice", now=NOW)
    header, *rows = csv.reader(StringIO(client.get("/trips.csv").text))
    first, struck = (dict(zip(header, row, strict=True)) for row in rows)
    told = {name: first[name] for name in ("Date", "Entered on", "From", "To", "Purpose", "Distance", "Unit", "Rate")}
    assert told == {
        "Date": "2026-11-20",
        "Entered on": "2026-11-25",
        "From": "the shop",
        "To": "estate sale, upper town",
        "Purpose": "'=1+1",
        "Distance": "20",
        "Unit": "mi",
        "Rate": "0.725",
    }
    assert (first["Amount at the rate"], first["Tolls and parking"], first["Cost in all"]) == ("14.50", "0.50", "15.00")
    assert first["Pieces"] == f"{tag} Oak chest"
    assert (struck["Actual cost"], struck["Rate"], struck["Struck out because"]) == ("45.00", "", "entered twice")
    assert len(client.get("/trips.csv?year=2026").text.splitlines()) == 2
    assert len(client.get("/trips.csv?month=2025-03").text.splitlines()) == 2
    of_piece = client.get(f"/pieces/{tag}/trips.csv").text.splitlines()
    assert (len(of_piece), of_piece[0].endswith(f"Share of {tag}"), of_piece[1].endswith(",15.00")) == (2, True, True)


def test_the_rates_are_taken_away(client: ExaminingClient, ledger: Ledger) -> None:
    with ledger.writing() as session:
        a_rate(session)
    rows = list(csv.reader(StringIO(client.get("/trips/rates.csv").text)))
    assert len(rows) == 12
    assert rows[1][:5] == ["2026-01-01", "2026-12-31", "0.5", "mi", "own"]
    assert rows[2] == ["2026-01-01", "2026-12-31", "0.725", "mi", "published", "Notice 2026-10", ""]


def test_the_piece_leads_to_its_trips_and_the_find_to_logging_one(client: ExaminingClient, tag: str) -> None:
    assert f'href="/pieces/{tag}/trips"' in client.get(f"/pieces/{tag}").text
    assert f'href="/trips/new?piece={tag}"' in client.get(f"/pieces/{tag}?new").text


def test_what_is_not_there_is_not_found(client: ExaminingClient) -> None:
    for path in (
        "/pieces/ZZZ/trips",
        "/pieces/ZZZ/trips.csv",
        "/trips/99",
        "/trips/99/strike",
        "/trips/rates/99/strike",
    ):
        client.get(path, status=404)


def test_more_trips_take_no_more_queries(client: ExaminingClient, tag: str, ledger: Ledger) -> None:
    with ledger.writing() as session:
        a_car_year(session)
        a_trip(session, 1)
    pages = (f"/pieces/{tag}/trips", "/trips", "/trips?year=2026", "/trips/new", "/trips/rates", "/trips/car/2026")
    before = {}
    for path in pages:
        client.get(path)
        before[path] = client.queries
    with ledger.writing() as session:
        for number in range(12):
            a_trip(session, 1, a_piece(session).id, to_place=f"place {number}")
    for path in pages:
        client.get(path)
        assert client.queries == before[path], path
