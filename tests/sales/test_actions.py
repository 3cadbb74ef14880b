"""Recording a sale, striking it out, taking it back, and striking that out; two at once."""

import threading
from datetime import date, datetime, timedelta
from pathlib import Path
from typing import Any

import pytest
from sqlalchemy import select
from sqlalchemy.orm import Session

from app.basics.errors import NotFound, RuleError
from app.database.engine import make_engine
from app.database.unit_of_work import Ledger, LedgerTrouble
from app.floor.models import Hold
from app.floor.queries import listings_of, open_listing
from app.pieces.actions import bring_back, leave, split_off, step_back
from app.pieces.queries import piece_row, steps_of
from app.pieces.rules import CannotMove, Leaving, SplitPart, Stage, StepKind, standing_steps
from app.sales.actions import record_sale, strike_return, strike_sale
from app.sales.models import Sale
from app.sales.queries import sales_of
from app.sales.rules import AlreadySold, NewSale
from tests.builders.floor import LISTED, a_channel, a_hold, a_listed_piece, a_listing
from tests.builders.pieces import FOUND, a_piece
from tests.builders.sales import CAME_BACK, SOLD, a_return, a_sale, a_sold_piece

TODAY = date(2026, 11, 25)


def kinds(session: Session, piece_id: int) -> list[StepKind]:
    return [step.kind for step in steps_of(session, piece_id)]


def test_a_sale_takes_the_piece_off_the_floor_and_keeps_every_amount(session: Session) -> None:
    channel = a_channel(session)
    piece = a_listed_piece(session, channel_ids=[channel.id])
    a_hold(session, piece)
    listing = open_listing(session, piece.id)
    assert listing is not None

    a_sale(
        session,
        piece,
        channel_id=channel.id,
        delivery_charged_cents=25_00,
        delivery_paid_cents=18_00,
        fees_cents=31_20,
        tax_cents=19_80,
        buyer_name="  Ann ",
        note="cash",
    )

    (row,) = sales_of(session, piece.id)
    assert (row.sold_on, row.price_cents, row.channel_name, row.listing_id) == (
        SOLD,
        240_00,
        "Local classifieds",
        listing.id,
    )
    assert (row.delivery_charged_cents, row.delivery_paid_cents) == (25_00, 18_00)
    assert (row.fees_cents, row.tax_cents, row.net_cents) == (31_20, 19_80, 215_80)
    assert (row.buyer_name, row.note) == ("Ann", "cash")
    assert (piece.stage, piece.stage_since) == (Stage.SOLD, SOLD)
    assert kinds(session, piece.id)[-1] is StepKind.SALE
    assert open_listing(session, piece.id) is None
    assert (listings_of(session, piece.id)[0].ended_on, listings_of(session, piece.id)[0].ended_by) == (
        SOLD,
        "sale",
    )
    assert session.scalar(select(Hold.lifted_at)) is not None


@pytest.mark.parametrize("stage", [Stage.SOURCED, Stage.PREPPED, Stage.FINISHED])
def test_a_piece_is_sold_as_found_without_a_listing(session: Session, stage: Stage) -> None:
    piece = a_piece(session, stage=stage)
    sale = a_sale(session, piece)
    assert (sale.listing_id, piece.stage) == (None, Stage.SOLD)


def test_the_same_capture_makes_one_sale(session: Session) -> None:
    piece = a_listed_piece(session)
    first = a_sale(session, piece, capture_id="one")
    assert a_sale(session, piece, capture_id="one").id == first.id
    assert len(sales_of(session, piece.id)) == 1


def test_a_sold_piece_cannot_be_sold_again(session: Session) -> None:
    piece, _sale = a_sold_piece(session)
    with pytest.raises(AlreadySold):
        a_sale(session, piece)


def test_a_piece_that_left_cannot_be_sold(session: Session, now: datetime) -> None:
    piece = a_piece(session)
    leave(session, piece.id, Leaving.GIVEN_AWAY, on_date=TODAY, reason="", version=None, now=now)
    with pytest.raises(CannotMove, match="given away"):
        a_sale(session, piece)


@pytest.mark.parametrize("sold_on", [FOUND - timedelta(days=1), LISTED - timedelta(days=1), TODAY + timedelta(days=1)])
def test_a_sale_before_the_find_before_the_last_step_or_in_the_future_is_refused(
    session: Session, sold_on: date
) -> None:
    piece = a_listed_piece(session)
    with pytest.raises(RuleError) as refusal:
        a_sale(session, piece, sold_on=sold_on)
    assert refusal.value.field == "sold_on"
    assert open_listing(session, piece.id) is not None


@pytest.mark.parametrize(("amounts", "field"), [({"fees_cents": 240_01}, "fees"), ({"tax_cents": 240_01}, "tax")])
def test_fees_or_tax_above_what_came_in_are_refused(session: Session, amounts: dict[str, Any], field: str) -> None:
    piece = a_listed_piece(session)
    with pytest.raises(RuleError) as refusal:
        a_sale(session, piece, **amounts)
    assert refusal.value.field == field
    assert piece.stage is Stage.LISTED


def test_a_sale_through_a_channel_nobody_knows_is_refused(session: Session) -> None:
    with pytest.raises(RuleError) as refusal:
        a_sale(session, a_listed_piece(session), channel_id=99)
    assert refusal.value.field == "channel"


def test_a_sale_of_a_piece_that_is_not_in_the_ledger_is_refused(session: Session, now: datetime) -> None:
    with pytest.raises(NotFound):
        record_sale(session, NewSale(99, SOLD, None, 1_00), capture_id="x", now=now)


def test_a_struck_sale_puts_the_piece_back_on_the_floor_and_stays_in_sight(session: Session, now: datetime) -> None:
    piece, sale = a_sold_piece(session)

    strike_sale(session, sale.id, reason="typed on the wrong piece", now=now)

    listing = open_listing(session, piece.id)
    assert listing is not None
    assert (listing.id, listing.listed_on, listing.ended_by) == (sale.listing_id, LISTED, None)
    assert (piece.stage, piece.stage_since) == (Stage.LISTED, LISTED)
    (row,) = sales_of(session, piece.id)
    assert (row.is_struck, row.struck_reason) == (True, "typed on the wrong piece")
    assert kinds(session, piece.id)[-2:] == [StepKind.SALE, StepKind.SALE_STRUCK]


@pytest.mark.parametrize("stage", [Stage.SOURCED, Stage.PREPPED, Stage.FINISHED])
def test_a_struck_sale_puts_the_piece_back_where_it_was(session: Session, now: datetime, stage: Stage) -> None:
    piece = a_piece(session, stage=stage)
    sale = a_sale(session, piece)
    strike_sale(session, sale.id, reason="typed twice", now=now)
    assert piece.stage is stage


def test_a_struck_sale_is_entered_again_on_an_earlier_day(session: Session, now: datetime) -> None:
    piece, sale = a_sold_piece(session, sold_on=date(2026, 11, 24))
    strike_sale(session, sale.id, reason="wrong day", now=now)

    a_sale(session, piece, sold_on=date(2026, 11, 10))

    assert [row.is_struck for row in sales_of(session, piece.id)] == [True, False]
    assert piece.stage_since == date(2026, 11, 10)


def test_striking_out_asks_for_a_reason_and_happens_once(session: Session, now: datetime) -> None:
    _piece, sale = a_sold_piece(session)
    with pytest.raises(RuleError) as refusal:
        strike_sale(session, sale.id, reason=" ", now=now)
    assert refusal.value.field == "reason"
    strike_sale(session, sale.id, reason="typed twice", now=now)
    with pytest.raises(RuleError, match="already"):
        strike_sale(session, sale.id, reason="typed twice", now=now)
    with pytest.raises(NotFound):
        strike_sale(session, 99, reason="typed twice", now=now)


def test_a_sale_that_came_back_is_struck_out_only_after_its_return(session: Session, now: datetime) -> None:
    piece, sale = a_sold_piece(session)
    came_back = a_return(session, sale)
    with pytest.raises(RuleError, match="Strike out the return first"):
        strike_sale(session, sale.id, reason="typed twice", now=now)

    strike_return(session, came_back.id, reason="never came", now=now)
    strike_sale(session, sale.id, reason="typed twice", now=now)

    assert piece.stage is Stage.LISTED
    assert open_listing(session, piece.id) is not None


@pytest.mark.parametrize("to_stage", [Stage.SOURCED, Stage.PREPPED, Stage.FINISHED])
def test_a_piece_that_came_back_is_listed_and_sold_again(session: Session, to_stage: Stage) -> None:
    piece, sale = a_sold_piece(session, sale={"fees_cents": 31_20, "tax_cents": 19_80, "delivery_paid_cents": 5_00})

    a_return(
        session,
        sale,
        tax_refunded_cents=19_80,
        fees_back_cents=31_20,
        delivery_back_cents=5_00,
        to_stage=to_stage,
    )

    assert (piece.stage, piece.stage_since) == (to_stage, CAME_BACK)
    a_listing(session, piece, on_date=CAME_BACK)
    a_sale(session, piece, sold_on=TODAY, price_cents=200_00)
    first, second = sales_of(session, piece.id)
    assert first.came_back is not None
    assert first.came_back.net_cents == 240_00 - 31_20 - 5_00
    assert (first.stands, second.stands) == (False, True)
    assert piece.stage is Stage.SOLD


def test_a_sale_comes_back_once(session: Session) -> None:
    _piece, sale = a_sold_piece(session)
    a_return(session, sale)
    with pytest.raises(RuleError, match="already"):
        a_return(session, sale)


def test_nothing_comes_back_from_a_struck_sale(session: Session, now: datetime) -> None:
    _piece, sale = a_sold_piece(session)
    strike_sale(session, sale.id, reason="typed twice", now=now)
    with pytest.raises(RuleError, match="struck out"):
        a_return(session, sale)


@pytest.mark.parametrize(
    ("said", "field"),
    [
        ({"refund_cents": 240_01}, "refund"),
        ({"tax_refunded_cents": 1}, "tax_refunded"),
        ({"fees_back_cents": 1}, "fees_back"),
        ({"delivery_back_cents": 1}, "delivery_back"),
        ({"returned_on": SOLD - timedelta(days=1)}, "returned_on"),
        ({"reason": ""}, "reason"),
        ({"to_stage": Stage.LISTED}, "to_stage"),
    ],
)
def test_a_return_that_cannot_be_changes_nothing(session: Session, said: dict[str, object], field: str) -> None:
    piece, sale = a_sold_piece(session)
    with pytest.raises(RuleError) as refusal:
        a_return(session, sale, **said)  # type: ignore[arg-type]
    assert refusal.value.field == field
    assert piece.stage is Stage.SOLD


def test_a_struck_return_makes_the_sale_count_again(session: Session, now: datetime) -> None:
    piece, sale = a_sold_piece(session)
    came_back = a_return(session, sale)

    strike_return(session, came_back.id, reason="another buyer's", now=now)

    (row,) = sales_of(session, piece.id)
    assert (row.stands, row.returns[0].struck_reason) == (True, "another buyer's")
    assert (piece.stage, piece.stage_since) == (Stage.SOLD, SOLD)
    assert kinds(session, piece.id)[-1] is StepKind.RETURN_STRUCK
    assert standing_steps(steps_of(session, piece.id))[-1].kind is StepKind.SALE
    a_return(session, sale)


def test_a_return_is_not_struck_out_once_the_piece_moved_on(session: Session, now: datetime) -> None:
    piece, sale = a_sold_piece(session)
    came_back = a_return(session, sale)
    a_listing(session, piece, on_date=CAME_BACK)
    with pytest.raises(RuleError, match="moved on"):
        strike_return(session, came_back.id, reason="a mistake", now=now)


def test_a_return_is_not_struck_out_once_the_piece_left_or_was_brought_back(session: Session, now: datetime) -> None:
    piece, sale = a_sold_piece(session)
    came_back = a_return(session, sale)
    leave(session, piece.id, Leaving.KEPT, on_date=TODAY, reason="", version=None, now=now)
    with pytest.raises(RuleError, match="moved on"):
        strike_return(session, came_back.id, reason="a mistake", now=now)
    bring_back(session, piece.id, on_date=TODAY, reason="for sale after all", version=None, now=now)
    with pytest.raises(RuleError, match="moved on"):
        strike_return(session, came_back.id, reason="a mistake", now=now)


def test_only_the_newest_return_of_a_piece_is_struck_out(session: Session, now: datetime) -> None:
    piece, sale = a_sold_piece(session)
    first = a_return(session, sale)
    again = a_sale(session, piece, sold_on=TODAY)
    second = a_return(session, again, returned_on=TODAY)
    with pytest.raises(RuleError, match="moved on"):
        strike_return(session, first.id, reason="a mistake", now=now)
    strike_return(session, second.id, reason="a mistake", now=now)
    with pytest.raises(RuleError, match="struck out already"):
        strike_return(session, second.id, reason="a mistake", now=now)


def test_a_return_is_not_struck_out_once_the_set_was_split(session: Session, now: datetime) -> None:
    piece, sale = a_sold_piece(session, count=2)
    came_back = a_return(session, sale)
    parts = (SplitPart("One", 1, 1), SplitPart("Other", 1, 1))
    split_off(session, piece.id, parts, cents=40_00, minutes=0, on_date=TODAY, version=None, now=now)
    with pytest.raises(RuleError, match="was split"):
        strike_return(session, came_back.id, reason="a mistake", now=now)


def test_a_split_made_before_the_sale_does_not_hold_a_return_of_the_same_day(session: Session, now: datetime) -> None:
    pair = a_piece(session, count=2)
    parts = [SplitPart("", 1, 1), SplitPart("", 1, 1)]
    split_off(session, pair.id, parts, cents=40_00, minutes=0, on_date=TODAY, version=None, now=now)
    sale = a_sale(session, pair, sold_on=TODAY, now=now + timedelta(minutes=1))
    came_back = a_return(session, sale, returned_on=TODAY, now=now + timedelta(minutes=2))

    strike_return(session, came_back.id, reason="Another piece", now=now + timedelta(minutes=3))

    assert pair.stage is Stage.SOLD


def test_striking_out_a_return_asks_for_a_reason(session: Session, now: datetime) -> None:
    _piece, sale = a_sold_piece(session)
    came_back = a_return(session, sale)
    with pytest.raises(RuleError) as refusal:
        strike_return(session, came_back.id, reason="", now=now)
    assert refusal.value.field == "reason"
    with pytest.raises(NotFound):
        strike_return(session, 99, reason="a mistake", now=now)


def test_a_piece_that_came_back_steps_back_like_any_other(session: Session, now: datetime) -> None:
    piece, sale = a_sold_piece(session)
    a_return(session, sale)
    step_back(session, piece.id, Stage.PREPPED, on_date=TODAY, reason="scratched", version=None, now=now)
    assert piece.stage is Stage.PREPPED


def test_of_two_sales_at_once_one_wins_and_the_other_is_told_plainly(
    ledger: Ledger, session: Session, data_dir: Path, now: datetime
) -> None:
    piece_id = a_listed_piece(session).id
    session.commit()
    outcomes: list[object] = []
    ready = threading.Barrier(2)

    def sell(number: int) -> None:
        own = Ledger(make_engine(f"sqlite:///{data_dir / 'ledger.sqlite'}"))
        ready.wait()
        try:
            with own.writing() as working:
                new = NewSale(piece_id, SOLD, None, 100_00 + number)
                outcomes.append(record_sale(working, new, capture_id=f"buyer {number}", now=now).id)
        except (RuleError, LedgerTrouble) as refusal:
            outcomes.append(refusal)
        finally:
            own.close()

    sellers = [threading.Thread(target=sell, args=(number,)) for number in range(2)]
    for seller in sellers:
        seller.start()
    for seller in sellers:
        seller.join()

    refusals = [outcome for outcome in outcomes if not isinstance(outcome, int)]
    assert [type(refusal) for refusal in refusals] == [AlreadySold]
    with ledger.reading() as reading:
        assert len(reading.scalars(select(Sale)).all()) == 1
        assert piece_row(reading, piece_id).stage is Stage.SOLD
