"""The floor's pages as a browser meets them."""

import re
from collections.abc import Callable
from datetime import date, datetime, timedelta

import pytest
from sqlalchemy import select

from app.database.unit_of_work import Ledger
from app.floor.actions import change_price, end_listing
from app.floor.models import AskingPrice, Hold, Listing
from app.floor.queries import channels, open_listing
from app.floor.rules import Ending
from app.pieces.models import Piece
from app.pieces.rules import Age, Form, Stage
from app.recipes.actions import look_over
from app.recipes.rules import OldFinish, Surface
from tests.builders.floor import a_channel, a_hold, a_listed_piece
from tests.builders.pieces import a_piece
from tests.builders.sales import a_sold_piece
from tests.examining_client import ExaminingClient

TODAY = date(2026, 11, 25)


@pytest.fixture
def finished(ledger: Ledger) -> Piece:
    """A finished piece, and two channels to offer it on."""
    with ledger.writing() as session:
        a_channel(session, "Local classifieds")
        a_channel(session, "Online marketplace", percent_hundredths=13_00, fixed_cents=30)
        return a_piece(session, stage=Stage.FINISHED, age=Age.AFTER_1978)


@pytest.fixture
def listed(ledger: Ledger) -> Piece:
    """A piece on the floor at 240."""
    with ledger.writing() as session:
        return a_listed_piece(session, channel_ids=[a_channel(session, percent_hundredths=10_00).id])


def sheet_of(piece: Piece) -> str:
    return f"/pieces/{piece.tag}"


def test_an_empty_floor_says_so_and_leads_to_what_is_finished(client: ExaminingClient) -> None:
    page = client.get("/floor").text
    assert "Nothing is for sale." in page
    assert "/pieces?stage=finished" in page
    assert "floor.csv" not in page


def test_the_floor_shows_every_tag_with_its_price_days_moves_and_hold(
    client: ExaminingClient, ledger: Ledger, now: datetime
) -> None:
    with ledger.writing() as session:
        piece = a_listed_piece(session, listed_on=date(2026, 9, 24), bought_on=date(2026, 9, 1), title="Ash table")
        change_price(session, piece.id, asking_cents=180_00, on_date=TODAY, note="", now=now)
        a_hold(session, piece, held_for="Ann", until=date(2026, 11, 28))

    page = client.get("/floor").text

    assert "1 piece for sale, $180.00 asked in all" in page
    assert "62 days, too long" in page
    assert "First $240.00, 1 change since" in page
    assert "Held for Ann until 28 Nov" in page
    assert f"/pieces/{piece.tag}/sell" in page
    assert "1 has been here 60 days or more" in page


def test_the_threshold_itself_is_too_long_and_a_day_less_is_not(client: ExaminingClient, ledger: Ledger) -> None:
    with ledger.writing() as session:
        for days in (60, 59, 0):
            a_listed_piece(session, listed_on=TODAY - timedelta(days=days), bought_on=date(2026, 9, 1))
    page = client.get("/floor").text
    assert "60 days, too long" in page
    assert "59 days" in page
    assert "Listed today" in page
    assert page.count("too long") == 1


def test_a_piece_on_hold_offers_to_lift_it(client: ExaminingClient, ledger: Ledger, listed: Piece) -> None:
    deed = f'href="/pieces/{listed.tag}/hold">'
    assert f"{deed}Hold<" in client.get("/floor").text
    with ledger.writing() as session:
        a_hold(session, listed)
    assert f"{deed}Lift hold<" in client.get("/floor").text
    assert "Lift this hold" in client.get(f"/pieces/{listed.tag}/hold").text


def test_a_hold_past_its_day_is_shown_as_run_out(client: ExaminingClient, ledger: Ledger, now: datetime) -> None:
    with ledger.writing() as session:
        piece = a_listed_piece(session)
        a_hold(session, piece, held_for="Ann", until=date(2026, 11, 19), now=now - timedelta(days=10))
    page = client.get("/floor").text
    assert "Hold ran out: Ann, until 19 Nov" in page


@pytest.mark.parametrize(
    ("order", "titles"),
    [
        ("longest", ["Ash bench", "Birch bench", "Cedar bench"]),
        ("newest", ["Cedar bench", "Birch bench", "Ash bench"]),
        ("dearest", ["Birch bench", "Cedar bench", "Ash bench"]),
        ("cheapest", ["Ash bench", "Cedar bench", "Birch bench"]),
        ("nonsense", ["Ash bench", "Birch bench", "Cedar bench"]),
    ],
)
def test_the_floor_is_put_in_the_order_asked_for(
    client: ExaminingClient, ledger: Ledger, order: str, titles: list[str]
) -> None:
    with ledger.writing() as session:
        a_listed_piece(session, title="Cedar bench", asking_cents=200_00, listed_on=date(2026, 11, 20))
        a_listed_piece(session, title="Ash bench", asking_cents=100_00, listed_on=date(2026, 11, 1))
        a_listed_piece(session, title="Birch bench", asking_cents=300_00, listed_on=date(2026, 11, 10))
    page = client.get(f"/floor?order={order}").text
    assert sorted(titles, key=page.index) == titles


def test_the_floor_is_taken_away_as_csv(client: ExaminingClient, ledger: Ledger) -> None:
    with ledger.writing() as session:
        piece = a_listed_piece(session, title="=Oak chest", channel_ids=[a_channel(session).id])
        a_hold(session, piece, held_for="Ann")
    lines = client.get("/floor.csv").text.splitlines()
    assert lines[0].startswith("Tag,Piece,Asking,First asked,Price changes,Listed on,Days")
    assert lines[1] == (f"{piece.tag},'=Oak chest,240.00,240.00,0,2026-11-01,24,no,Local classifieds,Ann,2026-11-28")


def test_a_longer_floor_asks_no_more_queries(client: ExaminingClient, ledger: Ledger) -> None:
    with ledger.writing() as session:
        a_listed_piece(session)
    client.get("/floor")
    few = client.queries
    with ledger.writing() as session:
        for _ in range(8):
            a_hold(session, a_listed_piece(session))
    client.get("/floor")
    assert client.queries == few


def test_a_piece_is_listed_from_its_form(client: ExaminingClient, ledger: Ledger, finished: Piece) -> None:
    with ledger.reading() as session:
        ids = [str(row.id) for row in channels(session)]
    answer = client.post_form(
        f"/pieces/{finished.tag}/list", {"asking": "1,240.50", "channels": ids, "on_date": "2026-11-20"}
    )
    assert (answer.status_code, answer.location) == (303, sheet_of(finished))
    with ledger.reading() as session:
        listing = open_listing(session, finished.id)
        assert listing is not None
        assert (listing.asking_cents, listing.listed_on, len(listing.channels)) == (1_240_50, date(2026, 11, 20), 2)


@pytest.mark.parametrize(
    ("fields", "words"),
    [
        ({"asking": "", "channels": ["1"], "on_date": "2026-11-20"}, "Type the price you ask."),
        ({"asking": "0", "channels": ["1"], "on_date": "2026-11-20"}, "Type the price you ask."),
        ({"asking": "a lot", "channels": ["1"], "on_date": "2026-11-20"}, "Type the amount in plain digits"),
        ({"asking": "240", "channels": [], "on_date": "2026-11-20"}, "Choose at least one channel."),
        ({"asking": "240", "channels": ["99"], "on_date": "2026-11-20"}, "Choose from the channels in use."),
        ({"asking": "240", "channels": ["x"], "on_date": "2026-11-20"}, "Choose from the channels in use."),
        ({"asking": "240", "channels": ["1"], "on_date": ""}, "Say from which day on."),
        ({"asking": "240", "channels": ["1"], "on_date": "2026-09-01"}, "cannot be dated before that"),
        ({"asking": "240", "channels": ["1"], "on_date": "2026-11-26"}, "has not come yet"),
    ],
)
def test_a_listing_that_cannot_be_keeps_what_was_typed(
    client: ExaminingClient, ledger: Ledger, finished: Piece, fields: dict[str, object], words: str
) -> None:
    answer = client.post_form(f"/pieces/{finished.tag}/list", fields)
    assert answer.status_code == 422
    assert words in answer.text
    assert "There is a problem" in answer.text
    if fields["asking"]:
        assert f'value="{fields["asking"]}"' in answer.text
    with ledger.reading() as session:
        assert open_listing(session, finished.id) is None


@pytest.mark.parametrize(("room", "words"), [("list", "Put on the floor"), ("price", "Change the price")])
def test_enter_presses_the_button_that_saves(client: ExaminingClient, ledger: Ledger, room: str, words: str) -> None:
    with ledger.writing() as session:
        piece = a_piece(session, stage=Stage.FINISHED) if room == "list" else a_listed_piece(session)
    page = client.get(f"/pieces/{piece.tag}/{room}").text
    form = page[page.index(f'action="/pieces/{piece.tag}/{room}"') :]
    buttons = re.findall(r"<button[^>]*>([^<]*)<", form[: form.index("</form>")])
    assert buttons == [words, "Work it out"]


def test_what_remains_is_shown_for_a_typed_price_and_saves_nothing(
    client: ExaminingClient, ledger: Ledger, finished: Piece
) -> None:
    path = f"/pieces/{finished.tag}/list"
    answer = client.post_form(path, {"asking": "240", "wanted": "200", "channels": ["2"], "look": "yes"})
    assert answer.status_code == 303
    assert answer.location.endswith("#what-remains")
    assert "token" not in answer.location
    page = client.get(answer.location)
    assert 'value="2" checked' in page.text
    assert "There is a problem" not in page.text
    assert "13% and $0.30" in page.text
    assert "$31.50" in page.text
    assert "$208.50" in page.text
    assert "$230.23" in page.text
    assert 'value="240"' in page.text
    with ledger.reading() as session:
        assert open_listing(session, finished.id) is None


def test_looking_at_an_amount_that_cannot_be_read_says_what_to_type(client: ExaminingClient, finished: Piece) -> None:
    answer = client.post_form(f"/pieces/{finished.tag}/list", {"asking": "", "wanted": "lots", "look": "yes"})
    page = client.get(answer.location)
    assert "Type the amount in plain digits" in page.text
    assert "Type the price you ask." not in page.text


@pytest.mark.parametrize(
    ("said", "words"),
    [
        ({"form": Form.WARDROBE, "age": Age.AFTER_1978}, "It can tip over"),
        ({"form": Form.BED, "age": Age.AFTER_1978}, "Check the recall list before you buy or list it"),
        ({"form": Form.TABLE, "materials": "painted pine"}, "Old paint may hold lead"),
    ],
)
def test_the_listing_page_carries_the_caution_that_matters(
    client: ExaminingClient, ledger: Ledger, said: dict[str, object], words: str
) -> None:
    with ledger.writing() as session:
        piece = a_piece(session, **said)  # type: ignore[arg-type]
    page = client.get(f"/pieces/{piece.tag}/list").text
    assert words in page
    assert "Local codes and licensed practice decide." in page


def test_a_plain_table_carries_no_caution(client: ExaminingClient, ledger: Ledger) -> None:
    with ledger.writing() as session:
        piece = a_piece(session, form=Form.TABLE, materials="oak", age=Age.AFTER_1978)
    assert "Local codes and licensed practice decide." not in client.get(f"/pieces/{piece.tag}/list").text


@pytest.mark.parametrize(
    ("said", "title"),
    [
        ({"title": "Old cot with a drop side"}, "No drop-side cribs, none from before 28 June 2011"),
        ({"title": "High chair", "notes": "recalled in spring"}, "Recalled: do not sell it"),
    ],
)
def test_what_must_not_be_sold_stands_open_above_the_form(
    client: ExaminingClient, ledger: Ledger, said: dict[str, object], title: str
) -> None:
    with ledger.writing() as session:
        piece = a_piece(session, **said)  # type: ignore[arg-type]
    page = client.get(f"/pieces/{piece.tag}/list").text
    assert page.count(title) == 1
    before, _, _after = page.partition(title)
    assert 'class="caution stack-small"' in before
    assert "<details" not in before.partition("<main")[2]
    assert "Old paint may hold lead" in page


def test_an_old_piece_without_known_paint_carries_lead_until_it_is_known_free_of_it(
    client: ExaminingClient, ledger: Ledger, now: datetime
) -> None:
    with ledger.writing() as session:
        piece = a_piece(session, form=Form.TABLE, materials="oak", age=Age.BEFORE_1978)
    path = f"/pieces/{piece.tag}/list"
    assert "Old paint may hold lead" in client.get(path).text
    with ledger.writing() as session:
        look_over(session, piece.id, Surface(OldFinish.OIL), version=None, now=now)
    assert "Old paint may hold lead" not in client.get(path).text


def test_a_finish_named_after_ivory_is_paint_and_no_ivory(client: ExaminingClient, ledger: Ledger) -> None:
    with ledger.writing() as session:
        piece = a_piece(session, form=Form.TABLE, materials="oak", finish_words="ivory enamel, two coats")
    page = client.get(f"/pieces/{piece.tag}/list").text
    assert "Old paint may hold lead" in page
    assert "tortoiseshell" not in page


def test_the_listing_page_of_a_listed_or_sold_piece_refuses_plainly(
    client: ExaminingClient, ledger: Ledger, listed: Piece
) -> None:
    assert "It is listed already." in client.get(f"/pieces/{listed.tag}/list", status=409).text
    with ledger.writing() as session:
        sold, _sale = a_sold_piece(session)
    assert "It is sold." in client.get(f"/pieces/{sold.tag}/list", status=409).text
    client.get("/pieces/NOPE/list", status=404)


def test_a_listing_sent_twice_is_made_once(client: ExaminingClient, ledger: Ledger, finished: Piece) -> None:
    path = f"/pieces/{finished.tag}/list"
    fields = form_fields(client, path) | {"asking": "240", "channels": ["1"], "on_date": "2026-11-20"}
    first, second = client.post(path, fields), client.post(path, fields)
    assert (first.status_code, second.status_code) == (303, 303)
    with ledger.reading() as session:
        assert len(session.scalars(select(Listing)).all()) == 1


def form_fields(client: ExaminingClient, path: str) -> dict[str, str]:
    """The hidden fields of the form on a page that posts to that page."""
    from tests.examining_client import Page

    page = Page(client.get(path).text)
    found: dict[str, str] = next(form["fields"] for form in page.forms if form["action"] == path)
    return found


def test_listing_from_a_page_opened_before_the_piece_changed_shows_the_clash(
    client: ExaminingClient, ledger: Ledger, finished: Piece
) -> None:
    from app.pieces.actions import note_next

    path = f"/pieces/{finished.tag}/list"
    fields = form_fields(client, path) | {"asking": "240", "channels": ["1"], "on_date": "2026-11-20"}
    with ledger.writing() as other:
        note_next(other, finished.id, "wax it", version=None, now=datetime.fromisoformat("2026-11-25T15:30:00Z"))
    answer = client.post(path, fields)
    assert answer.status_code == 409
    assert "was changed after you opened this page" in answer.text


def test_a_price_is_changed_and_its_history_shown(client: ExaminingClient, ledger: Ledger, listed: Piece) -> None:
    path = f"/pieces/{listed.tag}/price"
    assert "$216.00" in client.get(path).text
    answer = client.post_form(path, {"asking": "199", "on_date": "2026-11-25", "note": "no calls"})
    assert (answer.status_code, answer.location) == (303, sheet_of(listed))
    page = client.get(path).text
    assert "Asked now: $199.00" in page
    assert page.index("25 Nov 2026") < page.index("1 Nov 2026")
    assert "no calls" in page
    with ledger.reading() as session:
        assert [price.cents for price in session.scalars(select(AskingPrice))] == [240_00, 199_00]


def test_the_same_price_is_refused_at_its_box(client: ExaminingClient, listed: Piece) -> None:
    answer = client.post_form(f"/pieces/{listed.tag}/price", {"asking": "240", "on_date": "2026-11-25"})
    assert answer.status_code == 422
    assert '<a href="#asking">That is the price asked now.</a>' in answer.text


def test_a_price_can_be_looked_at_without_changing_it(client: ExaminingClient, ledger: Ledger, listed: Piece) -> None:
    answer = client.post_form(f"/pieces/{listed.tag}/price", {"asking": "100", "look": "yes"})
    page = client.get(answer.location).text
    assert "$90.00" in page
    with ledger.reading() as session:
        assert len(session.scalars(select(AskingPrice)).all()) == 1


@pytest.mark.parametrize("page", ["price", "hold"])
def test_price_and_hold_of_a_piece_off_the_floor_refuse_plainly(
    client: ExaminingClient, finished: Piece, page: str
) -> None:
    assert "is not on the floor" in client.get(f"/pieces/{finished.tag}/{page}", status=409).text


def test_a_piece_is_held_and_the_hold_lifted(client: ExaminingClient, ledger: Ledger, listed: Piece) -> None:
    path = f"/pieces/{listed.tag}/hold"
    answer = client.post_form(path, {"held_for": "Ann", "until": "28 Nov 2026", "note": "pays Friday"})
    assert (answer.status_code, answer.location) == (303, sheet_of(listed))

    page = client.get(path).text
    assert "Held for Ann until 28 Nov" in page
    assert 'name="held_for"' not in page

    lifted = client.post_form(f"{path}/lift", {}, from_page=path)
    assert lifted.status_code == 303
    again = client.post(f"{path}/lift", {"csrf_token": form_fields(client, path)["csrf_token"]})
    assert again.status_code == 303
    with ledger.reading() as session:
        assert session.scalars(select(Hold)).one().lifted_at is not None


@pytest.mark.parametrize(
    ("fields", "words"),
    [
        ({"held_for": "", "until": "2026-11-28"}, "Say who it is held for."),
        ({"held_for": "  ", "until": "2026-11-28"}, "Say who it is held for."),
        ({"held_for": "Ann", "until": ""}, "Say until which day it is held."),
        ({"held_for": "Ann", "until": "2026-11-24"}, "24 November 2026 is over."),
        ({"held_for": "Ann", "until": "next week"}, "Type the day like"),
        ({"held_for": "A" * 81, "until": "2026-11-28"}, "Keep it to 80 at most"),
    ],
)
def test_a_hold_that_cannot_be_is_refused(
    client: ExaminingClient, listed: Piece, fields: dict[str, str], words: str
) -> None:
    answer = client.post_form(f"/pieces/{listed.tag}/hold", fields)
    assert answer.status_code == 422
    assert words in answer.text


def test_a_hold_that_ran_out_leaves_room_for_the_next(
    client: ExaminingClient, ledger: Ledger, listed: Piece, now: datetime
) -> None:
    with ledger.writing() as session:
        a_hold(session, listed, held_for="Ann", until=date(2026, 11, 19), now=now - timedelta(days=10))
    answer = client.post_form(f"/pieces/{listed.tag}/hold", {"held_for": "Bea", "until": "2026-11-30"})
    assert answer.status_code == 303


@pytest.fixture
def ended(ledger: Ledger, listed: Piece, now: datetime) -> Callable[[], None]:
    """Take the piece off the floor while a page is open."""

    def end() -> None:
        with ledger.writing() as session:
            end_listing(session, listed.id, on_date=TODAY, ended_by=Ending.STEP_BACK, now=now)

    return end


def test_a_price_sent_after_the_piece_left_the_floor_is_refused(
    client: ExaminingClient, listed: Piece, ended: Callable[[], None]
) -> None:
    path = f"/pieces/{listed.tag}/price"
    fields = form_fields(client, path) | {"asking": "199", "on_date": "2026-11-25"}
    ended()
    assert client.post(path, fields).status_code == 409
