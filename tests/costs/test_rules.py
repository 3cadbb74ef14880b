"""What a cost line may be."""

from dataclasses import replace
from datetime import date

import pytest

from app.basics.errors import RuleError
from app.costs.rules import (
    COST_WORDS,
    PIECE_KINDS,
    SHOP_KINDS,
    CostKind,
    NewCost,
    kinds_for,
    require_sound,
)

TODAY = date(2026, 11, 25)
BEGIN = date(2024, 1, 1)
COST = NewCost(piece_id=1, kind=CostKind.HARDWARE, amount_cents=1250, on_date=TODAY)


def refusal_of(new: NewCost) -> RuleError:
    with pytest.raises(RuleError) as refused:
        require_sound(new, today=TODAY, books_begin=BEGIN)
    return refused.value


def test_a_plain_cost_is_sound() -> None:
    require_sound(COST, today=TODAY, books_begin=BEGIN)
    require_sound(replace(COST, on_date=BEGIN), today=TODAY, books_begin=BEGIN)
    require_sound(replace(COST, piece_id=None, kind=CostKind.RENT), today=TODAY, books_begin=None)


@pytest.mark.parametrize("cents", [0, -1])
def test_an_amount_of_nothing_or_less_is_no_cost(cents: int) -> None:
    assert refusal_of(replace(COST, amount_cents=cents)).field == "amount"


def test_a_piece_pays_no_rent_and_the_shop_fetches_nothing() -> None:
    assert refusal_of(replace(COST, kind=CostKind.RENT)).message.startswith("Rent is no cost of a piece")
    refused = refusal_of(replace(COST, piece_id=None, kind=CostKind.PICKUP))
    assert (refused.field, refused.message.startswith("Fetching it is no cost of the shop")) == ("kind", True)


def test_a_cost_in_the_future_or_before_the_books_begin_is_refused() -> None:
    assert refusal_of(replace(COST, on_date=date(2026, 11, 26))).message == "26 November 2026 has not come yet."
    refused = refusal_of(replace(COST, on_date=date(2023, 12, 31)))
    assert (refused.field, "the day your books begin" in refused.message) == ("on_date", True)


def test_every_kind_has_its_words_and_its_place() -> None:
    assert set(COST_WORDS) == set(CostKind) == set(PIECE_KINDS) | set(SHOP_KINDS)
    assert kinds_for(1) == PIECE_KINDS
    assert kinds_for(None) == SHOP_KINDS
