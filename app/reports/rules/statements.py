"""What a channel's own yearly statement is held against: what the books say buyers paid through it."""

from dataclasses import dataclass
from typing import Final

from app.basics.errors import RuleError

THRESHOLD_CENTS: Final = 20_000_00
THRESHOLD_PAYMENTS: Final = 200
THRESHOLD_YEARS: Final = range(2018, 2027)
"""The years the sources speak of: one threshold for all of them, after the law of July 2025 put it back."""

THRESHOLD_SOURCE: Final = "Public law of 4 July 2025, section 70432; IRS Fact Sheet FS-2025-08 of 23 October 2025"

USUAL_REASONS: Final = (
    "A sale late in December may stand in its January: it goes by the day it paid, your books by the day of the sale.",
    "It counts what buyers paid before fees and refunds; what was given back does not lower it.",
    "It may leave out the sales tax it collected and paid over itself, or count it in.",
    "A sale booked under another channel here, or one paid in cash although it began there.",
    "A tip, or postage the buyer paid that was not entered as delivery charged.",
)
"""Why the two usually differ, in the order worth looking at."""


@dataclass(frozen=True, slots=True)
class Statement:
    """What a channel's own statement of a year says it took in from buyers, and the version of the row."""

    gross: int
    note: str
    version: int


@dataclass(frozen=True, slots=True)
class ChannelYear:
    """What the books say buyers paid through a channel in a year, in cents, and what its statement says.

    `channel_id` is None for sales booked under no channel. Corrections of sales in closed months are in it, in the
    year of the sale. `given_back` stands beside: a statement is before refunds.
    """

    channel_id: int | None
    name: str
    payments: int
    price: int
    delivery: int
    shop_tax: int
    channel_tax: int
    given_back: int
    statement: Statement | None

    @property
    def gross(self) -> int:
        """All that buyers paid: price, delivery charged, and sales tax whoever collected it."""
        return self.price + self.delivery + self.shop_tax + self.channel_tax

    @property
    def difference(self) -> int | None:
        """The statement less the books; None without a statement."""
        return None if self.statement is None else self.statement.gross - self.gross

    @property
    def is_explained_by_tax(self) -> bool:
        """Whether the statement differs by just the sales tax the channel collected itself."""
        return bool(self.channel_tax) and self.difference == -self.channel_tax


def is_over_threshold(gross: int, payments: int) -> bool:
    """Whether so much through one channel in a year is more than a platform may leave unreported.

    Both must be passed: more than 20,000 dollars and more than 200 payments. States may ask for less.
    """
    return gross > THRESHOLD_CENTS and payments > THRESHOLD_PAYMENTS


def require_sound_statement(year: int, gross: int, *, this_year: int) -> None:
    """Refuse a statement of a year to come, and an amount below zero (RuleError)."""
    if year > this_year:
        raise RuleError(f"{year} has not come yet.")
    if gross < 0:
        raise RuleError("An amount here is never below zero.", "gross")
