"""Quantities as the owner says them, held in thousandths of ml, g, sheet or each.

US measures: 1 gallon is 231 cubic inches, 3,785.411784 ml; 1 pound is 453.59237 g (16 CFR 500.19 gives both to six
figures). The quart, pint and fluid ounce are a fourth, an eighth and a hundred-and-twenty-eighth of the gallon.
"""

import re
from collections.abc import Mapping
from dataclasses import dataclass
from enum import StrEnum
from fractions import Fraction
from types import MappingProxyType
from typing import Final

from app.basics.errors import RuleError
from app.basics.money import half_up, money_plain
from app.basics.quantities import Units
from app.shelf.rules.kinds import Unit

MILLI: Final = 1000
MOST_MILLI: Final = 10_000_000 * MILLI
"""The largest quantity anybody may type: ten million of its unit."""

_GALLON: Final = Fraction("3785.411784")
_POUND: Final = Fraction("453.59237")


class Measure(StrEnum):
    """A unit somebody may type a quantity in."""

    FL_OZ = "fl_oz"
    PINT = "pint"
    QUART = "quart"
    GALLON = "gallon"
    ML = "ml"
    LITRE = "litre"
    OZ = "oz"
    LB = "lb"
    G = "g"
    KG = "kg"
    SHEET = "sheet"
    EACH = "each"


@dataclass(frozen=True)
class _Size:
    """How much of a material's own unit a measure is, how it is written behind one and many, and other spellings."""

    unit: Unit
    size: Fraction
    one: str
    many: str
    spellings: tuple[str, ...] = ()


_SIZES: Final[Mapping[Measure, _Size]] = MappingProxyType(
    {
        Measure.FL_OZ: _Size(Unit.ML, _GALLON / 128, "fl oz", "fl oz", ("fl.oz", "floz", "oz", "ounce", "ounces")),
        Measure.PINT: _Size(Unit.ML, _GALLON / 8, "pt", "pt", ("pint", "pints")),
        Measure.QUART: _Size(Unit.ML, _GALLON / 4, "qt", "qt", ("quart", "quarts")),
        Measure.GALLON: _Size(Unit.ML, _GALLON, "gal", "gal", ("gallon", "gallons")),
        Measure.ML: _Size(Unit.ML, Fraction(1), "ml", "ml"),
        Measure.LITRE: _Size(Unit.ML, Fraction(1000), "litre", "litres", ("l", "liter", "liters")),
        Measure.OZ: _Size(Unit.G, _POUND / 16, "oz", "oz", ("ounce", "ounces")),
        Measure.LB: _Size(Unit.G, _POUND, "lb", "lb", ("lbs", "pound", "pounds")),
        Measure.G: _Size(Unit.G, Fraction(1), "g", "g", ("gram", "grams")),
        Measure.KG: _Size(Unit.G, Fraction(1000), "kg", "kg"),
        Measure.SHEET: _Size(Unit.SHEET, Fraction(1), "sheet", "sheets"),
        Measure.EACH: _Size(Unit.EACH, Fraction(1), "", "", ("each", "piece", "pieces")),
    }
)

_US_VOLUME: Final = (Measure.FL_OZ, Measure.PINT, Measure.QUART, Measure.GALLON)
_METRIC_VOLUME: Final = (Measure.ML, Measure.LITRE)
_US_WEIGHT: Final = (Measure.OZ, Measure.LB)
_METRIC_WEIGHT: Final = (Measure.G, Measure.KG)
_SHOWN: Final[Mapping[tuple[Unit, Units], tuple[Measure, ...]]] = {
    (Unit.ML, Units.IMPERIAL): (Measure.FL_OZ, Measure.QUART, Measure.GALLON),
    (Unit.ML, Units.METRIC): _METRIC_VOLUME,
    (Unit.G, Units.IMPERIAL): _US_WEIGHT,
    (Unit.G, Units.METRIC): _METRIC_WEIGHT,
}
_PRICED: Final[Mapping[tuple[Unit, Units], Measure]] = {
    (Unit.ML, Units.IMPERIAL): Measure.QUART,
    (Unit.ML, Units.METRIC): Measure.LITRE,
    (Unit.G, Units.IMPERIAL): Measure.LB,
    (Unit.G, Units.METRIC): Measure.KG,
}

_DECIMAL: Final = r"(?:[0-9]{1,12}(?:\.[0-9]{1,9})?|\.[0-9]{1,9})"
_QUANTITY = re.compile(
    rf"(?:(?P<plain>{_DECIMAL})|(?:(?P<whole>[0-9]{{1,12}})[ -])?(?P<top>[0-9]{{1,3}})/(?P<bottom>[0-9]{{1,3}}))"
    r" ?(?P<words>[a-z. ]*)"
)
_COMMA_DECIMAL = re.compile(r"[0-9]+,[0-9]+ ?[a-z. ]*")
_BELOW_ZERO = re.compile(r"[-\u2212\u2013] ?[.0-9].*")
_TYPED_ALIKE: Final = str.maketrans(
    {"\u2044": "/", "\u00a0": " ", "\u202f": " "} | {"½": " 1/2", "¼": " 1/4", "¾": " 3/4", "⅓": " 1/3", "⅔": " 2/3"}
)


def measures_for(unit: Unit, units: Units) -> tuple[Measure, ...]:
    """The measures a quantity of that unit may be typed in, those of the shop's own way of measuring first."""
    us, metric = {
        Unit.ML: (_US_VOLUME, _METRIC_VOLUME),
        Unit.G: (_US_WEIGHT, _METRIC_WEIGHT),
        Unit.SHEET: ((Measure.SHEET,), ()),
        Unit.EACH: ((Measure.EACH,), ()),
    }[unit]
    return (*us, *metric) if units is Units.IMPERIAL else (*metric, *us)


def bought_by(unit: Unit, units: Units) -> Measure:
    """The measure such a material is mostly bought in: paint by the quart where fluid ounces are used."""
    return Measure.QUART if unit is Unit.ML and units is Units.IMPERIAL else measures_for(unit, units)[0]


def measure_words(measure: Measure) -> str:
    """A measure as its choice is called."""
    return {Measure.FL_OZ: "fl oz", Measure.EACH: "each"}.get(measure, measure.value)


def measure_size(measure: Measure) -> Fraction:
    """How many ml or g, sheets or things one of it is, exactly."""
    return _SIZES[measure].size


def parse_quantity(text: str, unit: Unit, measure: Measure) -> int:
    """Read a quantity in thousandths of `unit`: in `measure`, unless a measure is written behind the number.

    Takes decimals and fractions, like 1.5 or 1 1/2. Refuses what is no quantity, a measure of something else, and
    more than anybody has (RuleError); nothing is read as 0, which the caller takes or refuses.
    """
    bare = " ".join(text.translate(_TYPED_ALIKE).lower().split())
    match = _QUANTITY.fullmatch(bare)
    if match is None or match["bottom"] == "0" * len(match["bottom"] or "x"):
        raise RuleError(_why_unreadable(bare))
    number = Fraction(match["plain"]) if match["plain"] else _fraction(match)
    used = _measure_of(match["words"].strip(), unit) or measure
    milli = half_up(number * _SIZES[used].size * MILLI)
    if number and not milli:
        raise RuleError("That is too little to keep. Type a larger quantity.")
    if milli > MOST_MILLI:
        raise RuleError("That is more than the shelf can hold. Look at the number and its measure again.")
    return milli


def _fraction(match: re.Match[str]) -> Fraction:
    return int(match["whole"] or 0) + Fraction(int(match["top"]), int(match["bottom"]))


def _measure_of(words: str, unit: Unit) -> Measure | None:
    if not words:
        return None
    for measure, size in _SIZES.items():
        if size.unit is unit and words.rstrip(".") in {size.one, size.many, *size.spellings}:
            return measure
    known = ", ".join(_SIZES[measure].one or "each" for measure in measures_for(unit, Units.IMPERIAL))
    raise RuleError(f"This material is measured in {known}. Type one of these behind the number, or none.")


def _why_unreadable(bare: str) -> str:
    if _COMMA_DECIMAL.fullmatch(bare):
        return "Write the quantity with a point, like 1.5."
    if _BELOW_ZERO.fullmatch(bare):
        return "A quantity is never below zero. Type it without the minus sign, like 1.5."
    return "Type the quantity as a number, like 2, 1.5 or 1 1/2."


def format_quantity(milli: int, unit: Unit, units: Units) -> str:
    """Show thousandths of a unit as the owner reads them, like 1.5 qt or 12 sheets; to two decimal places."""
    measure = _largest_that_fits(abs(milli), unit, units)
    size = _SIZES[measure]
    hundredths = half_up(Fraction(abs(milli) * 100, MILLI) / size.size)
    number = _grouped(hundredths) if hundredths or not milli else "under 0.01"
    word = size.one if hundredths == 100 else size.many  # noqa: PLR2004 - one, in hundredths
    sign = "\u2212" if milli < 0 else ""
    return f"{sign}{number} {word}".rstrip()


def _largest_that_fits(milli: int, unit: Unit, units: Units) -> Measure:
    shown = _SHOWN.get((unit, units)) or measures_for(unit, units)
    fitting = [measure for measure in shown if milli >= half_up(_SIZES[measure].size * MILLI)]
    return fitting[-1] if fitting else shown[0]


def _grouped(hundredths: int) -> str:
    whole, part = divmod(hundredths, 100)
    return f"{whole:,}.{part:02d}".rstrip("0").rstrip(".")


def quantity_plain(milli: int, unit: Unit, units: Units) -> str:
    """Write a quantity with its measure for a form value that reads back as the same thousandths."""
    shown = _SHOWN.get((unit, units)) or measures_for(unit, units)
    for measure in reversed(shown):
        hundredths = half_up(Fraction(milli * 100, MILLI) / _SIZES[measure].size)
        written = f"{money_plain(hundredths, 2).rstrip('0').rstrip('.')} {_SIZES[measure].one}".rstrip()
        if hundredths and parse_quantity(written, unit, measure) == milli:
            return written
    exact = money_plain(milli, 3).rstrip("0").rstrip(".")
    return f"{exact} {Measure(unit.value).value}" if unit in {Unit.ML, Unit.G} else exact


def rounded_in(milli: int, measure: Measure) -> str:
    """Thousandths of a unit as a number in a measure, to two figures: what somebody would say of a guess."""
    number = Fraction(milli, MILLI) / _SIZES[measure].size
    for places in (0, 1, 2):
        if number >= Fraction(10, 10**places):
            return money_plain(half_up(number * 10**places), places)
    return money_plain(max(half_up(number * 100), 1), 2)


def priced_measure(unit: Unit, units: Units) -> str:
    """The measure an average is shown for, like "qt"; "each" for things that are counted."""
    measure = _priced(unit, units)
    return _SIZES[measure].one or "each"


def average_cents(average: Fraction, unit: Unit, units: Units) -> int:
    """An average in cents for a thousandth, as cents for the measure it is shown for; rounded for showing only."""
    return half_up(average * _SIZES[_priced(unit, units)].size * MILLI)


def _priced(unit: Unit, units: Units) -> Measure:
    return _PRICED.get((unit, units)) or measures_for(unit, units)[0]
