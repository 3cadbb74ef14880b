"""Enter pieces: finds, hauls, opening stock; each once, to the cent, with its first step."""

from datetime import UTC, date, datetime
from uuid import uuid4

import pytest
from sqlalchemy import func, select
from sqlalchemy.orm import Session

from app.basics.errors import RuleError, StaleEdit
from app.basics.words import fold
from app.pieces.actions import add_source, correct_source, enter_owned, log_find, log_haul
from app.pieces.models import Haul, Piece, Purchase, Source
from app.pieces.queries import haul_sheet, purchases_of, sources, steps_of
from app.pieces.rules import (
    Age,
    Facts,
    Form,
    HaulPart,
    NewFind,
    NewHaul,
    OwnedPiece,
    PurchaseKind,
    SplitMethod,
    Stage,
    StepKind,
    is_fit_tag,
)
from tests.builders.pieces import FOUND, NOW, a_haul, a_piece, a_source, an_owned_piece, some_facts


def how_many(session: Session, table: type[Piece] | type[Haul] | type[Purchase]) -> int:
    return session.scalar(select(func.count()).select_from(table)) or 0


def test_a_find_is_kept_with_its_purchase_and_first_step(session: Session) -> None:
    source = a_source(session)
    facts = Facts(Form.TABLE, "Drop-leaf", count=1, width_mm=900, age=Age.BEFORE_1978, year=1950, notes="wobbly")
    piece = log_find(session, NewFind(facts, source.id, FOUND, 4_000, 600, 120), capture_id=str(uuid4()), now=NOW)
    assert is_fit_tag(piece.tag)
    assert (piece.stage, piece.stage_since, piece.sourced_on) == (Stage.SOURCED, FOUND, FOUND)
    (paid,) = purchases_of(session, piece.id)
    assert (paid.kind, paid.on_date, paid.total_cents) == (PurchaseKind.BOUGHT, FOUND, 4_720)
    (step,) = steps_of(session, piece.id)
    assert (step.kind, step.to_stage, step.on_date) == (StepKind.START, Stage.SOURCED, FOUND)
    assert fold(f"drop-leaf {piece.tag}") in piece.folded


def test_the_same_capture_sent_twice_makes_one_piece(session: Session) -> None:
    first = a_piece(session, capture_id="phone-1")
    again = a_piece(session, capture_id="phone-1", title="Something else")
    assert again.id == first.id
    assert how_many(session, Piece) == how_many(session, Purchase) == 1


def test_a_find_at_the_kerb_costs_nothing_and_says_so(session: Session) -> None:
    kerb = a_source(session, "kerb", is_free=True)
    piece = a_piece(session, source_id=kerb.id, price_cents=0)
    assert purchases_of(session, piece.id)[0].kind is PurchaseKind.FREE


@pytest.mark.parametrize("amount", ["price_cents", "premium_cents", "tax_cents"])
def test_money_for_a_find_at_the_kerb_is_refused(session: Session, amount: str) -> None:
    kerb = a_source(session, "kerb", is_free=True)
    amounts = {"price_cents": 0, "premium_cents": 0, "tax_cents": 0, amount: 1}
    with pytest.raises(RuleError, match="cost nothing") as refusal:
        log_find(session, NewFind(some_facts(), kerb.id, FOUND, **amounts), capture_id="kerb-1", now=NOW)
    assert refusal.value.field == "paid"


def test_a_piece_given_by_somebody_else_is_bought_for_nothing(session: Session) -> None:
    piece = a_piece(session, source_id=a_source(session).id, price_cents=0)
    assert purchases_of(session, piece.id)[0].kind is PurchaseKind.BOUGHT


def test_the_future_begins_at_midnight_in_the_shops_zone(session: Session) -> None:
    # 05:30 UTC on the 26th is still the 25th in Denver.
    evening = datetime(2026, 11, 26, 5, 30, tzinfo=UTC)
    assert a_piece(session, bought_on=date(2026, 11, 25), now=evening)
    with pytest.raises(RuleError, match="has not come yet") as refusal:
        a_piece(session, bought_on=date(2026, 11, 26), now=evening)
    assert refusal.value.field == "bought_on"


def test_a_place_that_is_not_there_is_refused(session: Session) -> None:
    with pytest.raises(RuleError) as refusal:
        a_piece(session, source_id=99)
    assert refusal.value.field == "source"


def test_a_haul_becomes_pieces_whose_shares_add_up(session: Session) -> None:
    haul = a_haul(session, price_cents=10_000, premium_cents=1_500, tax_cents=333)
    sheet = haul_sheet(session, haul.id)
    assert [share.purchase.price_cents for share in sheet.shares] == [5_714, 2_857, 1_429]
    assert [share.purchase.guess_cents for share in sheet.shares] == [20_000, 10_000, 5_000]
    assert (sheet.price_cents, sheet.premium_cents, sheet.tax_cents) == (10_000, 1_500, 333)
    assert len({share.piece.tag for share in sheet.shares}) == 3
    assert all(share.piece.stage is Stage.SOURCED and share.piece.haul_id == haul.id for share in sheet.shares)


def test_a_haul_shared_equally_gives_the_odd_cents_to_the_first(session: Session) -> None:
    haul = a_haul(session, price_cents=100, split=SplitMethod.EQUAL, amounts=(None, None, None))
    assert [share.purchase.price_cents for share in haul_sheet(session, haul.id).shares] == [34, 33, 33]


def test_a_haul_by_hand_that_does_not_add_up_leaves_nothing_behind(session: Session) -> None:
    with pytest.raises(RuleError, match=r"0\.01 is still missing"):
        a_haul(session, price_cents=100, split=SplitMethod.BY_HAND, amounts=(50, 49))
    assert how_many(session, Haul) == how_many(session, Piece) == 0


def test_a_haul_from_the_kerb_is_free_for_each_piece(session: Session) -> None:
    kerb = a_source(session, "kerb", is_free=True)
    haul = a_haul(session, price_cents=0, source_id=kerb.id, split=SplitMethod.EQUAL, amounts=(None, None))
    assert {share.purchase.kind for share in haul_sheet(session, haul.id).shares} == {PurchaseKind.FREE}
    with pytest.raises(RuleError, match="cost nothing"):
        a_haul(session, price_cents=5, source_id=kerb.id)


def test_the_same_haul_sent_twice_is_one_haul(session: Session) -> None:
    parts = (HaulPart(some_facts(), 5), HaulPart(some_facts(), 6))
    new = NewHaul(None, FOUND, 100, 0, 0, SplitMethod.GUESS, parts)
    first = log_haul(session, new, capture_id="haul-1", now=NOW)
    assert log_haul(session, new, capture_id="haul-1", now=NOW).id == first.id
    assert how_many(session, Piece) == 2


def test_a_wrong_piece_of_a_haul_is_named(session: Session) -> None:
    parts = (HaulPart(some_facts(), 5), HaulPart(some_facts(title="x" * 500), 6))
    new = NewHaul(None, FOUND, 100, 0, 0, SplitMethod.GUESS, parts)
    with pytest.raises(RuleError, match="Piece 2: This is 500 characters long"):
        log_haul(session, new, capture_id="haul-1", now=NOW)


def test_opening_stock_is_dated_to_the_first_day_of_the_books(session: Session) -> None:
    piece = an_owned_piece(session, stage=Stage.FINISHED, sourced_on=date(2023, 11, 4), cost_cents=2_500)
    (paid,) = purchases_of(session, piece.id)
    assert (paid.kind, paid.on_date, paid.total_cents) == (PurchaseKind.OPENING, date(2024, 1, 1), 2_500)
    assert [(step.kind, step.to_stage, step.on_date) for step in steps_of(session, piece.id)] == [
        (StepKind.START, Stage.SOURCED, date(2023, 11, 4)),
        (StepKind.FORWARD, Stage.FINISHED, date(2023, 11, 4)),
    ]
    assert (piece.stage, piece.stage_since) == (Stage.FINISHED, date(2023, 11, 4))


def test_opening_stock_came_so_far_on_its_own_day_before_or_after_the_books_began(session: Session) -> None:
    for since in (date(2023, 12, 1), date(2025, 3, 1)):
        piece = an_owned_piece(session, stage=Stage.FINISHED, since=since)
        assert (piece.stage_since, steps_of(session, piece.id)[-1].on_date) == (since, since)


def test_opening_stock_only_found_has_no_later_day(session: Session) -> None:
    with pytest.raises(RuleError) as refusal:
        an_owned_piece(session, since=date(2024, 1, 1))
    assert refusal.value.field == "since"


def test_opening_stock_just_sourced_has_one_step(session: Session) -> None:
    piece = an_owned_piece(session)
    assert [step.kind for step in steps_of(session, piece.id)] == [StepKind.START]
    assert piece.stage_since == date(2023, 11, 4)


def test_opening_stock_sent_twice_is_one_piece(session: Session) -> None:
    owned = OwnedPiece(some_facts(), Stage.SOURCED, date(2023, 5, 5), 10)
    first = enter_owned(session, owned, capture_id="owned-1", now=NOW)
    assert enter_owned(session, owned, capture_id="owned-1", now=NOW).id == first.id


def test_a_piece_found_after_the_books_began_is_no_opening_stock(session: Session) -> None:
    with pytest.raises(RuleError, match="Log a piece found after that as a find"):
        an_owned_piece(session, sourced_on=date(2024, 1, 2))


def test_a_source_is_added_once_whatever_its_capitals(session: Session) -> None:
    a_source(session, "Estate sale")
    with pytest.raises(RuleError, match="There is a place called Estate sale already") as refusal:
        add_source(session, "  estate  SALE ")
    assert refusal.value.field == "name"
    with pytest.raises(RuleError, match="Give the place a name"):
        add_source(session, " ")


def test_a_source_put_away_is_no_longer_offered_but_stays(session: Session) -> None:
    source = a_source(session)
    piece = a_piece(session, source_id=source.id)
    correct_source(session, source.id, name="house clearance", is_free=False, is_put_away=True, version=source.version)
    assert sources(session) == []
    (row,) = sources(session, include_put_away=True)
    assert (row.name, row.pieces, row.is_put_away) == ("house clearance", 1, True)
    assert piece.source_id == source.id
    with pytest.raises(RuleError, match="It is put away"):
        add_source(session, "house clearance")


def test_a_source_changed_meanwhile_is_shown_as_it_is_now(session: Session) -> None:
    source = a_source(session)
    old = source.version
    correct_source(session, source.id, name="barn sale", is_free=False, is_put_away=False, version=old)
    with pytest.raises(StaleEdit) as clash:
        correct_source(session, source.id, name="other", is_free=False, is_put_away=False, version=old)
    assert clash.value.now_values["Name"] == "barn sale"
    assert session.get_one(Source, source.id).name == "barn sale"
