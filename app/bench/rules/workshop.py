"""What the workshop has for drying and spraying, and what a piece is expected to bring."""

from collections.abc import Collection, Mapping
from dataclasses import dataclass
from enum import StrEnum
from fractions import Fraction
from statistics import median
from typing import Final

from app.basics.errors import RuleError
from app.basics.money import half_up
from app.basics.spells import DAY

MOST_PLACES: Final = 99
NEVER_SAID: Final = -1
"""The version of what nobody has said yet: it matches no row."""


@dataclass(frozen=True)
class Workshop:
    """Places to dry, and minutes for which the spray corner stays taken after a coat.

    The figures before the owner says any are guesses of our own, no source, and are shown as such.
    """

    drying_places: int = 4
    spray_clear: int = 30
    version: int = NEVER_SAID

    @property
    def is_guess(self) -> bool:
        """Whether nobody has said them yet."""
        return self.version == NEVER_SAID


def require_workshop(drying_places: int, spray_clear: int) -> None:
    """Refuse fewer than none or more than 99 places, and a corner taken for longer than a day (RuleError)."""
    if not 0 <= drying_places <= MOST_PLACES:
        raise RuleError(f"Give a number of places from 0 to {MOST_PLACES}.", "drying_places")
    if not 0 <= spray_clear <= DAY:
        raise RuleError("The spray corner is clear again within a day: 0 minutes to 24 hours.", "spray_clear")


class BringsFrom(StrEnum):
    """Where what a piece brings comes from."""

    OWNER = "owner"
    BUYING = "buying"
    OTHERS = "others"
    NOBODY = "nobody"


@dataclass(frozen=True)
class Brings:
    """Cents a piece is expected to bring, who said so, and from how many other pieces a guess was made."""

    cents: int
    source: BringsFrom
    others: int = 0

    @property
    def is_guess(self) -> bool:
        """Whether nobody said anything about the piece itself."""
        return self.source in {BringsFrom.OTHERS, BringsFrom.NOBODY}

    @property
    def words(self) -> str:
        """Where it comes from, in words."""
        if self.source is BringsFrom.OTHERS:
            one = "the one other known" if self.others == 1 else f"the middle of {self.others} others"
            return f"guess: {one}"
        said = {BringsFrom.OWNER: "as you said", BringsFrom.BUYING: "as you guessed when you bought it"}
        return said.get(self.source, "nobody said")


def brings_of(piece_ids: Collection[int], said: Mapping[int, int], guessed: Mapping[int, int]) -> dict[int, Brings]:
    """What each piece brings: as the owner says now, else as guessed at buying, else the median of all known ones."""
    known = list({**guessed, **said}.values())
    middle = Brings(half_up(Fraction(median(known))), BringsFrom.OTHERS, len(known)) if known else None
    found: dict[int, Brings] = {}
    for piece_id in piece_ids:
        if piece_id in said:
            found[piece_id] = Brings(said[piece_id], BringsFrom.OWNER)
        elif piece_id in guessed:
            found[piece_id] = Brings(guessed[piece_id], BringsFrom.BUYING)
        else:
            found[piece_id] = middle or Brings(0, BringsFrom.NOBODY)
    return found
