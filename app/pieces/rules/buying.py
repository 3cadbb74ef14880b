"""How pieces come in: a find, a haul shared over its pieces, and what was owned when the books began."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date
from types import MappingProxyType
from typing import Final

from app.basics.dates import day_in_words, require_not_future
from app.basics.errors import RuleError
from app.basics.money import money_plain, split_exactly
from app.pieces.rules.facts import Facts
from app.pieces.rules.kinds import PurchaseKind, SplitMethod, Stage
from app.pieces.rules.moves import HAND_STAGES

LONGEST_CAPTURE_ID: Final = 36
FEWEST_IN_HAUL: Final = 2
MOST_IN_HAUL: Final = 200

DEFAULT_SOURCES: Final[tuple[tuple[str, bool], ...]] = (
    ("Auction", False),
    ("Estate sale", False),
    ("House clearance", False),
    ("Thrift shop", False),
    ("Yard sale", False),
    ("Flea market", False),
    ("Local classifieds", False),
    ("Kerb", True),
    ("Given to me", True),
    ("Own home", False),
)
"""Kinds of places to start with, and whether pieces from there cost nothing."""


@dataclass(frozen=True)
class NewFind:
    """One piece as it was found, and what was paid for it, in cents."""

    facts: Facts
    source_id: int | None
    bought_on: date
    price_cents: int
    premium_cents: int = 0
    tax_cents: int = 0


@dataclass(frozen=True)
class HaulPart:
    """One piece of a haul: its facts, and the guess of its selling price or its share by hand, in cents."""

    facts: Facts
    guess_cents: int | None = None
    by_hand_cents: int | None = None


@dataclass(frozen=True)
class NewHaul:
    """Several pieces bought for one price, in cents, and how the price is shared over them."""

    source_id: int | None
    bought_on: date
    price_cents: int
    premium_cents: int
    tax_cents: int
    split: SplitMethod
    parts: tuple[HaulPart, ...]
    note: str = ""


@dataclass(frozen=True)
class HaulCorrection:
    """A haul as it should have been entered; `amounts` holds, by piece id, its guess or its share by hand."""

    source_id: int | None
    bought_on: date
    price_cents: int
    premium_cents: int
    tax_cents: int
    split: SplitMethod
    reason: str
    amounts: Mapping[int, int | None] = field(default_factory=lambda: MappingProxyType({}))
    note: str = ""


@dataclass(frozen=True)
class FromSource:
    """Where a piece is from after all; None when nobody knows."""

    source_id: int | None


@dataclass(frozen=True)
class OwnedPiece:
    """A piece owned when the books began: how far it had come and what it had cost so far, in cents.

    `since` is the day it came so far, which may be older than the books; None is the day it was found.
    """

    facts: Facts
    stage: Stage
    sourced_on: date
    cost_cents: int
    source_id: int | None = None
    since: date | None = None


@dataclass(frozen=True)
class Share:
    """What one piece of a haul cost, in cents."""

    price_cents: int
    premium_cents: int
    tax_cents: int


def require_capture_id(capture_id: str) -> None:
    """Refuse a missing or overlong capture id: a piece without one could be entered twice, or hide another."""
    if not 1 <= len(capture_id) <= LONGEST_CAPTURE_ID:
        raise RuleError("This form has lost its number, so nothing was saved. Open the page anew and save again.")


def require_amounts(price_cents: int, premium_cents: int, tax_cents: int) -> None:
    """Refuse an amount below zero."""
    for cents, at in ((price_cents, "paid"), (premium_cents, "premium"), (tax_cents, "tax")):
        if cents < 0:
            raise RuleError("What was paid is never below zero.", at)


def kind_of_purchase(total_cents: int, *, is_free_source: bool) -> PurchaseKind:
    """How a piece came; refuses, at "paid", money for a piece from a place that asks none.

    From any other place a price of nothing is a piece that was given, and counts as bought for nothing.
    """
    if not is_free_source:
        return PurchaseKind.BOUGHT
    if total_cents:
        raise RuleError(
            "Pieces from this place cost nothing. Leave the amounts empty, or choose another place.", "paid"
        )
    return PurchaseKind.FREE


def require_owned(owned: OwnedPiece, started_on: date, today: date) -> None:
    """Refuse opening stock that is listed or sold, costs below zero, or was found after the books began.

    Also, at "since", a day to come or before it was found, and a day of its own for a piece that is only found.
    """
    if owned.stage is Stage.SOLD:
        raise RuleError("A piece sold before your books began is not in your stock.", "stage")
    if owned.stage not in HAND_STAGES:
        raise RuleError("Enter it as finished first; listing it at a price puts it on the floor.", "stage")
    if owned.cost_cents < 0:
        raise RuleError("What it cost is never below zero.", "cost")
    require_not_future(owned.sourced_on, today, "sourced_on")
    if owned.sourced_on > started_on:
        raise RuleError(
            f"Your books began on {day_in_words(started_on)}. Log a piece found after that as a find.",
            "sourced_on",
        )
    _require_since(owned, today)


def _require_since(owned: OwnedPiece, today: date) -> None:
    since = owned.since or owned.sourced_on
    require_not_future(since, today, "since")
    if since < owned.sourced_on:
        raise RuleError(f"It was found on {day_in_words(owned.sourced_on)}, and came so far only after that.", "since")
    if owned.stage is Stage.SOURCED and since != owned.sourced_on:
        raise RuleError("A piece that is only sourced has been so since it was found. Leave this day empty.", "since")


def require_in_books(found_on: date, started_on: date, field: str) -> None:
    """Refuse, at `field`, a find from before the books began: it was owned already then."""
    if found_on < started_on:
        raise RuleError(
            f"Your books began on {day_in_words(started_on)}. Enter a piece you had before that under"
            " What you own already, in Settings.",
            field,
        )


def require_covers_parts(new_cents: int, old_cents: int, parted_cents: int) -> None:
    """Refuse, at "paid", to lower what was paid below the cost that went to other pieces when it was split."""
    if new_cents < old_cents and new_cents < parted_cents:
        raise RuleError(
            "When it was split, more than that went to the other pieces, so what was paid cannot become less.",
            "paid",
        )


def share_haul(
    price_cents: int,
    premium_cents: int,
    tax_cents: int,
    split: SplitMethod,
    amounts: Sequence[int | None],
    *,
    places: int,
) -> list[Share]:
    """Share price, premium and tax over the pieces, each adding up to the cent.

    `amounts` are the guesses or the shares by hand, one for each piece, in its order; premium and tax follow
    the same weights. Refuses, at "split", a missing amount, guesses that are all nothing, and shares by hand
    that do not add up to the price.
    """
    weights = _weights(split, amounts)
    if split is SplitMethod.BY_HAND:
        _require_adds_up(price_cents, weights, places)
        prices = weights
    else:
        prices = split_exactly(price_cents, weights)
    premiums = split_exactly(premium_cents, weights)
    taxes = split_exactly(tax_cents, weights)
    return [Share(*parts) for parts in zip(prices, premiums, taxes, strict=True)]


def method_of(prices: Sequence[int], guesses: Sequence[int | None]) -> SplitMethod:
    """How a price was shared, told from the shares: by the guesses kept with them, equally to the cent, or by hand."""
    if all(guess is not None for guess in guesses):
        return SplitMethod.GUESS
    is_equal = list(prices) == split_exactly(sum(prices), [1] * len(prices))
    return SplitMethod.EQUAL if is_equal else SplitMethod.BY_HAND


def _weights(split: SplitMethod, amounts: Sequence[int | None]) -> list[int]:
    if split is SplitMethod.EQUAL:
        return [1] * len(amounts)
    what = "your guess of its selling price" if split is SplitMethod.GUESS else "its share of the price"
    given = []
    for place, cents in enumerate(amounts, start=1):
        if cents is None or cents < 0:
            raise RuleError(f"Piece {place} needs {what}.", "split")
        given.append(cents)
    if split is SplitMethod.GUESS and not any(given):
        raise RuleError("At least one guess must be more than nothing; or share the price equally.", "split")
    return given


def _require_adds_up(price_cents: int, shares: Sequence[int], places: int) -> None:
    total = sum(shares)
    if total == price_cents:
        return
    gap = money_plain(abs(price_cents - total), places)
    way = "too much" if total > price_cents else "still missing"
    raise RuleError(
        f"The shares add up to {money_plain(total, places)}, but the price is"
        f" {money_plain(price_cents, places)}: {gap} is {way}.",
        "split",
    )


def require_parts(count: int) -> None:
    """Refuse a haul of one piece, which is a find, and one of more pieces than a form can hold."""
    if count < FEWEST_IN_HAUL:
        raise RuleError("A haul has at least two pieces. Log a single one as a find.", "parts")
    if count > MOST_IN_HAUL:
        raise RuleError(f"Enter at most {MOST_IN_HAUL} pieces at once.", "parts")
