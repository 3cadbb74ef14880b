"""A piece's sheet, and stepping back, leaving and splitting from it."""

import re
from datetime import date, datetime

import pytest

from app.database.unit_of_work import Ledger
from app.floor.actions import hold_piece
from app.floor.queries import open_listing
from app.pieces.actions import leave, step_back
from app.pieces.models import Piece
from app.pieces.queries import piece_row, piece_rows
from app.pieces.rules import Leaving, Stage
from app.recipes.actions import look_over
from app.recipes.rules import LeadTest, Surface
from tests.builders.costs import a_cost
from tests.builders.floor import a_channel, a_listed_piece
from tests.builders.pieces import a_haul, a_piece
from tests.builders.sales import a_sold_piece
from tests.builders.timelog import a_time
from tests.examining_client import ExaminingClient, Page

TODAY = date(2026, 11, 25)


def kept(ledger: Ledger, stage: Stage = Stage.SOURCED, **said: object) -> Piece:
    """A piece at a stage, listed or sold through its rooms."""
    with ledger.writing() as session:
        if stage is Stage.LISTED:
            return a_listed_piece(session, **said)  # type: ignore[arg-type]
        if stage is Stage.SOLD:
            return a_sold_piece(session)[0]
        return a_piece(session, stage=stage, **said)  # type: ignore[arg-type]


NEXT_ACTS = {
    Stage.SOURCED: "Mark prepped",
    Stage.PREPPED: "Mark finished",
    Stage.FINISHED: "List it",
    Stage.LISTED: "Record a sale",
    Stage.SOLD: "See what it earned",
}


@pytest.mark.parametrize("stage", Stage)
def test_the_sheet_offers_the_one_obvious_next_act(client: ExaminingClient, ledger: Ledger, stage: Stage) -> None:
    page = client.get(f"/pieces/{kept(ledger, stage).tag}").text
    offered = [words for words in NEXT_ACTS.values() if re.search(rf">{words}</(a|button)>", page)]
    assert offered == [NEXT_ACTS[stage]]
    assert page.count("button primary") == 1


def test_a_tag_may_be_typed_in_small_letters(client: ExaminingClient, ledger: Ledger) -> None:
    client.get(f"/pieces/{kept(ledger).tag.lower()}")


def test_an_unknown_tag_is_not_found(client: ExaminingClient) -> None:
    assert "There is no such piece" in client.get("/pieces/777", status=404).text


def test_the_figures_are_what_was_put_in_and_worked(client: ExaminingClient, ledger: Ledger) -> None:
    piece = kept(ledger, price_cents=4000)
    with ledger.writing() as session:
        a_cost(session, piece.id, amount_cents=1250)
        a_time(session, piece.id, minutes=95)
    page = client.get(f"/pieces/{piece.tag}").text
    assert "$52.50" in page
    assert "1 h 35 min" in page


def test_a_sold_piece_shows_its_profit_and_its_hour(client: ExaminingClient, ledger: Ledger) -> None:
    with ledger.writing() as session:
        piece, _sale = a_sold_piece(session, price_cents=4000, sale_price_cents=16_000)
        a_time(session, piece.id, minutes=120)
    page = client.get(f"/pieces/{piece.tag}").text
    assert "$120.00" in page
    assert "$60.00" in page


def test_a_piece_that_left_offers_its_way_back_alone(client: ExaminingClient, ledger: Ledger, now: datetime) -> None:
    piece = kept(ledger)
    with ledger.writing() as session:
        leave(session, piece.id, Leaving.GIVEN_AWAY, on_date=TODAY, reason="to a neighbour", version=None, now=now)
    page = client.get(f"/pieces/{piece.tag}").text
    assert "Bring it back" in page
    assert "Given away" in page
    assert "Start the clock" not in page


def test_the_history_tells_all_newest_first(client: ExaminingClient, ledger: Ledger, now: datetime) -> None:
    piece = kept(ledger, Stage.FINISHED)
    with ledger.writing() as session:
        step_back(session, piece.id, Stage.SOURCED, on_date=TODAY, reason="veneer lifted", version=None, now=now)
    page = client.get(f"/pieces/{piece.tag}").text.partition('id="history"')[2]
    told = [words for words in ("veneer lifted", "Stepped back to sourced", ">Found<", "Paid: $40.00") if words in page]
    assert len(told) == 4
    assert page.index("Stepped back") < page.index(">Found<")


def test_a_long_or_wicked_name_is_only_words(client: ExaminingClient, ledger: Ledger) -> None:
    page = client.get(f"/pieces/{kept(ledger, title='<b>' + 'x' * 110).tag}").text
    assert "&lt;b&gt;" in page
    assert "<b>x" not in page


def test_a_held_piece_says_for_whom_and_offers_to_lift(client: ExaminingClient, ledger: Ledger, now: datetime) -> None:
    piece = kept(ledger, Stage.LISTED)
    with ledger.writing() as session:
        hold_piece(session, piece.id, held_for="Ana", until=TODAY, note="", now=now)
    page = client.get(f"/pieces/{piece.tag}").text
    assert "Held for Ana until 25 Nov" in page
    answer = client.post_form(f"/pieces/{piece.tag}/hold/lift", {}, from_page=f"/pieces/{piece.tag}")
    assert answer.status_code == 303


def test_the_clock_starts_from_the_sheet_and_stops_there(client: ExaminingClient, ledger: Ledger) -> None:
    piece = kept(ledger, Stage.PREPPED)
    here = f"/pieces/{piece.tag}"
    answer = client.post_form("/time/start", {}, from_page=here)
    assert answer.location == here
    assert "The clock runs: finishing" in client.get(here).text
    assert client.post_form("/time/stop", {}, from_page=here).location == here


def test_the_lead_caution_stands_on_an_old_piece_alone(client: ExaminingClient, ledger: Ledger) -> None:
    old, new = kept(ledger, age="before_1978"), kept(ledger, age="after_1978")
    assert "may hold lead" in client.get(f"/pieces/{old.tag}").text
    assert "may hold lead" not in client.get(f"/pieces/{new.tag}").text


def test_the_cautions_of_a_piece_stand_in_one_fold_that_leads_to_looking_it_over(
    client: ExaminingClient, ledger: Ledger
) -> None:
    piece = kept(ledger, age="before_1978", title="Padded crib")
    page = client.get(f"/pieces/{piece.tag}?new=1").text
    assert page.count('class="lead-caution"') == 1
    assert "No drop-side cribs, none from before 28 June 2011; and 4 more to look out for" in page
    assert "Read on 26 Nov 2026." in page
    assert f'<a href="/pieces/{piece.tag}/surface">Look it over</a>' in page.partition('class="lead-caution"')[2]


def test_a_piece_that_tested_free_of_lead_or_is_finished_shows_no_caution(
    client: ExaminingClient, ledger: Ledger, now: datetime
) -> None:
    tested, finished = kept(ledger, age="before_1978"), kept(ledger, Stage.FINISHED, age="before_1978")
    with ledger.writing() as session:
        look_over(session, tested.id, Surface(lead_test=LeadTest.NEGATIVE), version=None, now=now)
    for piece in (tested, finished):
        assert "lead-caution" not in client.get(f"/pieces/{piece.tag}").text


def test_a_piece_of_a_haul_leads_to_it(client: ExaminingClient, ledger: Ledger) -> None:
    with ledger.writing() as session:
        haul = a_haul(session)
        piece = piece_rows(session)[0]
    assert f"/hauls/{haul.id}" in client.get(f"/pieces/{piece.tag}").text


def test_stepping_back_takes_its_reason_and_ends_the_listing(client: ExaminingClient, ledger: Ledger) -> None:
    piece = kept(ledger, Stage.LISTED)
    here = f"/pieces/{piece.tag}/step-back"
    assert "comes off the floor" in client.get(here).text
    refused = client.post_form(here, {"to_stage": "prepped", "reason": "", "on_date": "2026-11-25"})
    assert refused.status_code == 422
    done = client.post_form(here, {"to_stage": "prepped", "reason": "darker top wanted", "on_date": "2026-11-25"})
    assert done.status_code == 303
    with ledger.reading() as session:
        assert piece_row(session, piece.id).stage is Stage.PREPPED
        assert open_listing(session, piece.id) is None


def test_stepping_back_from_an_old_page_shows_what_it_is_now(client: ExaminingClient, ledger: Ledger) -> None:
    piece = kept(ledger, Stage.FINISHED)
    fields = {"to_stage": "sourced", "reason": "again", "on_date": "2026-11-25", "version": "0"}
    answer = client.post_form(f"/pieces/{piece.tag}/step-back", fields)
    assert answer.status_code == 409
    assert "was changed after you opened this page" in answer.text


@pytest.mark.parametrize("path", ["step-back", "leave"])
def test_a_sold_piece_neither_steps_back_nor_leaves(client: ExaminingClient, ledger: Ledger, path: str) -> None:
    piece = kept(ledger, Stage.SOLD)
    assert "It is sold" in client.get(f"/pieces/{piece.tag}/{path}", status=409).text


@pytest.mark.parametrize("how", Leaving)
def test_a_piece_leaves_with_plain_words_on_what_that_does(
    client: ExaminingClient, ledger: Ledger, how: Leaving
) -> None:
    piece = kept(ledger, Stage.LISTED)
    here = f"/pieces/{piece.tag}/leave"
    assert "neither profit nor loss" in client.get(here).text
    assert client.post_form(here, {"how": how.value, "on_date": "2026-11-25", "reason": ""}).status_code == 303
    with ledger.reading() as session:
        assert piece_row(session, piece.id).left_as is how


def test_a_set_is_split_on_its_page(client: ExaminingClient, ledger: Ledger) -> None:
    piece = kept(ledger, count=4, price_cents=1001)
    here = f"/pieces/{piece.tag}/split"
    assert "$10.01" in client.get(here).text
    parts = {"part_1_title": "", "part_1_count": "1", "part_2_title": "Three chairs", "part_2_count": "3"}
    answer = client.post_form(here, {"split_by": "each", "on_date": "2026-11-25", **parts})
    assert answer.status_code == 303
    page = client.get(f"/pieces/{piece.tag}").text
    assert "$2.50" in page
    assert "Set split: $7.51 to" in page


def test_a_pair_splits_untouched_into_one_and_one(client: ExaminingClient, ledger: Ledger) -> None:
    piece = kept(ledger, count=2, price_cents=3500, title="Windsor chairs")
    here = f"/pieces/{piece.tag}"
    form = Page(client.get(f"{here}/split").text).forms[-1]["filled"]
    assert client.post_form(f"{here}/split", form).status_code == 303
    with ledger.reading() as session:
        rows = piece_rows(session)
    assert [(row.name, row.count) for row in rows] == [("Windsor chairs", 1), ("Windsor chairs", 1)]
    page = client.get(here).text
    assert "$35.00, $17.50 moved to" in page
    assert "How many put right" not in page
    assert "$17.50 moved here from" in client.get(f"/pieces/{rows[1].tag}").text


def test_a_set_on_the_floor_is_led_to_its_step_back(client: ExaminingClient, ledger: Ledger) -> None:
    piece = kept(ledger, Stage.LISTED, count=2)
    assert f"/pieces/{piece.tag}/split" in client.get(f"/pieces/{piece.tag}").text
    assert f"/pieces/{piece.tag}/step-back" in client.get(f"/pieces/{piece.tag}/split").text


def test_more_parts_come_without_saving(client: ExaminingClient, ledger: Ledger) -> None:
    piece = kept(ledger, count=4)
    answer = client.post_form(f"/pieces/{piece.tag}/split", {"more_rows": "1", "part_1_title": "Left pair"})
    assert answer.status_code == 200
    assert "part_4_count" in answer.text
    assert 'value="Left pair"' in answer.text


def test_a_single_thing_is_told_that_it_cannot_be_split(client: ExaminingClient, ledger: Ledger) -> None:
    piece = kept(ledger)
    assert "one thing, not a set" in client.get(f"/pieces/{piece.tag}/split").text


def test_the_sheet_asks_no_more_queries_for_a_long_history(client: ExaminingClient, ledger: Ledger) -> None:
    with ledger.writing() as session:
        channel = a_channel(session)
        short = a_listed_piece(session, channel_ids=[channel.id])
        long = a_listed_piece(session, channel_ids=[channel.id])
        for _ in range(20):
            a_cost(session, long.id)
            a_time(session, long.id, minutes=5)
    client.get(f"/pieces/{short.tag}")
    asked = client.queries
    client.get(f"/pieces/{long.tag}")
    assert client.queries == asked
