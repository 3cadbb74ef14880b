"""How far: read as people type it, held in hundredths of a mile or a kilometre, turned exactly into the other."""

import re
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from enum import StrEnum
from fractions import Fraction
from types import MappingProxyType
from typing import Final

from app.basics.errors import RuleError
from app.basics.money import half_up
from app.basics.quantities import Units


class DistanceUnit(StrEnum):
    """In what the distance is told."""

    MILE = "mi"
    KM = "km"


UNIT_WORDS: Mapping[DistanceUnit, str] = MappingProxyType({DistanceUnit.MILE: "mile", DistanceUnit.KM: "km"})
"""The unit as it stands behind "a": 0.70 a mile."""

LONGEST: Final = 99_999_999
"""The longest distance anybody may type, in hundredths."""

_IN_MILES: Final = MappingProxyType(
    {DistanceUnit.MILE: Fraction(1), DistanceUnit.KM: 1 / Fraction(1_609_344, 1_000_000)}
)
_DISTANCE = re.compile(
    r"(?P<whole>[0-9]{1,12}|[1-9][0-9]{0,2}(?:,[0-9]{3})+|)(?:\.(?P<part>[0-9]{1,12}))? ?(?P<unit>[a-z.]*)"
)
_COMMA_DECIMAL = re.compile(r"[0-9]+,[0-9]+ ?[a-z.]*")
_PLACES: Final = 2
_UNIT_TYPED: Final = {
    **dict.fromkeys(("mi", "mi.", "mile", "miles"), DistanceUnit.MILE),
    **dict.fromkeys(("km", "km.", "kilometre", "kilometres", "kilometer", "kilometers"), DistanceUnit.KM),
}


@dataclass(frozen=True)
class Distance:
    """A distance in hundredths of its unit."""

    hundredths: int
    unit: DistanceUnit

    @property
    def miles(self) -> Fraction:
        """The same in miles, exactly."""
        return Fraction(self.hundredths, 100) * _IN_MILES[self.unit]

    def exactly_in(self, unit: DistanceUnit) -> Fraction:
        """The same in the unit, exactly."""
        return Fraction(self.hundredths, 100) if unit is self.unit else self.miles / _IN_MILES[unit]

    def rounded_in(self, unit: DistanceUnit) -> "Distance":
        """The same in the unit, to the hundredth."""
        return Distance(half_up(self.exactly_in(unit) * 100), unit)

    @property
    def plain(self) -> str:
        """Its number without the unit, like 12.5, as it would be typed."""
        return f"{self.hundredths // 100}.{self.hundredths % 100:02d}".rstrip("0").rstrip(".")

    @property
    def words(self) -> str:
        """The distance as a page shows it, like 1,250 mi."""
        whole, dot, part = self.plain.partition(".")
        return f"{int(whole):,}{dot}{part} {self.unit.value}"


def all_of(distances: Iterable[Distance], unit: DistanceUnit) -> Distance:
    """All of them together in the unit: added exactly, rounded to the hundredth once."""
    return Distance(half_up(sum((one.exactly_in(unit) for one in distances), Fraction(0)) * 100), unit)


def usual_unit(units: Units) -> DistanceUnit:
    """What the owner means by a number alone: miles with inches, kilometres with centimetres."""
    return DistanceUnit.MILE if units is Units.IMPERIAL else DistanceUnit.KM


def parse_distance(text: str, usual: DistanceUnit) -> Distance:
    """Read a distance: in the usual unit unless the text names miles or km.

    Refuses what is no distance, more than two digits after the point, and more than `LONGEST` (RuleError).
    """
    bare = " ".join(text.lower().split())
    match = _DISTANCE.fullmatch(bare)
    unit = usual if match is None or not match["unit"] else _UNIT_TYPED.get(match["unit"])
    if match is None or unit is None or not (match["whole"] or match["part"]):
        raise RuleError(_why_no_distance(bare))
    part = match["part"] or ""
    if len(part) > _PLACES:
        raise RuleError("Type at most 2 digits after the point, like 12.5.")
    hundredths = int(match["whole"].replace(",", "") + part.ljust(_PLACES, "0") or "0")
    if hundredths > LONGEST:
        raise RuleError(f"Type a distance of at most {LONGEST // 100:,}.")
    return Distance(hundredths, unit)


def parse_hundredths(text: str) -> int:
    """Read a distance whose unit is told elsewhere, as hundredths; refuses one that names a unit (RuleError)."""
    if any(mark.isalpha() for mark in text):
        raise RuleError("Type the number alone; miles or kilometres are chosen beside it.")
    return parse_distance(text, DistanceUnit.MILE).hundredths


def _why_no_distance(bare: str) -> str:
    if _COMMA_DECIMAL.fullmatch(bare):
        return "Write the distance with a point, like 12.5. A comma may only group thousands, like 1,250."
    return "Type the distance in plain digits, like 12.5, or with its unit, like 12.5 mi or 20 km."
