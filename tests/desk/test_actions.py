"""Acts that span rooms: they hold together or do not happen."""

from datetime import date, datetime

import pytest
from sqlalchemy import func, select
from sqlalchemy.orm import Session

from app.basics.errors import RuleError, StaleEdit
from app.basics.quantities import Units
from app.database.unit_of_work import Ledger
from app.desk.actions import enter_owned_pieces, leave_piece, open_shop, split_set, step_back_piece
from app.desk.rules import OwnedNow, SplitBy, WishedPart, WishedSplit
from app.floor.actions import hold_piece
from app.floor.queries import channels, listings_of, open_listing
from app.floor.rules import DEFAULT_CHANNELS
from app.pieces.models import Piece
from app.pieces.queries import piece_row, sources, transfers_of
from app.pieces.rules import DEFAULT_SOURCES, Facts, Form, Leaving, OwnedPiece, Stage
from app.reports.queries import prove_ledger, sitting, stock_of_piece
from app.shop.rules import ShopFacts
from app.timelog.queries import minutes_of
from tests.builders.costs import a_cost
from tests.builders.floor import a_channel, a_listed_piece
from tests.builders.pieces import a_piece
from tests.builders.timelog import a_time

TODAY = date(2026, 11, 25)


def what_is_wrong(session: Session) -> list[str]:
    """The proofs of the ledger that do not hold."""
    return [finding.name for finding in prove_ledger(session, TODAY) if not finding.holds]


def owned(
    row: int,
    *,
    sourced_on: date = date(2023, 6, 1),
    asking: int | None = None,
    cents: int = 2500,
    since: date | None = None,
) -> OwnedNow:
    stage = Stage.FINISHED if asking else Stage.PREPPED
    piece = OwnedPiece(Facts(form=Form.TABLE), stage, sourced_on, cents, since=since)
    return OwnedNow(row, piece, asking)


def test_a_new_shop_knows_the_usual_sources_and_channels(ledger: Ledger, now: datetime) -> None:
    facts = ShopFacts("Bent Nail", "USD", "America/Denver", Units.IMPERIAL, TODAY)
    with ledger.writing() as session:
        open_shop(session, facts, now=now)
    with ledger.reading() as session:
        assert {(row.name, row.is_free) for row in sources(session)} == set(DEFAULT_SOURCES)
        assert len(channels(session)) == len(DEFAULT_CHANNELS)


def test_a_shop_is_opened_once(session: Session, now: datetime) -> None:
    with pytest.raises(RuleError, match="set up already"):
        open_shop(session, ShopFacts("Twice", "USD", "America/Denver", Units.IMPERIAL, TODAY), now=now)
    assert session.scalar(select(func.count(Piece.id))) == 0


def test_stepping_back_from_the_floor_ends_the_listing_and_its_hold(session: Session, now: datetime) -> None:
    piece = a_listed_piece(session)
    hold_piece(session, piece.id, held_for="Ana", until=TODAY, note="", now=now)
    step_back_piece(
        session, piece.id, Stage.PREPPED, on_date=TODAY, reason="another colour", version=piece.version, now=now
    )
    assert piece.stage is Stage.PREPPED
    assert open_listing(session, piece.id) is None
    ended = listings_of(session, piece.id)[-1]
    assert (ended.ended_on, ended.ended_by) == (TODAY, "step_back")


def test_stepping_back_needs_its_reason_and_leaves_the_listing_alone_without(session: Session, now: datetime) -> None:
    piece = a_listed_piece(session)
    with pytest.raises(RuleError) as refusal:
        step_back_piece(session, piece.id, Stage.PREPPED, on_date=TODAY, reason=" ", version=None, now=now)
    assert refusal.value.field == "reason"
    assert open_listing(session, piece.id) is not None


def test_an_older_version_is_refused(session: Session, now: datetime) -> None:
    piece = a_piece(session, stage=Stage.FINISHED)
    with pytest.raises(StaleEdit):
        step_back_piece(
            session, piece.id, Stage.SOURCED, on_date=TODAY, reason="no", version=piece.version - 1, now=now
        )


@pytest.mark.parametrize("how", Leaving)
def test_leaving_takes_it_off_the_floor_and_out_of_stock(session: Session, now: datetime, how: Leaving) -> None:
    piece = a_listed_piece(session, price_cents=4000)
    leave_piece(session, piece.id, how, on_date=TODAY, reason="", version=None, now=now)
    assert piece.left_as is how
    assert open_listing(session, piece.id) is None
    assert stock_of_piece(session, piece.id) == 0
    assert what_is_wrong(session) == []


def test_what_is_owned_at_the_start_stands_at_its_cost_and_stage(session: Session, now: datetime) -> None:
    made = enter_owned_pieces(session, [owned(1), owned(3, cents=0)], channel_ids=(), capture_id="form", now=now)
    assert [stock_of_piece(session, piece.id) for piece in made] == [2500, 0]
    assert {piece.stage for piece in made} == {Stage.PREPPED}
    assert what_is_wrong(session) == []


def test_a_form_of_owned_pieces_that_lost_its_number_is_refused(session: Session, now: datetime) -> None:
    with pytest.raises(RuleError, match="lost its number"):
        enter_owned_pieces(session, [owned(1)], channel_ids=(), capture_id="", now=now)


@pytest.mark.parametrize("since", [date(2023, 7, 15), date(2024, 3, 1), None])
def test_an_owned_piece_with_a_price_is_on_the_floor_since_its_day(
    session: Session, now: datetime, since: date | None
) -> None:
    channel = a_channel(session)
    [piece] = enter_owned_pieces(
        session,
        [owned(1, asking=9900, since=since)],
        channel_ids=[channel.id],
        capture_id="form",
        now=now,
    )
    listing = open_listing(session, piece.id)
    assert listing is not None
    day = since or date(2023, 6, 1)
    assert (piece.stage, piece.stage_since, listing.listed_on) == (Stage.LISTED, day, day)
    assert [(price.on_date, price.cents) for price in listing.prices] == [(day, 9900)]
    assert [row.days for row in sitting(session, TODAY, 60)] == [(TODAY - day).days]
    assert what_is_wrong(session) == []


@pytest.mark.parametrize("since", [date(2023, 5, 31), date(2026, 11, 26)])
def test_a_row_came_so_far_neither_before_it_was_found_nor_in_days_to_come(
    session: Session, now: datetime, since: date
) -> None:
    with pytest.raises(RuleError) as refusal:
        enter_owned_pieces(session, [owned(2, since=since)], channel_ids=(), capture_id="form", now=now)
    assert refusal.value.field == "piece_2_since"


def test_the_same_rows_sent_twice_make_one_piece_each(session: Session, now: datetime) -> None:
    for _ in range(2):
        enter_owned_pieces(session, [owned(1), owned(2)], channel_ids=(), capture_id="form", now=now)
    assert session.scalar(select(func.count(Piece.id))) == 2


def test_a_refused_row_is_named_and_points_to_its_own_field(session: Session, now: datetime) -> None:
    late = owned(4, sourced_on=date(2024, 5, 1))
    with pytest.raises(RuleError, match=r"^Piece 4: ") as refusal:
        enter_owned_pieces(session, [late], channel_ids=(), capture_id="form", now=now)
    assert refusal.value.field == "piece_4_sourced_on"


def split(*parts: WishedPart, by: SplitBy = SplitBy.EACH, on: date = TODAY) -> WishedSplit:
    return WishedSplit(parts, by, on)


def test_a_split_set_shares_cost_and_hours_to_the_cent_and_the_minute(session: Session, now: datetime) -> None:
    chairs = a_piece(session, count=6, price_cents=10_000, title="Six chairs")
    a_cost(session, chairs.id, amount_cents=1)
    a_time(session, chairs.id, minutes=100)
    made = split_set(session, chairs.id, split(WishedPart("", 2), WishedPart("Four", 4)), now=now)
    assert [stock_of_piece(session, piece.id) for piece in made] == [3334, 6667]
    assert sum(minutes_of(session, [piece.id for piece in made]).values()) == 100
    assert [piece.count for piece in made] == [2, 4]
    assert [row.cents for row in transfers_of(session, made[1].id)] == [6667]
    assert what_is_wrong(session) == []


def test_a_split_by_worth_gives_the_dearer_part_more(session: Session, now: datetime) -> None:
    suite = a_piece(session, count=2, price_cents=5000)
    made = split_set(
        session, suite.id, split(WishedPart("", 1, 9000), WishedPart("Stool", 1, 1000), by=SplitBy.WORTH), now=now
    )
    assert [stock_of_piece(session, piece.id) for piece in made] == [4500, 500]


def test_a_split_part_stands_where_the_set_stood(session: Session, now: datetime) -> None:
    suite = a_piece(session, count=2, stage=Stage.PREPPED)
    made = split_set(session, suite.id, split(WishedPart("", 1), WishedPart("", 1)), now=now)
    assert {piece_row(session, piece.id).stage for piece in made} == {Stage.PREPPED}
    assert made[0].id == suite.id


def test_a_set_cannot_be_split_before_the_newest_cost_it_shares(session: Session, now: datetime) -> None:
    suite = a_piece(session, count=2)
    a_cost(session, suite.id, on_date=date(2026, 11, 20))
    early = split(WishedPart("", 1), WishedPart("", 1), on=date(2026, 11, 19))
    with pytest.raises(RuleError, match="newest cost") as refusal:
        split_set(session, suite.id, early, now=now)
    assert refusal.value.field == "on_date"


def test_parts_that_do_not_make_the_set_are_refused(session: Session, now: datetime) -> None:
    chairs = a_piece(session, count=6)
    with pytest.raises(RuleError, match="add up to 5"):
        split_set(session, chairs.id, split(WishedPart("", 2), WishedPart("", 3)), now=now)
    assert transfers_of(session, chairs.id) == []
