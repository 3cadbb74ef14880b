"""Shellac cuts: how much flake for how much alcohol, and from one cut to a thinner one.

A cut is pounds of dry flake to a US gallon of alcohol, not of the finished liquid. Volumes are ml, weights g.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from enum import StrEnum
from fractions import Fraction
from types import MappingProxyType
from typing import Final

from app.basics.errors import RuleError
from app.recipes.rules.mixing import Number
from app.recipes.rules.products import COMMON_PRACTICE
from app.shelf.rules import Measure, measure_size

STRONGEST_CUT: Final = 8
"""The strongest cut anybody may type, in pounds to the gallon."""

SWELLING: Final = Fraction(1, 10)
"""How many gallons a pound of flake adds when it dissolves, as a table in a woodworking magazine has it."""

KEEPS_MONTHS: Final = 6
KEEPS_SOURCE: Final = f"pages say three months to a year; six is {COMMON_PRACTICE}"

_POUND_PER_GALLON: Final = measure_size(Measure.LB) / measure_size(Measure.GALLON)
_CUPS_PER_GALLON: Final = 16
_OUNCES_PER_POUND: Final = 16


class Dilution(StrEnum):
    """How the alcohol for a thinner cut is reckoned."""

    SIMPLE = "simple"
    CORRECTED = "corrected"


DILUTION_WORDS: Mapping[Dilution, str] = MappingProxyType(
    {
        Dilution.SIMPLE: "Simple: the jar counted as if it were all alcohol",
        Dilution.CORRECTED: "Corrected: the room the flake itself takes in the jar counted out",
    }
)


@dataclass(frozen=True)
class CutUse:
    """What a cut is used for, in pounds to the gallon."""

    cut: int
    words: str


CUT_USES: Final = (
    CutUse(1, "A wash coat or a thin barrier"),
    CutUse(2, "Sealing and building up coats"),
    CutUse(3, "Sealing in stains, sap and knots"),
)
"""What the usual cuts are for, as a mixing chart has it."""


def ounces_per_cup(cut: Number) -> Fraction:
    """Ounces of flake to a US cup of alcohol: the same number as the cut. Refuses what is no cut (RuleError)."""
    return require_cut(cut) * _OUNCES_PER_POUND / _CUPS_PER_GALLON


def grams_per_litre(cut: Number) -> Fraction:
    """Grams of flake to a litre of alcohol; refuses what is no cut (RuleError)."""
    return require_cut(cut) * _POUND_PER_GALLON * 1000


def flakes_for(alcohol_ml: Number, cut: Number) -> Fraction:
    """Grams of flake for an amount of alcohol at a cut; refuses no alcohol and what is no cut (RuleError)."""
    if alcohol_ml <= 0:
        raise RuleError("There has to be some alcohol to dissolve it in.")
    return alcohol_ml * grams_per_litre(cut) / 1000


def alcohol_for(flakes_g: Number, cut: Number) -> Fraction:
    """Millilitres of alcohol for an amount of flake at a cut; refuses no flake and what is no cut (RuleError)."""
    if flakes_g <= 0:
        raise RuleError("There has to be some flake to dissolve.")
    return flakes_g * 1000 / grams_per_litre(cut)


def made_ml(alcohol_ml: Number, cut: Number) -> Fraction:
    """About how much liquid shellac that makes, the flake's own room included; refuses what is no cut (RuleError)."""
    return alcohol_ml * (1 + SWELLING * require_cut(cut))


def dilute_cut(stock_ml: Number, cut: Number, weaker: Number, dilution: Dilution) -> Fraction:
    """Millilitres of alcohol to add to liquid shellac of one cut to make it a weaker one.

    Simple, a part of stock takes cut / weaker - 1 parts. Corrected, that is divided by 1 + 0.1 x cut, because so much
    of the stock is flake and not alcohol: the closed form of a published method. Refuses no stock, what is no cut,
    and a cut that is not weaker (RuleError).
    """
    if stock_ml <= 0:
        raise RuleError("There has to be some shellac to thin.")
    strong, weak = require_cut(cut), require_cut(weaker)
    if weak >= strong:
        raise RuleError("Alcohol only makes a cut weaker. Type a smaller cut to thin it to.")
    simple = stock_ml * (strong / weak - 1)
    return simple if dilution is Dilution.SIMPLE else simple / (1 + SWELLING * strong)


def require_cut(cut: Number) -> Fraction:
    """A cut that can be mixed; refuses nothing, less, and more than `STRONGEST_CUT` (RuleError)."""
    if not 0 < cut <= STRONGEST_CUT:
        raise RuleError(f"Type a cut above 0 and at most {STRONGEST_CUT}, like 2 or 1.5 pounds to the gallon.")
    return Fraction(cut)
