"""What may be asked, held and taken by a channel."""

from bisect import bisect_left
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from enum import StrEnum
from fractions import Fraction
from math import ceil
from typing import Final

from app.basics.dates import day_in_words, require_not_before, require_not_future
from app.basics.errors import RuleError
from app.basics.money import PERCENT_WHOLE, half_up, percent_of
from app.pieces.rules import LEAVING_WORDS, CannotMove, Leaving, Stage

DEFAULT_CHANNELS: Final[tuple[tuple[str, int | None, int | None], ...]] = (
    ("local classifieds", None, None),
    ("own shop window", None, None),
    ("word of mouth", None, None),
    ("market stall", None, None),
    ("online marketplace", None, None),
    ("consignment shop", None, None),
)
"""Channels a new shop begins with: name, hundredths of a percent, fixed cents. What each takes is not said, as
it is settled with every place anew; the owner fills it in."""


LISTING_LIMIT: Final = 10_000
"""How many letters the words a piece is offered with have at most."""

CARE_LIMIT: Final = 600
"""How many letters the owner's own note on care has at most: so many fit the smallest tag that carries one."""


class Ending(StrEnum):
    """What ended a spell on the floor."""

    SALE = "sale"
    STEP_BACK = "step_back"
    LEAVING = "leaving"


class FloorOrder(StrEnum):
    """The order in which the floor is looked at."""

    LONGEST = "longest"
    NEWEST = "newest"
    DEAREST = "dearest"
    CHEAPEST = "cheapest"


FLOOR_ORDER_WORDS: Final[dict[FloorOrder, str]] = {
    FloorOrder.LONGEST: "Longest",
    FloorOrder.NEWEST: "Newest",
    FloorOrder.DEAREST: "Dearest",
    FloorOrder.CHEAPEST: "Cheapest",
}


def fee_proposed(price_cents: int, percent_hundredths: int, fixed_cents: int) -> int:
    """What a channel takes of a price, in cents: percentage rounded half-up plus the fixed fee.

    Never more than the price itself. Refuses anything below zero (ValueError).
    """
    if min(price_cents, percent_hundredths, fixed_cents) < 0:
        raise ValueError("A fee is worked out of amounts that are not below zero.")
    return min(price_cents, percent_of(price_cents, percent_hundredths) + fixed_cents)


def price_after_fees(net_wanted: int, percent: float | Decimal, fixed: int) -> int:
    """The smallest price in cents that leaves `net_wanted` once the fees are taken; 13 means 13 percent.

    Fees are the percentage rounded half-up to the cent, plus `fixed`. Refuses 100 percent and more, anything
    below zero and what is not a finite number (ValueError). A binary fraction is read as it prints.
    """
    exact = Decimal(str(percent))
    if not exact.is_finite():
        raise ValueError("Only a finite percentage can be worked with.")
    if min(net_wanted, fixed) < 0 or exact < 0:
        raise ValueError("What is wanted and what is taken are never below zero.")
    share = Fraction(exact) / 100
    if share >= 1:
        raise ValueError("No price survives a fee of 100 percent or more.")
    wanted = net_wanted + fixed
    # One cent more of price never leaves less, so the first price that leaves enough can be searched for.
    enough = ceil((wanted + 1) / (1 - share))
    return bisect_left(range(enough + 1), wanted, key=lambda price: price - half_up(price * share))


@dataclass(frozen=True)
class Takes:
    """What a channel takes of a sale, in hundredths of a percent and fixed cents, from a day on (None: at first)."""

    from_date: date | None
    percent_hundredths: int
    fixed_cents: int


def takes_on(day: date, at_first: Takes, dated: Iterable[Takes]) -> Takes:
    """What is taken on a day: by the newest of the dated ones that has begun, else what was taken at first."""
    begun = [one for one in dated if one.from_date is not None and one.from_date <= day]
    return max(begun, key=lambda one: one.from_date or date.min, default=at_first)


def title_of(name: str) -> str:
    """A name with a capital first letter, the rest as it was typed."""
    return name[:1].upper() + name[1:]


def require_sound_channel(name: str, percent_hundredths: int, fixed_cents: int) -> None:
    """Refuse a channel without a name, one that takes all of a price, or one that takes less than nothing."""
    if not name:
        raise RuleError("Give the channel a name, like local classifieds.", "name")
    require_sound_fee(percent_hundredths, fixed_cents)


def require_sound_fee(percent_hundredths: int, fixed_cents: int) -> None:
    """Refuse a fee that takes all of a price, or less than nothing (RuleError, at the field)."""
    if not 0 <= percent_hundredths < PERCENT_WHOLE:
        raise RuleError("Give the percentage as a number from 0 to less than 100.", "percent")
    if fixed_cents < 0:
        raise RuleError("A fixed fee is never below zero.", "fixed")


def require_listable(stage: Stage, left_as: Leaving | None) -> None:
    """Refuse to put on the floor what is there already, is sold, or has left (CannotMove)."""
    if left_as is not None:
        raise CannotMove(f"It has left ({LEAVING_WORDS[left_as]}). Bring it back before you list it.")
    if stage is Stage.LISTED:
        raise CannotMove("It is listed already. Change its price or its hold instead.")
    if stage is Stage.SOLD:
        raise CannotMove("It is sold. It can be listed again after it came back.")


def require_asking_price(cents: int) -> None:
    """Refuse to ask nothing (RuleError)."""
    if cents <= 0:
        raise RuleError("Ask more than nothing.", "asking")


def require_new_price(cents: int, asked_now: int, on_date: date, last_change_on: date, today: date) -> None:
    """Refuse a price that is no change, or one dated in the future or before the last one (RuleError)."""
    require_asking_price(cents)
    if cents == asked_now:
        raise RuleError("That is the price asked now.", "asking")
    require_not_future(on_date, today, "on_date")
    require_not_before(on_date, last_change_on, "on_date", "the day of its last price")


def require_sound_hold(held_for: str, until: date, today: date) -> None:
    """Refuse a hold for nobody or until a day gone by (RuleError)."""
    if not held_for:
        raise RuleError("Say who it is held for.", "held_for")
    if until < today:
        raise RuleError(f"{day_in_words(until)} is over. Hold it until today or a later day.", "until")


def days_on_floor(listed_on: date, until: date) -> int:
    """Whole days a spell on the floor took; one that ended on a day before it began (typed late) took none."""
    return max((until - listed_on).days, 0)


def sits_too_long(days: int, threshold_days: int) -> bool:
    """Whether so many days on the floor are too many: the threshold itself is."""
    return days >= threshold_days


def hold_has_run_out(until: date, today: date) -> bool:
    """Whether a hold's last day is over."""
    return until < today
