"""What the floor's queries give to pages."""

from datetime import date, datetime
from pathlib import Path

import pytest
from sqlalchemy.orm import Session

from app.basics.errors import NotFound
from app.floor.actions import correct_channel, end_listing
from app.floor.queries import (
    ChannelRow,
    channel_by_id,
    channels,
    floor_cards,
    listings_of,
    open_listing,
    shop_today,
    what_remains,
)
from app.floor.rules import Ending
from app.pieces.rules import Stage
from tests.builders.floor import a_channel, a_hold, a_listed_piece
from tests.builders.photos import a_photo
from tests.builders.pieces import a_piece
from tests.builders.sales import a_sold_piece

TODAY = date(2026, 11, 25)
FREE = ChannelRow(1, "Word of mouth", 0, 0, is_put_away=False, version=1)
DEAR = ChannelRow(2, "Online marketplace", 13_00, 30, is_put_away=False, version=1)


def test_only_pieces_for_sale_hang_on_the_floor(session: Session, now: datetime) -> None:
    listed = a_listed_piece(session)
    a_piece(session, stage=Stage.FINISHED)
    a_sold_piece(session)
    back = a_listed_piece(session)
    end_listing(session, back.id, on_date=TODAY, ended_by=Ending.STEP_BACK, now=now)
    assert [card.piece.id for card in floor_cards(session, TODAY)] == [listed.id]


def test_a_card_carries_the_front_photo_and_the_hold_of_its_own_piece(session: Session, tmp_path: Path) -> None:
    bare, shown = a_listed_piece(session), a_listed_piece(session)
    photo = a_photo(session, tmp_path, shown.id)
    a_hold(session, bare, held_for="Ann")
    first, second = floor_cards(session, TODAY)
    assert (first.photo, second.photo and second.photo.id) == (None, photo.id)
    assert (first.listing.hold and first.listing.hold.held_for, second.listing.hold) == ("Ann", None)


def test_the_threshold_is_the_shops(session: Session) -> None:
    a_listed_piece(session, listed_on=date(2026, 11, 14))
    (card,) = floor_cards(session, TODAY, too_long_days=10)
    assert (card.days, card.sits_too_long) == (11, True)
    assert floor_cards(session, TODAY, too_long_days=11)[0].sits_too_long
    assert not floor_cards(session, TODAY, too_long_days=12)[0].sits_too_long


def test_a_spell_that_ended_no_longer_counts_days_and_shows_no_hold(session: Session) -> None:
    piece, _sale = a_sold_piece(session, sold_on=date(2026, 11, 20))
    (sheet,) = listings_of(session, piece.id)
    assert (sheet.days(TODAY), sheet.hold) == (19, None)
    assert open_listing(session, piece.id) is None


def test_channels_put_away_are_left_out_unless_asked_for(session: Session) -> None:
    kept, put_away = a_channel(session, "Stall"), a_channel(session, "Attic")
    correct_channel(
        session,
        put_away.id,
        name="Attic",
        percent_hundredths=0,
        fixed_cents=0,
        is_put_away=True,
        version=None,
    )
    assert [row.id for row in channels(session)] == [kept.id]
    assert [row.name for row in channels(session, include_put_away=True)] == ["Attic", "Stall"]
    assert channel_by_id(session, put_away.id).is_put_away
    with pytest.raises(NotFound):
        channel_by_id(session, 99)


def test_what_remains_is_worked_out_for_a_price_a_wish_or_both() -> None:
    assert what_remains([FREE, DEAR], None, day=TODAY) == []
    price_only = what_remains([FREE, DEAR], 240_00, day=TODAY)
    assert [(row.fee_cents, row.left_cents, row.ask_cents) for row in price_only] == [
        (0, 240_00, None),
        (31_50, 208_50, None),
    ]
    wish_only = what_remains([FREE, DEAR], None, 200_00, day=TODAY)
    assert [(row.fee_cents, row.left_cents, row.ask_cents) for row in wish_only] == [
        (None, None, 200_00),
        (None, None, 230_23),
    ]


def test_the_shops_day_is_told_in_its_own_zone(session: Session) -> None:
    assert shop_today(session, datetime.fromisoformat("2026-11-26T05:30:00+00:00")) == TODAY
