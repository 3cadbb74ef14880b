"""Listing, pricing, holding, taking off the floor, and keeping the channels."""

from datetime import date, datetime, timedelta

import pytest
from sqlalchemy import select
from sqlalchemy.orm import Session

from app.basics.errors import NotFound, RuleError, StaleEdit
from app.floor.actions import (
    add_channel,
    change_price,
    correct_channel,
    end_listing,
    hold_piece,
    lift_hold,
    list_piece,
    reopen_listing,
)
from app.floor.models import Hold
from app.floor.queries import listings_of, open_listing
from app.floor.rules import Ending
from app.pieces.actions import leave, step_back
from app.pieces.models import Piece
from app.pieces.queries import steps_of
from app.pieces.rules import CannotMove, Leaving, Stage, StepKind
from tests.builders.floor import LISTED, a_channel, a_hold, a_listed_piece, a_listing
from tests.builders.pieces import a_piece
from tests.builders.sales import a_sold_piece

TODAY = date(2026, 11, 25)


def listed_now(session: Session, piece: Piece) -> bool:
    return open_listing(session, piece.id) is not None


def test_a_listed_piece_is_at_the_listed_stage_at_its_price_on_its_channels(session: Session) -> None:
    stall, window = a_channel(session, "Market stall"), a_channel(session, "Own shop window")
    piece = a_piece(session, stage=Stage.FINISHED)

    a_listing(session, piece, asking_cents=240_00, channel_ids=[window.id, stall.id, stall.id])

    listing = open_listing(session, piece.id)
    assert listing is not None
    assert (piece.stage, piece.stage_since) == (Stage.LISTED, LISTED)
    assert (listing.asking_cents, listing.listed_on) == (240_00, LISTED)
    assert [row.name for row in listing.channels] == ["Market stall", "Own shop window"]
    assert steps_of(session, piece.id)[-1].kind is StepKind.FORWARD


@pytest.mark.parametrize("stage", [Stage.SOURCED, Stage.PREPPED, Stage.FINISHED])
def test_a_piece_is_listed_from_any_stage_before_the_floor(session: Session, stage: Stage) -> None:
    piece = a_piece(session, stage=stage)
    a_listing(session, piece)
    assert piece.stage is Stage.LISTED


def test_a_listed_piece_cannot_be_listed_again(session: Session) -> None:
    piece = a_listed_piece(session)
    with pytest.raises(CannotMove, match="listed already"):
        a_listing(session, piece)


def test_a_held_piece_cannot_be_listed_again(session: Session) -> None:
    piece = a_listed_piece(session)
    a_hold(session, piece)
    with pytest.raises(CannotMove, match="listed already"):
        a_listing(session, piece)
    assert listed_now(session, piece)


def test_a_sold_piece_cannot_be_listed(session: Session) -> None:
    piece, _sale = a_sold_piece(session)
    with pytest.raises(CannotMove, match="sold"):
        a_listing(session, piece)


def test_a_piece_that_left_cannot_be_listed(session: Session, now: datetime) -> None:
    piece = a_piece(session, stage=Stage.FINISHED)
    leave(session, piece.id, Leaving.KEPT, on_date=TODAY, reason="", version=None, now=now)
    with pytest.raises(CannotMove, match="kept"):
        a_listing(session, piece)


def test_a_piece_that_is_not_in_the_ledger_cannot_be_listed(session: Session, now: datetime) -> None:
    with pytest.raises(NotFound):
        list_piece(session, 99, asking_cents=1, channel_ids=(), on_date=TODAY, version=None, now=now)


@pytest.mark.parametrize("on_date", [date(2026, 9, 30), TODAY + timedelta(days=1)])
def test_a_listing_is_not_dated_before_the_last_step_or_in_the_future(session: Session, on_date: date) -> None:
    piece = a_piece(session, bought_on=date(2026, 10, 1))
    with pytest.raises(RuleError) as refusal:
        a_listing(session, piece, on_date=on_date)
    assert refusal.value.field == "on_date"
    assert piece.stage is Stage.SOURCED


def test_a_listing_at_no_price_is_refused(session: Session) -> None:
    piece = a_piece(session)
    with pytest.raises(RuleError) as refusal:
        a_listing(session, piece, asking_cents=0)
    assert refusal.value.field == "asking"


def test_a_listing_on_a_channel_put_away_or_unknown_is_refused(session: Session) -> None:
    old = a_channel(session)
    correct_channel(session, old.id, name=old.name, percent_hundredths=0, fixed_cents=0, is_put_away=True, version=None)
    for channel_id in (old.id, 10**30):
        with pytest.raises(RuleError) as refusal:
            a_listing(session, a_piece(session), channel_ids=[channel_id])
        assert refusal.value.field == "channels"


def test_a_listing_made_from_an_older_page_is_a_stale_edit(session: Session, now: datetime) -> None:
    piece = a_piece(session)
    with pytest.raises(StaleEdit) as stale:
        list_piece(
            session,
            piece.id,
            asking_cents=1,
            channel_ids=(),
            on_date=TODAY,
            version=piece.version - 1,
            now=now,
        )
    assert stale.value.version == piece.version


def test_a_price_change_keeps_every_price_before_it(session: Session, now: datetime) -> None:
    piece = a_listed_piece(session, asking_cents=240_00)

    change_price(
        session,
        piece.id,
        asking_cents=220_00,
        on_date=date(2026, 11, 10),
        note=" third  week ",
        now=now,
    )
    change_price(session, piece.id, asking_cents=240_00, on_date=date(2026, 11, 10), note="", now=now)

    listing = open_listing(session, piece.id)
    assert listing is not None
    assert [(price.on_date, price.cents, price.note) for price in listing.prices] == [
        (LISTED, 240_00, ""),
        (date(2026, 11, 10), 220_00, "third week"),
        (date(2026, 11, 10), 240_00, ""),
    ]
    assert (listing.asking_cents, listing.first_asked_cents, listing.price_moves) == (240_00, 240_00, 2)


def test_the_same_price_is_no_change(session: Session, now: datetime) -> None:
    piece = a_listed_piece(session, asking_cents=240_00)
    with pytest.raises(RuleError, match="asked now"):
        change_price(session, piece.id, asking_cents=240_00, on_date=TODAY, note="", now=now)


def test_a_price_is_not_dated_before_the_last_one(session: Session, now: datetime) -> None:
    piece = a_listed_piece(session)
    change_price(session, piece.id, asking_cents=1_00, on_date=date(2026, 11, 12), note="", now=now)
    with pytest.raises(RuleError) as refusal:
        change_price(session, piece.id, asking_cents=2_00, on_date=date(2026, 11, 11), note="", now=now)
    assert refusal.value.field == "on_date"


def test_a_piece_off_the_floor_has_no_price_to_change_and_cannot_be_held(session: Session, now: datetime) -> None:
    piece = a_piece(session)
    with pytest.raises(RuleError, match="not on the floor"):
        change_price(session, piece.id, asking_cents=1, on_date=TODAY, note="", now=now)
    with pytest.raises(RuleError, match="on the floor can be held"):
        a_hold(session, piece)


def test_a_hold_names_who_and_until_when(session: Session) -> None:
    piece = a_listed_piece(session)
    a_hold(session, piece, held_for="  Ann\tB. ", until=TODAY, note="pays on Friday")

    listing = open_listing(session, piece.id)
    assert listing is not None
    assert listing.hold is not None
    assert (listing.hold.held_for, listing.hold.until, listing.hold.note) == ("Ann B.", TODAY, "pays on Friday")
    assert not listing.hold.has_run_out(TODAY)
    assert listing.hold.has_run_out(TODAY + timedelta(days=1))


def test_a_piece_has_one_hold_at_a_time(session: Session) -> None:
    piece = a_listed_piece(session)
    a_hold(session, piece, held_for="Ann")
    with pytest.raises(RuleError, match="held for Ann already"):
        a_hold(session, piece, held_for="Bea")


def test_a_hold_that_ran_out_gives_way_to_a_new_one(session: Session, now: datetime) -> None:
    piece = a_listed_piece(session)
    a_hold(session, piece, held_for="Ann", until=TODAY)

    later = now + timedelta(days=2)
    hold_piece(session, piece.id, held_for="Bea", until=TODAY + timedelta(days=5), note="", now=later)

    holds = session.scalars(select(Hold).order_by(Hold.id)).all()
    assert [(hold.held_for, hold.lifted_at) for hold in holds] == [("Ann", later), ("Bea", None)]


def test_the_day_a_hold_may_end_on_is_the_shops_own(session: Session) -> None:
    piece = a_listed_piece(session)
    # In UTC the 26th has begun; in the shop's zone it is still the 25th.
    late_evening = datetime.fromisoformat("2026-11-26T05:30:00+00:00")
    a_hold(session, piece, until=TODAY, now=late_evening)


def test_lifting_a_hold_twice_is_harmless(session: Session, now: datetime) -> None:
    piece = a_listed_piece(session)
    a_hold(session, piece)
    assert lift_hold(session, piece.id, now=now) is not None
    assert lift_hold(session, piece.id, now=now) is None
    a_hold(session, piece, held_for="Bea")


def test_ending_a_listing_lifts_its_hold_and_says_why_it_ended(session: Session, now: datetime) -> None:
    piece = a_listed_piece(session)
    a_hold(session, piece)

    ended = end_listing(session, piece.id, on_date=TODAY, ended_by=Ending.STEP_BACK, now=now)

    assert ended is not None
    assert (ended.ended_on, ended.ended_by) == (TODAY, "step_back")
    assert not listed_now(session, piece)
    assert session.scalar(select(Hold.lifted_at)) == now


def test_ending_the_listing_of_a_piece_off_the_floor_changes_nothing(session: Session, now: datetime) -> None:
    piece = a_piece(session)
    assert end_listing(session, piece.id, on_date=TODAY, ended_by=Ending.LEAVING, now=now) is None


def test_a_piece_is_listed_again_after_stepping_back_and_both_spells_stay(session: Session, now: datetime) -> None:
    piece = a_listed_piece(session, asking_cents=240_00)
    end_listing(session, piece.id, on_date=TODAY, ended_by=Ending.STEP_BACK, now=now)
    step_back(session, piece.id, Stage.FINISHED, on_date=TODAY, reason="new colour", version=None, now=now)

    a_listing(session, piece, asking_cents=300_00, on_date=TODAY)

    assert [(sheet.asking_cents, sheet.ended_on) for sheet in listings_of(session, piece.id)] == [
        (240_00, TODAY),
        (300_00, None),
    ]


def test_a_listing_is_reopened_unless_the_piece_was_listed_anew(session: Session, now: datetime) -> None:
    piece = a_listed_piece(session)
    first = end_listing(session, piece.id, on_date=TODAY, ended_by=Ending.SALE, now=now)
    assert first is not None
    reopen_listing(session, first.id)
    assert listed_now(session, piece)

    end_listing(session, piece.id, on_date=TODAY, ended_by=Ending.STEP_BACK, now=now)
    step_back(session, piece.id, Stage.FINISHED, on_date=TODAY, reason="new colour", version=None, now=now)
    a_listing(session, piece, on_date=TODAY)
    with pytest.raises(RuleError, match="listed anew"):
        reopen_listing(session, first.id)


def test_a_listing_that_is_not_there_cannot_be_reopened(session: Session) -> None:
    with pytest.raises(NotFound):
        reopen_listing(session, 99)


def test_a_channel_of_the_same_name_in_whatever_case_is_refused(session: Session) -> None:
    a_channel(session, "Market stall")
    with pytest.raises(RuleError, match="already") as refusal:
        add_channel(session, name=" market  STALL ")
    assert refusal.value.field == "name"


def test_a_channel_keeps_its_own_name_when_put_right(session: Session) -> None:
    row = a_channel(session, "Market stall")
    corrected = correct_channel(
        session,
        row.id,
        name="Market stall",
        percent_hundredths=5_00,
        fixed_cents=30,
        is_put_away=True,
        version=row.version,
    )
    assert (corrected.percent_hundredths, corrected.fixed_cents, corrected.is_put_away) == (5_00, 30, True)


def test_putting_a_channel_right_from_an_older_page_is_a_stale_edit(session: Session) -> None:
    row = a_channel(session, "Market stall", percent_hundredths=5_00)
    with pytest.raises(StaleEdit) as stale:
        correct_channel(
            session,
            row.id,
            name="Stall",
            percent_hundredths=0,
            fixed_cents=0,
            is_put_away=False,
            version=row.version + 1,
        )
    assert stale.value.now_values["Name"] == "Market stall"
    with pytest.raises(NotFound):
        correct_channel(session, 99, name="X", percent_hundredths=0, fixed_cents=0, is_put_away=False, version=None)
