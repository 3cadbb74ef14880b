"""Mixing: parts of a ratio, thinning by a share of the paint, and diluting a concentrate.

Volumes are millilitres and stay exact, so that the parts of a mix always add up to the whole. Shares are hundredths of
a percent (1000 is 10 %).
"""

import re
from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction
from typing import Final, TypeAlias

from app.basics.errors import RuleError
from app.basics.money import PERCENT_WHOLE
from app.recipes.rules.products import COMMON_PRACTICE

Number: TypeAlias = int | Fraction
"""A quantity that stays exact."""

MOST_PARTS: Final = 4
MOST_OF_A_PART: Final = 1000

_PART: Final = r"[0-9]{1,4}(?:\.[0-9]{1,2})?"
_RATIO = re.compile(rf"({_PART})((?: ?: ?{_PART})*)(?: ?: ?({_PART}) ?%)?")
_COMMA_DECIMAL = re.compile(r"[0-9],[0-9]")


@dataclass(frozen=True)
class Ratio:
    """Parts by volume, the first the paint, and thinner on top: hundredths of a percent of all the parts together."""

    parts: tuple[Number, ...] = (1,)
    thin_hundredths: int = 0

    @property
    def all_parts(self) -> tuple[Fraction, ...]:
        """The parts with the thinner as the last one, where there is any."""
        parts = tuple(Fraction(part) for part in self.parts)
        thinner = sum(parts, Fraction(0)) * Fraction(self.thin_hundredths, PERCENT_WHOLE)
        return (*parts, thinner) if thinner else parts

    @property
    def words(self) -> str:
        """The ratio as it is typed, like 1:4 or 4:1:10%."""
        thinner = [f"{_plain(Fraction(self.thin_hundredths, 100))}%"] if self.thin_hundredths else []
        return ":".join([*(_plain(part) for part in self.parts), *thinner])


UNMIXED: Final = Ratio()
"""Used as it comes out of the can."""

USUAL_WASH: Final = Ratio((1, 4))
"""One part of paint in four of water."""

WASH_SOURCE: Final = f"one to four parts of water: {COMMON_PRACTICE}"

MOST_WATER_HUNDREDTHS: Final = 10_00
"""From here on water weakens a full coat of waterborne paint; common practice, the label rules."""


def parse_ratio(text: str) -> Ratio:
    """Read 1:4, 1 : 4 or 4:1:10%, where the percentage is thinner on all that stands before it.

    Takes two to four parts of at most 1,000 with at most two decimals. Refuses all else (RuleError).
    """
    bare = " ".join(text.split())
    match = _RATIO.fullmatch(bare)
    if match is None:
        point = " Write parts of a part with a point, like 1:2.5." if _COMMA_DECIMAL.search(bare) else ""
        raise RuleError(f"Type the parts with colons between them, like 1:4 or 4:1:10%.{point}")
    parts = [Fraction(part) for part in (match[1], *re.findall(_PART, match[2]))]
    thin = Fraction(match[3] or 0)
    if len(parts) == 1 and not thin:
        raise RuleError("Type at least two parts, like 1:4.")
    if len(parts) > MOST_PARTS:
        raise RuleError(f"A mix has at most {MOST_PARTS} parts here.")
    if max(parts) > MOST_OF_A_PART:
        raise RuleError(f"Type parts of at most {MOST_OF_A_PART:,}.")
    require_share(int(thin * 100))
    _whole(parts)
    return Ratio(tuple(parts), int(thin * 100))


def mix_by_parts(total_ml: Number, parts: Sequence[Number]) -> tuple[Fraction, ...]:
    """How much of each part makes the total; together they are exactly the total.

    Refuses a total not above nothing, no parts, a part below nothing, and parts that are all nothing (RuleError).
    """
    total = _above_nothing(total_ml, "A mix has to be more than nothing.")
    whole = _whole(parts)
    return tuple(total * part / whole for part in parts)


def mix_from_part(have_ml: Number, place: int, parts: Sequence[Number]) -> tuple[Fraction, ...]:
    """How much of each part goes with what is in hand of the one at `place`, counted from 0.

    Refuses what `mix_by_parts` refuses, and a part that is not in the mix (RuleError).
    """
    have = _above_nothing(have_ml, "What you have has to be more than nothing.")
    _whole(parts)
    if not 0 <= place < len(parts) or not parts[place]:
        raise RuleError("The mix has none of that part. Choose another one.")
    return tuple(have * part / parts[place] for part in parts)


def scale_mix(amounts_ml: Sequence[Number], jar_ml: Number) -> tuple[Fraction, ...]:
    """A mix made larger or smaller so that it just fills a jar; refuses what `mix_by_parts` refuses (RuleError)."""
    return mix_by_parts(jar_ml, amounts_ml)


def shares_of_mix(parts: Sequence[Number]) -> tuple[Fraction, ...]:
    """Each part's share of the whole: 1:4 is one part in five, a fifth. Refuses what `mix_by_parts` refuses."""
    return mix_by_parts(1, parts)


@dataclass(frozen=True)
class Thinned:
    """Paint and the thinner in it, in ml."""

    paint: Fraction
    thinner: Fraction

    @property
    def total(self) -> Fraction:
        """Both together."""
        return self.paint + self.thinner


def thin(paint_ml: Number, hundredths: int) -> Thinned:
    """Thin paint by a share of its own volume: 500 ml by 10 % takes 50 ml, of which 550 ml become.

    Refuses no paint, and a share below 0 or over 100 % (RuleError).
    """
    paint = _above_nothing(paint_ml, "There has to be some paint to thin.")
    return Thinned(paint, paint * require_share(hundredths))


def thin_to_volume(total_ml: Number, hundredths: int) -> Thinned:
    """Thin by a share of the paint's volume so that paint and thinner come to the total; refuses as `thin`."""
    total = _above_nothing(total_ml, "A mix has to be more than nothing.")
    paint = total / (1 + require_share(hundredths))
    return Thinned(paint, total - paint)


def thinned_solids(solids: Number, hundredths: int) -> Fraction:
    """What share of a thinned paint's volume stays as film, from that of the paint in the can; refuses as `thin`."""
    return Fraction(solids) / (1 + require_share(hundredths))


def dilute(stock_ml: Number, strong_hundredths: int, weak_hundredths: int) -> Fraction:
    """How much to add to a stock of one strength to bring it to a weaker one, in ml; volumes are taken to add up.

    Refuses no stock, a strength not above 0 or over 100 %, and a weaker one that is stronger (RuleError).
    """
    stock = _above_nothing(stock_ml, "There has to be some of it to dilute.")
    strong, weak = require_share(strong_hundredths), require_share(weak_hundredths)
    if not weak or weak > strong:
        raise RuleError("Thinning cannot make it stronger, nor take all strength from it. Look at both strengths.")
    return stock * (strong / weak - 1)


def require_share(hundredths: int) -> Fraction:
    """Hundredths of a percent as a part of one; refuses below 0 and over 100 % (RuleError)."""
    if not 0 <= hundredths <= PERCENT_WHOLE:
        raise RuleError("Type a percentage from 0 to 100, like 10.")
    return Fraction(hundredths, PERCENT_WHOLE)


def _above_nothing(amount: Number, message: str) -> Fraction:
    if amount <= 0:
        raise RuleError(message)
    return Fraction(amount)


def _whole(parts: Sequence[Number]) -> Fraction:
    """All parts together; refuses what makes no mix."""
    if not parts:
        raise RuleError("A mix needs parts, like 1:4.")
    if min(parts) < 0:
        raise RuleError("A part is never below zero.")
    whole = sum((Fraction(part) for part in parts), Fraction(0))
    if not whole:
        raise RuleError("At least one part has to be more than 0.")
    return whole


def _plain(number: Number) -> str:
    return f"{float(number):.2f}".rstrip("0").rstrip(".")
