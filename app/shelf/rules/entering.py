"""What may be entered on the shelf: materials, purchases, uses, counts, and parts taken off a piece."""

from collections.abc import Mapping
from dataclasses import dataclass, replace
from datetime import date
from enum import StrEnum
from fractions import Fraction
from types import MappingProxyType
from typing import Final

from app.basics.dates import require_not_before, require_not_future
from app.basics.errors import RuleError
from app.basics.money import PERCENT_WHOLE, half_up
from app.basics.words import NAME_LIMIT, NOTE_LIMIT, clean_line, clean_text
from app.pieces.rules import colour_of
from app.shelf.rules.kinds import MaterialClass, RowKind, Unit
from app.shelf.rules.replay import NEWEST, ShelfRow

SHEEN_LIMIT: Final = 40
BOOKS_BEGIN: Final = "the day your books begin"


@dataclass(frozen=True)
class MaterialFacts:
    """What is known of a material: colour as #rrggbb, solids in hundredths of a percent of the volume.

    It is to be re-ordered at `reorder_milli` thousandths of its unit, or below; None where nobody said.
    """

    name: str
    klass: MaterialClass
    unit: Unit
    colour: str | None = None
    sheen: str = ""
    volume_solids_hundredths: int | None = None
    reorder_milli: int | None = None
    note: str = ""
    is_put_away: bool = False


@dataclass(frozen=True)
class NewPurchase:
    """A quantity bought for a price and its sales tax, both in cents; both are what it cost."""

    material_id: int
    milli: int
    price_cents: int
    on_date: date
    tax_cents: int = 0
    bought_at: str = ""
    note: str = ""

    @property
    def row(self) -> ShelfRow:
        """The row it is going to be."""
        return ShelfRow(RowKind.BOUGHT, NEWEST, self.on_date, self.milli, self.price_cents + self.tax_cents)


@dataclass(frozen=True)
class NewUse:
    """A quantity taken for a piece, or for the shop where `piece_id` is None."""

    material_id: int
    piece_id: int | None
    milli: int
    on_date: date
    note: str = ""

    @property
    def row(self) -> ShelfRow:
        """The row it is going to be."""
        return ShelfRow(RowKind.USED, NEWEST, self.on_date, self.milli, piece_id=self.piece_id)


@dataclass(frozen=True)
class NewCount:
    """What was really there at the end of a day."""

    material_id: int
    milli: int
    on_date: date
    note: str = ""

    @property
    def row(self) -> ShelfRow:
        """The row it is going to be."""
        return ShelfRow(RowKind.COUNTED, NEWEST, self.on_date, self.milli)


@dataclass(frozen=True)
class NewParts:
    """Parts taken off a piece and put on the shelf, at a value in cents that leaves the piece's cost."""

    material_id: int
    piece_id: int
    milli: int
    value_cents: int
    on_date: date
    note: str = ""

    @property
    def row(self) -> ShelfRow:
        """The row it is going to be."""
        return ShelfRow(RowKind.BOUGHT, NEWEST, self.on_date, self.milli, self.value_cents)


class TooMuchOff(RuleError):
    """More value would be taken off a piece than it stands at."""


class NotAsShown(RuleError):
    """What would change is not what was shown before saving."""


class ClosedCharge(RuleError):
    """A charge in a closed month would change."""


class CanPart(StrEnum):
    """A part of the can, or of whatever one purchase brought."""

    QUARTER = "quarter"
    THIRD = "third"
    HALF = "half"
    WHOLE = "whole"
    REST = "rest"


PART_WORDS: Mapping[CanPart, str] = MappingProxyType(
    {
        CanPart.QUARTER: "About a quarter",
        CanPart.THIRD: "About a third",
        CanPart.HALF: "About half",
        CanPart.WHOLE: "All of one",
        CanPart.REST: "All that is left",
    }
)

_PARTS: Final = {
    CanPart.QUARTER: Fraction(1, 4),
    CanPart.THIRD: Fraction(1, 3),
    CanPart.HALF: Fraction(1, 2),
    CanPart.WHOLE: Fraction(1),
}


def part_of_can(part: CanPart, *, can_milli: int | None, left_milli: int) -> int:
    """Thousandths in a part of what was bought last, or all that is left; refuses what is not there (RuleError)."""
    if part is CanPart.REST:
        if left_milli <= 0:
            raise RuleError("By the books nothing was left on that day. Type how much you used.", "quantity")
        return left_milli
    if can_milli is None:
        raise RuleError("Nothing of it was bought yet, so nobody knows how much one holds.", "quantity")
    return max(half_up(can_milli * _PARTS[part]), 1)


def sound_facts(facts: MaterialFacts) -> MaterialFacts:
    """The facts as they are kept, words cleaned; refuses a missing name and what is out of range (RuleError)."""
    colour = colour_of(facts.colour, "colour")
    name = clean_line(facts.name, NAME_LIMIT)
    if not name:
        raise RuleError("Give it the name you call it by.", "name")
    solids = facts.volume_solids_hundredths
    if solids is not None and not 0 <= solids <= PERCENT_WHOLE:
        raise RuleError("Type a percentage from 0 to 100, like 38.", "solids")
    if facts.reorder_milli is not None and facts.reorder_milli < 0:
        raise RuleError("Type how much must be left, from 0 on.", "reorder")
    sheen, note = clean_line(facts.sheen, SHEEN_LIMIT), clean_text(facts.note, NOTE_LIMIT)
    return replace(facts, name=name, colour=colour, sheen=sheen, note=note)


def require_day(day: date, *, today: date, books_begin: date) -> None:
    """Refuse a day that has not come, or before the books begin, at "on_date" (RuleError)."""
    require_not_future(day, today, "on_date")
    require_not_before(day, books_begin, "on_date", BOOKS_BEGIN)


def require_quantity(milli: int) -> None:
    """Refuse a quantity of nothing, at "quantity" (RuleError)."""
    if milli <= 0:
        raise RuleError("A quantity of nothing is none. Type more than 0.", "quantity")


def require_counted(milli: int) -> None:
    """Refuse a count below zero, at "quantity" (RuleError)."""
    if milli < 0:
        raise RuleError("Type what is really there, from 0 on.", "quantity")


def require_paid(price_cents: int, tax_cents: int) -> None:
    """Refuse amounts below zero (RuleError)."""
    for cents, at in ((price_cents, "price"), (tax_cents, "tax")):
        if cents < 0:
            raise RuleError("What it cost is never below zero.", at)


def require_value_there(value_cents: int, stands_at_cents: int) -> None:
    """Refuse a value below zero, and one above what the piece stands at, at "value" (TooMuchOff)."""
    if value_cents < 0:
        raise TooMuchOff("A value is never below zero.", "value")
    if value_cents > max(stands_at_cents, 0):
        raise TooMuchOff("The piece does not stand at that much. Parts can take no more off it than it cost.", "value")


def is_low(milli: int, reorder_milli: int | None) -> bool:
    """Whether so much is left that more should be bought: at the level the owner gave, or below."""
    return reorder_milli is not None and milli <= reorder_milli
