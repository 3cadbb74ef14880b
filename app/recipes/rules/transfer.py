"""How much of a coating stays on the piece, by the way it is put on; a spray is one of high volume and low pressure."""

from dataclasses import dataclass
from fractions import Fraction
from typing import Final

from app.recipes.rules.products import COMMON_PRACTICE
from app.recipes.rules.ways import Way


@dataclass(frozen=True)
class Transfer:
    """The share of what is used that stays on the piece: least, usual and most, and where the figures come from."""

    low: Fraction
    usual: Fraction
    high: Fraction
    source: str


_BY_HAND: Final = Transfer(Fraction(90, 100), Fraction(95, 100), Fraction(1), COMMON_PRACTICE)
_SPRAY: Final = Transfer(
    Fraction(65, 100),
    Fraction(65, 100),
    Fraction(70, 100),
    "65 %, the share a Californian air district measures high-volume, low-pressure guns by; "
    "a tester found 60 to 70 % on large surfaces",
)
_SPRAY_SMALL: Final = Transfer(
    Fraction(20, 100),
    Fraction(40, 100),
    Fraction(50, 100),
    f"a tester found 20 to 50 % on small pieces; 40 % is {COMMON_PRACTICE}",
)


def transfer_of(way: Way, *, is_small: bool = False) -> Transfer:
    """How much of a coating stays on; `is_small` for chairs, spindles and the like, past which much of a spray goes.

    A spray is one from a high-volume, low-pressure gun; other guns keep less on, and nothing here reckons with them.
    """
    if way is Way.SPRAY:
        return _SPRAY_SMALL if is_small else _SPRAY
    return _BY_HAND
