"""Putting a haul right as a whole: a new version of its split, until a piece of it is gone or its month is closed."""

from dataclasses import replace
from datetime import date, timedelta

import pytest
from sqlalchemy.orm import Session

from app.basics.errors import RuleError, StaleEdit
from app.pieces.actions import bring_back, correct_facts, correct_haul, leave, split_off, step_forward
from app.pieces.models import Haul, Piece
from app.pieces.queries import haul_sheet
from app.pieces.rules import HaulCorrection, Leaving, SplitMethod, SplitPart, Stage
from app.reports.queries import profit_of_piece, prove_ledger, stock_of_piece
from app.sales.actions import strike_sale
from tests.builders.pieces import NOW, a_haul, a_source, some_facts
from tests.builders.sales import a_return, a_sale


def october(day: int) -> date:
    return date(2026, 10, day)


def right_haul(**said: object) -> HaulCorrection:
    terms: dict[str, object] = {
        "source_id": None,
        "bought_on": october(1),
        "price_cents": 9_000,
        "premium_cents": 100,
        "tax_cents": 10,
        "split": SplitMethod.EQUAL,
        "reason": "forgot the tax",
        **said,
    }
    return HaulCorrection(**terms)  # type: ignore[arg-type]


def test_a_haul_put_right_strikes_every_share_and_enters_it_again(session: Session) -> None:
    haul, sale = a_haul(session, price_cents=10_000), a_source(session)
    correct_haul(session, haul.id, right_haul(source_id=sale.id), version=haul.version, now=NOW)
    sheet = haul_sheet(session, haul.id)
    assert [share.purchase.total_cents for share in sheet.shares] == [3_038, 3_036, 3_036]
    assert [share.purchase.struck_reason for share in sheet.earlier[0].shares] == ["forgot the tax"] * 3
    assert {share.piece.source_name for share in sheet.shares} == {"estate sale"}
    assert (sheet.haul.total_cents, sheet.total_cents) == (9_110, 9_110)


def test_a_haul_put_right_by_hand_takes_the_amount_of_each_piece(session: Session) -> None:
    haul = a_haul(session)
    ids = [share.piece.id for share in haul_sheet(session, haul.id).shares]
    amounts = dict(zip(ids, (5_000, 3_000, 1_000), strict=True))
    correction = right_haul(split=SplitMethod.BY_HAND, amounts=amounts)
    correct_haul(session, haul.id, correction, version=None, now=NOW)
    assert [share.purchase.price_cents for share in haul_sheet(session, haul.id).shares] == [5_000, 3_000, 1_000]
    short = right_haul(split=SplitMethod.BY_HAND, amounts={**amounts, ids[0]: 4_000})
    with pytest.raises(RuleError, match=r"10\.00 is still missing"):
        correct_haul(session, haul.id, short, version=None, now=NOW)


def test_a_haul_whose_shares_alone_changed_is_noticed_by_an_older_form(session: Session) -> None:
    haul = a_haul(session, price_cents=600, split=SplitMethod.BY_HAND, amounts=(100, 200, 300))
    ids = [share.piece.id for share in haul_sheet(session, haul.id).shares]
    same = right_haul(price_cents=600, premium_cents=0, tax_cents=0, split=SplitMethod.BY_HAND)
    old = haul.version
    for shares in ((300, 200, 100), (200, 200, 200)):
        correction = replace(same, amounts=dict(zip(ids, shares, strict=True)))
        correct_haul(session, haul.id, correction, version=None, now=NOW)
    assert haul.version == old + 2


def test_a_haul_put_right_to_another_day_dates_all_its_pieces(session: Session) -> None:
    haul = a_haul(session, bought_on=october(5))
    correct_haul(session, haul.id, right_haul(bought_on=october(2)), version=None, now=NOW)
    sheet = haul_sheet(session, haul.id)
    assert {(share.piece.sourced_on, share.purchase.on_date) for share in sheet.shares} == {(october(2), october(2))}
    assert [version.bought_on for version in sheet.versions] == [october(2), october(5)]


def test_a_haul_is_not_dated_after_the_first_step_of_a_piece(session: Session) -> None:
    haul = a_haul(session, bought_on=october(5))
    first = haul_sheet(session, haul.id).shares[0].piece
    step_forward(session, first.id, Stage.PREPPED, on_date=october(6), version=None, now=NOW)
    with pytest.raises(RuleError, match=first.tag) as refusal:
        correct_haul(session, haul.id, right_haul(bought_on=october(7)), version=None, now=NOW)
    assert refusal.value.field == "bought_on"


def test_a_haul_stands_once_a_piece_of_it_is_sold_until_the_sale_is_struck_out(session: Session) -> None:
    haul = a_haul(session)  # 100.00 by guesses of 200, 100 and 50
    first = haul_sheet(session, haul.id).shares[0].piece
    sale = a_sale(session, session.get_one(Piece, first.id), sold_on=october(9), price_cents=150_00)
    before = haul_sheet(session, haul.id)
    with pytest.raises(RuleError, match=rf"{first.name} \({first.tag}\) is sold; .* strike its sale out first"):
        correct_haul(session, haul.id, right_haul(), version=None, now=NOW)
    assert haul_sheet(session, haul.id) == before
    assert profit_of_piece(session, first.id).profit == 150_00 - 57_14
    strike_sale(session, sale.id, reason="to share anew", now=NOW)
    correct_haul(session, haul.id, right_haul(premium_cents=0, tax_cents=0), version=None, now=NOW)
    a_sale(session, session.get_one(Piece, first.id), sold_on=october(9), price_cents=150_00)
    assert profit_of_piece(session, first.id).profit == 150_00 - 30_00
    assert [finding for finding in prove_ledger(session, date(2026, 11, 25)) if not finding.holds] == []


def test_a_haul_stands_while_a_piece_of_it_has_left(session: Session) -> None:
    haul = a_haul(session)
    kept = haul_sheet(session, haul.id).shares[1].piece
    leave(session, kept.id, Leaving.KEPT, on_date=october(9), reason="", version=None, now=NOW)
    with pytest.raises(RuleError, match=rf"\({kept.tag}\) has left \(kept\); .* bring it back first"):
        correct_haul(session, haul.id, right_haul(), version=None, now=NOW)
    bring_back(session, kept.id, on_date=october(10), reason="no room", version=None, now=NOW)
    correct_haul(session, haul.id, right_haul(), version=None, now=NOW)
    assert stock_of_piece(session, kept.id) == 3_036


def test_a_sold_piece_that_came_back_lets_its_haul_be_shared_anew(session: Session) -> None:
    haul = a_haul(session)
    first = haul_sheet(session, haul.id).shares[0].piece
    a_return(session, a_sale(session, session.get_one(Piece, first.id), sold_on=october(9)))
    correct_haul(session, haul.id, right_haul(premium_cents=0, tax_cents=0), version=None, now=NOW)
    assert stock_of_piece(session, first.id) == 30_00
    assert [finding for finding in prove_ledger(session, date(2026, 11, 25)) if not finding.holds] == []


def test_every_split_of_a_haul_stays_to_be_seen_with_its_day_its_way_and_why_it_was_replaced(session: Session) -> None:
    haul = a_haul(session, price_cents=600, split=SplitMethod.GUESS, amounts=(100, 200, 300), now=NOW)
    ids = [share.piece.id for share in haul_sheet(session, haul.id).shares]
    same = right_haul(price_cents=600, premium_cents=0, tax_cents=0)
    by_hand = replace(same, split=SplitMethod.BY_HAND, amounts=dict(zip(ids, (50, 250, 300), strict=True)))
    correct_haul(session, haul.id, replace(by_hand, reason="guessed badly"), version=None, now=NOW)
    correct_haul(session, haul.id, replace(same, reason="simpler"), version=None, now=NOW + timedelta(days=1))
    versions = haul_sheet(session, haul.id).versions
    assert [version.number for version in versions] == [3, 2, 1]
    assert [version.method for version in versions] == [SplitMethod.EQUAL, SplitMethod.BY_HAND, SplitMethod.GUESS]
    assert [version.reason for version in versions] == [None, "simpler", "guessed badly"]
    assert [version.made_at for version in versions] == [NOW + timedelta(days=1), NOW, NOW]
    assert [[share.purchase.price_cents for share in version.shares] for version in versions] == [
        [200, 200, 200],
        [50, 250, 300],
        [100, 200, 300],
    ]


def test_a_haul_stands_once_a_piece_of_it_is_split(session: Session) -> None:
    haul = a_haul(session)
    piece = session.get_one(Piece, haul_sheet(session, haul.id).shares[1].piece.id)
    correct_facts(session, piece.id, some_facts(count=2), version=None, now=NOW)
    parts = [SplitPart("A", 1, 1), SplitPart("B", 1, 1)]
    split_off(session, piece.id, parts, cents=10, minutes=0, on_date=october(9), version=None, now=NOW)
    with pytest.raises(RuleError, match="stand as they are"):
        correct_haul(session, haul.id, right_haul(), version=None, now=NOW)
    assert piece.tag in haul_sheet(session, haul.id).fixed_by


def test_a_haul_put_right_on_an_older_version_changes_nothing(session: Session) -> None:
    haul = a_haul(session)
    old = haul.version
    correct_haul(session, haul.id, right_haul(), version=old, now=NOW)
    with pytest.raises(StaleEdit) as clash:
        correct_haul(session, haul.id, right_haul(price_cents=1), version=old, now=NOW)
    assert clash.value.now_values["Price"] == "90.00"
    assert session.get_one(Haul, haul.id).price_cents == 9_000
