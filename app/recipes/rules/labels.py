"""What the label of a material says, checked before it is kept, and how far it goes in the shop's own units."""

import re
from fractions import Fraction
from typing import Final

from app.basics.errors import RuleError
from app.basics.money import half_up, money_plain
from app.basics.quantities import LONGEST_WAIT, Units
from app.recipes.rules.coverage import CM2_PER_ML, cm2_of_us_spread
from app.recipes.rules.drying import Label

MOST_SPREAD_HUNDREDTHS: Final = 100_00
"""No coat covers more than 100 m2 with a litre: wet, it would lie a hundredth of a millimetre thick."""

_QUARTS_IN_A_GALLON: Final = 4
_SPREAD = re.compile(r"[0-9]{1,6}(?:\.[0-9]{1,2})?|\.[0-9]{1,2}")


def sound_label(label: Label) -> Label:
    """The label as it is kept: refuses, at the fact's own name, times below zero or beyond a year, a window that ends
    before it begins, and what covers nothing or more than anything does (RuleError).
    """
    for field in ("recoat", "recoat_by", "handle", "cure", "dwell"):
        minutes: int | None = getattr(label, field)
        if minutes is not None and not 0 <= minutes <= LONGEST_WAIT:
            raise RuleError("A time is from 0 to 365 days.", field)
    if label.recoat is not None and label.recoat_by is not None and label.recoat_by < label.recoat:
        raise RuleError("The window for the next coat cannot end before it begins.", "recoat_by")
    spread = label.spread_hundredths
    if spread is not None and not 0 < spread <= MOST_SPREAD_HUNDREDTHS:
        raise RuleError("No coat goes that far. Look at the label again.", "spread")
    return label


def spread_words(units: Units) -> str:
    """In what the shop says how far a coat goes."""
    return "sq ft a quart" if units is Units.IMPERIAL else "m² a litre"


def parse_spread(text: str, units: Units) -> int:
    """Read square feet to the US quart, or m2 to the litre, as hundredths of m2 per litre.

    Refuses what is no number and what covers nothing (RuleError).
    """
    example = "75" if units is Units.IMPERIAL else "8.5"
    bare = text.strip()
    if not _SPREAD.fullmatch(bare):
        raise RuleError(f"Type how far it goes as a number, like {example}.")
    hundredths = half_up(Fraction(bare) * _one(units))
    if not hundredths:
        raise RuleError(f"It has to cover more than nothing. Type the number on the label, like {example}.")
    return hundredths


def spread_plain(hundredths: int, units: Units) -> str:
    """Write hundredths of m2 per litre in the shop's unit, with the fewest digits that read back as the same."""
    for places in (0, 1, 2):
        written = money_plain(half_up(hundredths / _one(units) * 10**places), places)
        if _SPREAD.fullmatch(written) and half_up(Fraction(written) * _one(units)) == hundredths:
            break
    return written


def _one(units: Units) -> Fraction:
    """One of the shop's unit in hundredths of m2 per litre."""
    return cm2_of_us_spread(_QUARTS_IN_A_GALLON) * 100 / CM2_PER_ML if units is Units.IMPERIAL else Fraction(100)
