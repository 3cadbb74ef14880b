"""Areas, films and plain numbers, read as people type them: in the shop's units unless the text says."""

import re
from collections.abc import Mapping
from dataclasses import dataclass
from fractions import Fraction
from types import MappingProxyType
from typing import Final

from app.basics.errors import RuleError
from app.basics.quantities import MM_PER_INCH, Units
from app.recipes.rules.coverage import CM2_PER_FT2, UM_PER_MIL

CM2_PER_M2: Final = 10_000
MOST_AREA_CM2: Final = 1000 * CM2_PER_M2
THICKEST_UM: Final = 5000
LARGEST_NUMBER: Final = 100_000

_PLAIN: Final = r"(?:[0-9]{1,9}(?:\.[0-9]{1,6})?|\.[0-9]{1,6})"
_MEASURED = re.compile(rf"(?P<number>{_PLAIN}) ?(?P<unit>[a-z. ]*[2]?)")
_NUMBER = re.compile(
    rf"(?P<plain>{_PLAIN})|(?:(?P<whole>[0-9]{{1,9}})[ -])?(?P<top>[0-9]{{1,3}})/(?P<bottom>[1-9][0-9]{{0,2}})"
)
_COMMA_DECIMAL = re.compile(r"-?[0-9]+,[0-9]+.*")
_TYPED_ALIKE: Final = str.maketrans(
    {"²": "2", "µ": "u", "μ": "u", "\u2212": "-", "\u2013": "-", "\u00a0": " ", "\u202f": " ", "\u2044": "/"}
    | {"½": " 1/2", "¼": " 1/4", "¾": " 3/4", "⅓": " 1/3", "⅔": " 2/3"}
)


@dataclass(frozen=True)
class _Measure:
    """A thing that is measured: its word, how large each unit is by its spellings, the shop's own units, an example."""

    word: str
    sizes: Mapping[str, Fraction]
    own: Mapping[Units, str]
    examples: Mapping[Units, str]
    most: int


def _spelled(*rows: tuple[str, Fraction]) -> Mapping[str, Fraction]:
    return MappingProxyType({spelling: size for spellings, size in rows for spelling in spellings.split(", ")})


_AREA: Final = _Measure(
    "area",
    _spelled(
        ("ft2, sq ft, sq. ft., square feet, square foot", CM2_PER_FT2),
        ("in2, sq in, sq. in., square inches, square inch", (MM_PER_INCH / 10) ** 2),
        ("m2, sq m, square metres, square metre, square meters, square meter", Fraction(CM2_PER_M2)),
        ("cm2, sq cm", Fraction(1)),
    ),
    MappingProxyType({Units.IMPERIAL: "ft2", Units.METRIC: "m2"}),
    MappingProxyType({Units.IMPERIAL: "31.5 or 31.5 ft2", Units.METRIC: "2.9 or 2.9 m2"}),
    MOST_AREA_CM2,
)
_FILM: Final = _Measure(
    "film",
    _spelled(("mil, mils", UM_PER_MIL), ("um, micron, microns, micrometre, micrometres, micrometer", Fraction(1))),
    MappingProxyType({Units.IMPERIAL: "mil", Units.METRIC: "um"}),
    MappingProxyType({Units.IMPERIAL: "1.5 or 1.5 mil", Units.METRIC: "38 or 38 microns"}),
    THICKEST_UM,
)


def parse_area(text: str, units: Units) -> Fraction:
    """Read an area as cm2; refuses what is none, nothing, and more than anybody coats (RuleError)."""
    return _measured(text, _AREA, units)


def parse_film(text: str, units: Units) -> Fraction:
    """Read the thickness of a film as micrometres; refuses what is none, nothing, and over 5 mm (RuleError)."""
    return _measured(text, _FILM, units)


def parse_number(text: str, word: str, example: str) -> Fraction:
    """Read a number of something, like 2, 1.5 or 1 1/2; refuses what is none, and over `LARGEST_NUMBER` (RuleError)."""
    bare = _bare(text)
    match = _NUMBER.fullmatch(bare)
    if match is None:
        raise RuleError(_why_not(bare, word, example))
    number = Fraction(match["plain"] or int(match["whole"] or 0))
    if match["top"]:
        number += Fraction(int(match["top"]), int(match["bottom"]))
    if number > LARGEST_NUMBER:
        raise RuleError(f"Type at most {LARGEST_NUMBER:,}.")
    return number


def parse_count(text: str, word: str, most: int) -> int:
    """Read a whole number from 1 to `most` of something; refuses all else (RuleError)."""
    bare = _bare(text)
    number = int(bare) if re.fullmatch(r"[0-9]{1,9}", bare) else 0
    if not 1 <= number <= most:
        raise RuleError(f"Type a whole number of {word}, from 1 to {most}.")
    return number


def _measured(text: str, measure: _Measure, units: Units) -> Fraction:
    bare = _bare(text)
    match = _MEASURED.fullmatch(bare)
    size = measure.sizes.get(match["unit"].strip() or measure.own[units]) if match else None
    if match is None or size is None:
        raise RuleError(_why_not(bare, measure.word, measure.examples[units]))
    amount = Fraction(match["number"]) * size
    if not 0 < amount <= measure.most:
        raise RuleError(f"Such a {measure.word} cannot be. Look at the number and its unit again.")
    return amount


def _bare(text: str) -> str:
    return " ".join(text.translate(_TYPED_ALIKE).lower().split())


def _why_not(bare: str, word: str, example: str) -> str:
    if _COMMA_DECIMAL.fullmatch(bare):
        return f"Write the {word} with a point, like {example}."
    return f"Type the {word} as a number, like {example}."
