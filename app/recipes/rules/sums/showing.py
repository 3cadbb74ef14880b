"""Results of a sum as they are read off a jug or a meter: in the shop's units, and beside them in the others."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from fractions import Fraction
from math import lcm
from typing import Final

from app.basics.money import half_up, money_plain, split_exactly
from app.basics.quantities import Units
from app.recipes.rules.coverage import CM2_PER_FT2, CM2_PER_ML, UM_PER_MIL, cm2_of_us_spread
from app.recipes.rules.mixing import Number
from app.recipes.rules.sums.measures import CM2_PER_M2
from app.shelf.rules import Measure, Unit, measure_size

_MINUS: Final = "\u2212"
_SMALL: Final = {
    (Unit.ML, Units.IMPERIAL): (Measure.FL_OZ, "fl oz", 1),
    (Unit.ML, Units.METRIC): (Measure.ML, "ml", 10),
    (Unit.G, Units.IMPERIAL): (Measure.OZ, "oz", 1),
    (Unit.G, Units.METRIC): (Measure.G, "g", 10),
}
"""In what small amounts are read, its sign, and below how much one more decimal is shown."""
_OF_A_JUG: Final = {Units.IMPERIAL: 1, Units.METRIC: 0}


@dataclass(frozen=True)
class Shown:
    """The same result in the shop's own units and in the others."""

    own: str
    other: str

    @property
    def words(self) -> str:
        """Both, the others in brackets."""
        return f"{self.own} ({self.other})"


def _both(show: Callable[[Units], str], units: Units) -> Shown:
    other = Units.METRIC if units is Units.IMPERIAL else Units.IMPERIAL
    return Shown(show(units), show(other))


def amounts_shown(amounts: Sequence[Number], unit: Unit, units: Units) -> list[Shown]:
    """Amounts of ml or g that belong together, rounded so that what is read adds up too."""
    other = Units.METRIC if units is Units.IMPERIAL else Units.IMPERIAL
    own_words, other_words = _amounts(amounts, unit, units), _amounts(amounts, unit, other)
    return [Shown(*pair) for pair in zip(own_words, other_words, strict=True)]


def amount_shown(amount: Number, unit: Unit, units: Units) -> Shown:
    """One amount of ml or g."""
    return amounts_shown([amount], unit, units)[0]


def _amounts(amounts: Sequence[Number], unit: Unit, units: Units) -> list[str]:
    measure, sign, finer_below = _SMALL[unit, units]
    exact = [Fraction(amount) / measure_size(measure) for amount in amounts]
    smallest = min((amount for amount in exact if amount), default=Fraction(0))
    places = _OF_A_JUG[units] + (smallest < finer_below)
    whole = half_up(sum(exact, Fraction(0)) * 10**places)
    scale = lcm(*(amount.denominator for amount in exact))
    shares = split_exactly(whole, [int(amount * scale) for amount in exact])
    return [f"{_grouped(share, places)} {sign}" for share in shares]


def area_shown(cm2: Number, units: Units) -> Shown:
    """An area in square feet to a tenth, square metres to a hundredth."""
    return _scaled(cm2, _Scale(CM2_PER_FT2, 1, "ft²"), _Scale(CM2_PER_M2, 2, "m²"), units)


def film_shown(um: Number, units: Units) -> Shown:
    """The thickness of a film in mils to a tenth, in whole micrometres."""
    return _scaled(um, _Scale(UM_PER_MIL, 1, "mil"), _Scale(1, 0, "µm"), units)


def spread_shown(cm2_per_unit: Number, unit: Unit, units: Units) -> Shown:
    """A spreading rate in square feet to the gallon or pound, square metres to the litre or kg."""
    us, metric = ("ft² a pound", "m² a kg") if unit is Unit.G else ("ft² a gallon", "m² a litre")
    return _scaled(cm2_per_unit, _Scale(cm2_of_us_spread(1, unit), 0, us), _Scale(CM2_PER_ML, 1, metric), units)


def spread_of_number(number: Number, unit: Unit, units: Units) -> Fraction:
    """A typed number of square feet to the gallon or pound, or m2 to the litre or kg, as cm2 to the ml or g."""
    return cm2_of_us_spread(number, unit) if units is Units.IMPERIAL else number * CM2_PER_ML


def temperature_shown(temp_c: float, units: Units) -> Shown:
    """A temperature to a tenth of a degree."""
    return _both(lambda one: _degrees(*((temp_c * 1.8 + 32, "F") if one is Units.IMPERIAL else (temp_c, "C"))), units)


@dataclass(frozen=True)
class _Scale:
    """A unit: how large it is, to how many places it is shown, and its sign."""

    size: Number
    places: int
    sign: str

    def words(self, amount: Number) -> str:
        """An amount in it."""
        return f"{_grouped(half_up(Fraction(amount) / self.size * 10**self.places), self.places)} {self.sign}"


def _scaled(amount: Number, us: _Scale, metric: _Scale, units: Units) -> Shown:
    return _both(lambda one: (us if one is Units.IMPERIAL else metric).words(amount), units)


def _degrees(degrees: float, scale: str) -> str:
    tenths = half_up(Fraction(degrees) * 10)
    return f"{_MINUS if tenths < 0 else ''}{_grouped(abs(tenths), 1)} °{scale}"


def _grouped(number: int, places: int) -> str:
    whole, dot, part = money_plain(number, places).partition(".")
    return f"{int(whole):,}{dot}{part}".rstrip("0").rstrip(".") if dot else f"{int(whole):,}"
