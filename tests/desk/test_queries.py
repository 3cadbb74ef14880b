"""What the desk gathers from the rooms below."""

from datetime import date, datetime

from sqlalchemy.orm import Session

from app.desk.queries import HistoryLine, history_of, owned_at_start, piece_sheet, set_sheet, today_sheet
from app.desk.queries.history import Happening
from app.desk.rules import NOTES_SHOWN
from app.floor.actions import change_price, hold_piece, lift_hold
from app.pieces.actions import bring_back, correct_paid, leave, note_next, set_finish
from app.pieces.models import Piece
from app.pieces.queries import purchases_of, steps_of, transfers_of
from app.pieces.rules import Leaving, Stage
from app.sales.actions import strike_sale
from app.sales.queries import sales_of
from tests.builders.costs import a_cost
from tests.builders.floor import a_channel, a_listed_piece
from tests.builders.pieces import a_piece, an_owned_piece
from tests.builders.sales import a_return, a_sold_piece
from tests.builders.timelog import a_time

TODAY = date(2026, 11, 25)
ZONE = "America/Denver"


def told(session: Session, piece: Piece) -> list[HistoryLine]:
    return history_of(
        session,
        piece.id,
        steps_of(session, piece.id),
        sales_of(session, piece.id),
        ZONE,
        purchases=purchases_of(session, piece.id),
        moved=transfers_of(session, piece.id),
    )


def whats(session: Session, piece: Piece) -> list[Happening]:
    return [line.what for line in told(session, piece)]


def test_a_listing_tells_its_price_its_channels_and_every_move(session: Session, now: datetime) -> None:
    channel = a_channel(session)
    piece = a_listed_piece(session, channel_ids=[channel.id], asking_cents=300_00)
    change_price(session, piece.id, asking_cents=250_00, on_date=TODAY, note="no calls", now=now)
    newest, listed = [line for line in told(session, piece) if line.what in {Happening.LISTED, Happening.ASKED}]
    assert (listed.words, listed.cents, listed.was_cents) == ("Local classifieds", 300_00, None)
    assert (newest.what, newest.cents, newest.was_cents, newest.note) == (Happening.ASKED, 250_00, 300_00, "no calls")


def test_a_hold_is_told_when_made_and_when_lifted(session: Session, now: datetime) -> None:
    piece = a_listed_piece(session)
    hold_piece(session, piece.id, held_for="Ana", until=TODAY, note="has a van", now=now)
    lift_hold(session, piece.id, now=now)
    holds = [line for line in told(session, piece) if line.what in {Happening.HELD, Happening.LIFTED}]
    assert {(line.what, line.words, line.on) for line in holds} == {
        (Happening.HELD, "Ana", TODAY),
        (Happening.LIFTED, "Ana", TODAY),
    }


def test_a_sale_is_told_once_with_its_money_and_its_page(session: Session) -> None:
    piece, sale = a_sold_piece(session, sale_price_cents=180_00)
    [sold] = [line for line in told(session, piece) if line.what is Happening.SOLD]
    assert (sold.cents, sold.sale_id, sold.struck_reason) == (180_00, sale.id, None)
    assert Happening.MOVED not in whats(session, piece)[:1]


def test_a_struck_sale_stays_in_sight_with_its_reason(session: Session, now: datetime) -> None:
    piece, sale = a_sold_piece(session)
    strike_sale(session, sale.id, reason="wrong piece", now=now)
    [sold] = [line for line in told(session, piece) if line.what is Happening.SOLD]
    assert sold.struck_reason == "wrong piece"


def test_a_return_is_told_with_its_refund_and_reason(session: Session) -> None:
    piece, sale = a_sold_piece(session)
    a_return(session, sale, reason="too wide for the stairs")
    [back] = [line for line in told(session, piece) if line.what is Happening.RETURNED]
    assert back.note == "too wide for the stairs"
    assert (back.cents or 0) > 0


def test_leaving_and_coming_back_are_told_with_their_way_and_reasons(session: Session, now: datetime) -> None:
    piece = a_piece(session)
    for how in (Leaving.KEPT, Leaving.GIVEN_AWAY):
        leave(session, piece.id, how, on_date=TODAY, reason="for now", version=None, now=now)
        bring_back(session, piece.id, on_date=TODAY, reason="changed my mind", version=None, now=now)
    ways = [line.words for line in reversed(told(session, piece)) if line.what is Happening.LEFT]
    assert ways == ["kept", "given away"]


def test_what_was_paid_and_put_right_are_both_there_one_of_them_struck(session: Session, now: datetime) -> None:
    piece = a_piece(session, price_cents=4000)
    correct_paid(
        session,
        piece.id,
        price_cents=4500,
        premium_cents=0,
        tax_cents=0,
        on_date=piece.sourced_on,
        reason="misread the receipt",
        version=None,
        now=now,
    )
    paid = {(line.cents, line.struck_reason) for line in told(session, piece) if line.what is Happening.PAID}
    assert paid == {(4000, "misread the receipt"), (4500, None)}


def test_a_corrected_fact_says_what_it_was_and_is(session: Session, now: datetime) -> None:
    piece = a_piece(session)
    set_finish(session, piece.id, colour="#5f7f6b", words="", version=None, now=now)
    set_finish(session, piece.id, colour="#aa7f6b", words="", version=None, now=now)
    lines = told(session, piece)
    assert [line.note for line in lines if line.what is Happening.CORRECTED] == ["was #5f7f6b, now #aa7f6b"]
    assert [line.note for line in lines if line.what is Happening.SAID] == ["#5f7f6b"]


def test_history_runs_from_the_newest_day_to_the_oldest(session: Session, now: datetime) -> None:
    piece = a_listed_piece(session)
    change_price(session, piece.id, asking_cents=1_00, on_date=TODAY, note="", now=now)
    days = [line.on for line in told(session, piece)]
    assert days == sorted(days, reverse=True)


def test_the_sheet_knows_the_sale_that_stands_and_no_other(session: Session) -> None:
    piece, sale = a_sold_piece(session)
    sheet = piece_sheet(session, piece.tag, today=TODAY, zone=ZONE)
    assert sheet.sale is not None
    assert sheet.sale.id == sale.id
    a_return(session, sale)
    again = piece_sheet(session, piece.tag, today=TODAY, zone=ZONE)
    assert again.sale is None
    assert again.profit is not None
    assert again.profit.profit is None


def test_the_sheet_offers_the_next_stage_by_hand_and_the_ones_behind(session: Session) -> None:
    piece = a_piece(session, stage=Stage.PREPPED)
    sheet = piece_sheet(session, piece.tag.lower(), today=TODAY, zone=ZONE)
    assert sheet.next_stage is Stage.FINISHED
    assert sheet.back_stages == (Stage.SOURCED,)
    assert not sheet.is_set


def test_a_set_stands_at_its_cost_and_hours_so_far(session: Session) -> None:
    piece = a_piece(session, count=4, price_cents=4000)
    a_cost(session, piece.id, amount_cents=150)
    a_time(session, piece.id, minutes=35)
    sheet = set_sheet(session, piece.tag)
    assert (sheet.cents, sheet.minutes) == (4150, 35)


def test_only_opening_stock_counts_as_owned_at_the_start(session: Session) -> None:
    a_piece(session)
    owned = an_owned_piece(session)
    assert [row.id for row in owned_at_start(session)] == [owned.id]


def test_today_names_some_notes_and_counts_the_rest(session: Session, now: datetime) -> None:
    for number in range(NOTES_SHOWN + 3):
        note_next(session, a_piece(session).id, f"Sand leg {number}", version=None, now=now)
    sheet = today_sheet(session, TODAY, too_long_days=60)
    assert len(sheet.notes) == NOTES_SHOWN
    assert sheet.notes_left_out == 3


def test_a_hold_that_ends_later_does_not_trouble_today(session: Session, now: datetime) -> None:
    piece = a_listed_piece(session)
    hold_piece(session, piece.id, held_for="Ana", until=date(2026, 11, 26), note="", now=now)
    assert today_sheet(session, TODAY, too_long_days=60).held == ()


def test_a_shop_with_one_shop_cost_is_not_empty(session: Session) -> None:
    assert today_sheet(session, TODAY, too_long_days=60).is_empty
    a_cost(session, None)
    assert not today_sheet(session, TODAY, too_long_days=60).is_empty
