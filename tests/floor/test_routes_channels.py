"""The pages of the channels: those of the shop, and those one piece is offered through."""

from datetime import datetime

import pytest

from app.database.unit_of_work import Ledger
from app.floor.actions import add_channel, correct_channel, end_listing
from app.floor.models import Channel
from app.floor.queries import channels, open_listing
from app.floor.rules import Ending
from app.pieces.actions import note_next
from app.pieces.models import Piece
from app.pieces.queries import corrections_of
from app.pieces.rules import Stage
from tests.builders.floor import a_channel, a_listed_piece
from tests.builders.pieces import a_piece
from tests.examining_client import ExaminingClient, Page


@pytest.fixture
def listed(ledger: Ledger) -> Piece:
    """A piece on the floor through the first of two channels."""
    with ledger.writing() as session:
        first = a_channel(session, "local classifieds")
        a_channel(session, "market stall")
        return a_listed_piece(session, channel_ids=[first.id])


def test_a_channel_is_added_put_right_and_put_away(client: ExaminingClient, ledger: Ledger) -> None:
    added = client.post_form("/settings/channels", {"name": "Weekend market", "percent": "5.5", "fixed": "2"})
    assert (added.status_code, added.location) == (303, "/settings/channels")
    with ledger.reading() as session:
        (row,) = channels(session)
    assert (row.percent_hundredths, row.fixed_cents) == (5_50, 2_00)
    assert "5.5% and $2.00" in client.get("/settings/channels").text

    path = f"/settings/channels/{row.id}"
    assert 'value="5.5"' in client.get(path).text
    done = client.post_form(path, {"name": "Market", "percent": "", "fixed": "", "put_away": "y"})
    assert done.status_code == 303
    page = client.get("/settings/channels").text
    assert "put away" in page
    assert "no fee" in page
    assert client.get("/settings/channels.csv").text.splitlines() == [
        "Channel,Percent,Fixed fee,Put away,From,Note,Struck out because",
        "Market,0,0.00,yes,,,",
    ]


@pytest.mark.parametrize(
    ("fields", "words"),
    [
        ({"name": ""}, "Give the channel a name."),
        ({"name": "local CLASSIFIEDS"}, "There is a channel of that name already."),
        ({"name": "Stall", "percent": "100"}, "from 0 to less than 100"),
        ({"name": "Stall", "percent": "a third"}, "Type a percentage"),
        ({"name": "Stall", "fixed": "-1"}, "never below zero"),
    ],
)
def test_a_channel_that_cannot_be_is_refused(
    client: ExaminingClient, ledger: Ledger, fields: dict[str, str], words: str
) -> None:
    with ledger.writing() as session:
        a_channel(session)
    answer = client.post_form("/settings/channels", fields)
    assert answer.status_code == 422
    assert words in answer.text


def test_a_channel_nobody_knows_is_not_found(client: ExaminingClient) -> None:
    client.get("/settings/channels/99", status=404)


def test_a_channel_nobody_set_up_says_so_until_its_page_is_saved_once(client: ExaminingClient, ledger: Ledger) -> None:
    client.post_form("/settings/channels", {"name": "market stall", "percent": "", "fixed": ""})
    with ledger.writing() as session:
        (row,) = channels(session)
        piece = a_piece(session, stage=Stage.FINISHED)
    path = f"/settings/channels/{row.id}"
    assert row.is_unset
    assert "fees not set yet" in client.get("/settings/channels").text
    assert "Fees not set yet: market stall." in client.get(f"/pieces/{piece.tag}/list").text
    assert "fees not set yet</a>" in client.get(f"/pieces/{piece.tag}/list?asking=100").text
    assert client.get("/settings/channels.csv").text.splitlines()[1] == "market stall,,,no,,,"
    assert "What it takes is not set yet." in client.get(path).text

    assert client.post_form(path, {}).status_code == 422
    assert client.post_form(path, {"name": "market stall", "percent": "0", "fixed": ""}).status_code == 303
    assert "not set yet" not in client.get(path).text
    assert "no fee" in client.get("/settings/channels").text
    assert "ees not set yet" not in client.get(f"/pieces/{piece.tag}/list?asking=100").text


def test_a_channel_added_with_a_fee_of_nothing_is_set_up(client: ExaminingClient, ledger: Ledger) -> None:
    client.post_form("/settings/channels", {"name": "market stall", "percent": "0", "fixed": ""})
    with ledger.reading() as session:
        assert [row.is_unset for row in channels(session)] == [False]


def test_a_channel_begins_a_line_with_a_capital_and_keeps_the_owners_letters(
    client: ExaminingClient, ledger: Ledger
) -> None:
    with ledger.writing() as session:
        row = a_channel(session, "the OLD mill")
    assert "The OLD mill" in client.get("/settings/channels").text
    assert 'value="the OLD mill"' in client.get(f"/settings/channels/{row.id}").text


def test_where_a_piece_is_offered_is_seen_and_changed_with_its_history(
    client: ExaminingClient, ledger: Ledger, listed: Piece
) -> None:
    path = f"/pieces/{listed.tag}/channels"
    assert "Offered: local classifieds" in client.get("/floor").text
    price = client.get(f"/pieces/{listed.tag}/price").text
    assert "Local classifieds." in price
    assert path in price
    assert 'value="1" checked' in client.get(path).text

    answer = client.post_form(path, {"channels": ["2", "1"]})
    assert (answer.status_code, answer.location) == (303, f"/pieces/{listed.tag}/price")
    client.post_form(path, {"channels": ["2"]})
    client.post_form(path, {"channels": ["2"]})

    assert "Offered: market stall" in client.get("/floor").text
    with ledger.reading() as session:
        kept = [(row.fact, row.was, row.became) for row in corrections_of(session, listed.id)]
    assert kept == [
        ("Channels", "local classifieds", "local classifieds, market stall"),
        ("Channels", "local classifieds, market stall", "market stall"),
    ]


@pytest.mark.parametrize(
    ("chosen", "words"),
    [([], "Choose at least one channel."), (["99"], "Choose from the channels in use."), (["x"], "Choose from")],
)
def test_channels_that_cannot_be_are_refused(
    client: ExaminingClient, ledger: Ledger, listed: Piece, chosen: list[str], words: str
) -> None:
    answer = client.post_form(f"/pieces/{listed.tag}/channels", {"channels": chosen})
    assert answer.status_code == 422
    assert words in answer.text
    with ledger.reading() as session:
        listing = open_listing(session, listed.id)
        assert listing is not None
        assert [row.name for row in listing.channels] == ["local classifieds"]


def test_a_channel_put_away_stays_on_the_piece_that_is_on_it(
    client: ExaminingClient, ledger: Ledger, listed: Piece
) -> None:
    with ledger.writing() as session:
        old = session.get_one(Channel, 1)
        correct_channel(session, 1, name=old.name, percent_hundredths=0, fixed_cents=0, is_put_away=True, version=None)
        gone = add_channel(session, name="fair")
        correct_channel(
            session, gone.id, name="fair", percent_hundredths=0, fixed_cents=0, is_put_away=True, version=None
        )
    path = f"/pieces/{listed.tag}/channels"
    page = client.get(path).text
    assert "local classifieds" in page
    assert "fair" not in page
    assert client.post_form(path, {"channels": ["1", "2"]}).status_code == 303
    assert client.post_form(path, {"channels": [str(gone.id)]}).status_code == 422


def test_channels_chosen_on_a_page_that_is_out_of_date_show_the_clash(
    client: ExaminingClient, ledger: Ledger, listed: Piece, now: datetime
) -> None:
    path = f"/pieces/{listed.tag}/channels"
    fields = next(form["fields"] for form in Page(client.get(path).text).forms if form["action"] == path)
    with ledger.writing() as session:
        note_next(session, listed.id, "wax it", version=None, now=now)
    answer = client.post(path, {**fields, "channels": ["2"]})
    assert answer.status_code == 409
    assert "<dt>Channels</dt><dd>local classifieds</dd>" in answer.text


def test_a_piece_off_the_floor_is_offered_nowhere(
    client: ExaminingClient, ledger: Ledger, listed: Piece, now: datetime
) -> None:
    with ledger.writing() as session:
        end_listing(session, listed.id, on_date=now.date(), ended_by=Ending.STEP_BACK, now=now)
    assert "is not on the floor" in client.get(f"/pieces/{listed.tag}/channels", status=409).text
