"""The shop's facts are written once and put right with care."""

from dataclasses import replace
from datetime import date, datetime

import pytest
from sqlalchemy.orm import Session

from app.basics.errors import RuleError, StaleEdit
from app.shop.actions import correct_shop, set_up_shop
from app.shop.queries import shop_facts
from app.shop.rules import CurrencyIsFixed, ShopFacts
from tests.conftest import SHOP


def test_a_shop_is_set_up_once(session: Session, now: datetime) -> None:
    with pytest.raises(RuleError, match="set up already"):
        set_up_shop(session, SHOP, now=now)


@pytest.mark.parametrize(
    ("wrong", "field"),
    [
        ({"name": ""}, "name"),
        ({"currency": "ZZZ"}, "currency"),
        ({"time_zone": "Nowhere/Atoll"}, "time_zone"),
        ({"started_on": date(2026, 11, 26)}, "started_on"),
        ({"sits_too_long_days": 0}, "sits_too_long_days"),
    ],
)
def test_unsound_facts_are_refused_at_their_field(
    session: Session, now: datetime, wrong: dict[str, object], field: str
) -> None:
    facts = replace(_facts(session), **wrong)  # type: ignore[arg-type]
    with pytest.raises(RuleError) as refusal:
        correct_shop(session, facts, now=now)
    assert refusal.value.field == field


def test_the_name_can_be_put_right(session: Session, now: datetime) -> None:
    correct_shop(session, replace(_facts(session), name="Straight Nail"), now=now)
    assert _facts(session).name == "Straight Nail"


def test_the_currency_is_fixed(session: Session, now: datetime) -> None:
    with pytest.raises(CurrencyIsFixed):
        correct_shop(session, replace(_facts(session), currency="EUR"), now=now)


def test_a_stale_edit_says_what_stands_there_now(session: Session, now: datetime) -> None:
    seen = _facts(session)
    correct_shop(session, replace(seen, name="First"), now=now)
    with pytest.raises(StaleEdit) as clash:
        correct_shop(session, replace(seen, name="Second"), now=now)
    assert clash.value.now_values["Name"] == "First"


def _facts(session: Session) -> ShopFacts:
    facts = shop_facts(session)
    assert facts is not None
    return facts
