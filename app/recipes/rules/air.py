"""The air a coating dries in: dew point, moisture of wood, and whether it is too damp or too cold to coat.

Temperatures are degrees Celsius, humidity is relative, in percent. These are measured quantities, so binary
fractions do.

Formulae: the saturation pressure of water is Magnus's with the constants 17.62 and 243.12 of the World Meteorological
Organization; the moisture of wood is the Hailwood-Horrobin form of the USDA Wood Handbook, chapter 4, in degrees
Celsius.
"""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from math import exp, log
from types import MappingProxyType
from typing import Final

from app.basics.errors import RuleError
from app.recipes.rules.advice import Advice
from app.recipes.rules.bases import Base
from app.recipes.rules.levels import Level
from app.recipes.rules.products import COMMON_PRACTICE, WOOD_HANDBOOK_16

COLDEST_C: Final = -40.0
WARMEST_C: Final = 60.0
"""Between these the dew point is within 0.35 degrees."""

DEW_MARGIN_C: Final = 3.0
DEW_SOURCE: Final = "borrowed from metal painting practice"
DAMP_PERCENT: Final = 85.0
WARMEST_TO_COAT_C: Final = 32.0
COLDEST_TO_COAT_C: Final = 10.0
MOST_STRETCH: Final = 4.0
STRETCH_SOURCE: Final = "an estimate; no published rule was found"
USUAL_C: Final = 21.0
USUAL_PERCENT: Final = 50.0

_MAGNUS_A: Final = 17.62
_MAGNUS_B: Final = 243.12
_MAGNUS_HPA: Final = 6.112
_WHOLE: Final = 100.0
_DOUBLING_C: Final = 10.0


@dataclass(frozen=True)
class _Limit:
    """A limit of one base, with what happens past it and where it is from."""

    at: float
    words: str
    source: str


_COLD: Final[Mapping[Base, _Limit]] = MappingProxyType(
    {
        Base.WATERBORNE: _Limit(
            10.0, "Below 10 °C (50 °F) most waterborne coatings do not form a sound film.", WOOD_HANDBOOK_16
        ),
        Base.OIL: _Limit(4.0, "Below 4 °C (40 °F) an oil coating does not dry soundly.", WOOD_HANDBOOK_16),
    }
)
_DAMP: Final[Mapping[Base, _Limit]] = MappingProxyType(
    {
        Base.LACQUER: _Limit(
            60.0, "Lacquer may turn cloudy in air this damp.", "a turner's note gives 60 %; 60 to 65 % is usual"
        ),
        Base.SHELLAC: _Limit(
            65.0, "Shellac may turn cloudy in air this damp.", f"a newspaper's advice; the figure is {COMMON_PRACTICE}"
        ),
    }
)
_STAYS_WARM_C: Final = 5.0


def saturation_hpa(temp_c: float) -> float:
    """The pressure of water vapour in saturated air, in hectopascals; refuses as `dew_point_c`."""
    temp = _temperature(temp_c)
    return _MAGNUS_HPA * exp(_MAGNUS_A * temp / (_MAGNUS_B + temp))


def dew_point_c(temp_c: float, rh: float) -> float:
    """The temperature at which this air begins to leave water on a surface, never above its own.

    Refuses a temperature outside -40 to 60, a humidity outside 0 to 100, and 0, of which there is none (RuleError).
    """
    temp, share = _temperature(temp_c), _humidity(rh) / _WHOLE
    if not share:
        raise RuleError("No air is as dry as 0 %. Look at the meter again.", "humidity")
    gamma = log(share) + _MAGNUS_A * temp / (_MAGNUS_B + temp)
    return min(_MAGNUS_B * gamma / (_MAGNUS_A - gamma), temp)


def equilibrium_moisture(temp_c: float, rh: float) -> float:
    """The moisture wood settles at in this air, in percent of its dry weight; 0 in air without any.

    Refuses a temperature outside -40 to 60 and a humidity outside 0 to 100 (RuleError).
    """
    t, h = _temperature(temp_c), _humidity(rh) / _WHOLE
    w = 349 + 1.29 * t + 0.0135 * t**2
    k = 0.805 + 0.000736 * t - 0.00000273 * t**2
    k1 = 6.27 - 0.00938 * t - 0.000303 * t**2
    k2 = 1.91 + 0.0407 * t - 0.000293 * t**2
    once, twice = k1 * k * h, k1 * k2 * (k * h) ** 2
    return 1800 / w * (k * h / (1 - k * h) + (once + 2 * twice) / (1 + once + twice))


def air_findings(temp_c: float, rh: float, *, base: Base, surface_c: float | None = None) -> tuple[Advice, ...]:
    """What in this air speaks against coating, the weightiest first; nothing when it is fit.

    `surface_c` is the temperature of the piece, that of the air when it was not taken. Refuses as `dew_point_c`.
    """
    surface = temp_c if surface_c is None else _temperature(surface_c, "surface")
    dew = dew_point_c(temp_c, rh)
    found = [*_of_dew(surface, dew), *_of_cold(min(temp_c, surface), base), *_of_heat(temp_c), *_of_damp(rh, base)]
    order = list(Level)
    return tuple(sorted(found, key=lambda one: order.index(one.level)))


def _of_dew(surface: float, dew: float) -> Iterator[Advice]:
    if surface < dew + DEW_MARGIN_C:
        words = "The surface is less than 3 °C (5 °F) above the dew point, so it may be wet before you see it."
        yield Advice(Level.STOP, words, DEW_SOURCE)


def _of_cold(temp: float, base: Base) -> Iterator[Advice]:
    limit = _COLD.get(base)
    if limit and temp < limit.at:
        yield Advice(Level.STOP, limit.words, limit.source)
    elif temp < COLDEST_TO_COAT_C:
        yield Advice(Level.WARN, "It is below 10 °C (50 °F): coatings dry slowly and poorly.", "an extension service")
    elif base is Base.WATERBORNE and temp < COLDEST_TO_COAT_C + _STAYS_WARM_C:
        words = "It has to stay above 10 °C (50 °F) for 24 hours after the coat."
        yield Advice(Level.NOTE, words, WOOD_HANDBOOK_16)


def _of_heat(temp: float) -> Iterator[Advice]:
    if temp > WARMEST_TO_COAT_C:
        words = "It is above 32 °C (90 °F): a coat may dry before it has levelled."
        yield Advice(Level.WARN, words, "the range an extension service gives")


def _of_damp(rh: float, base: Base) -> Iterator[Advice]:
    limit = _DAMP.get(base)
    if rh > DAMP_PERCENT:
        words = "Above 85 % humidity a coat dries slowly and may stay soft or dull."
        yield Advice(Level.WARN, words, COMMON_PRACTICE)
    if limit and rh > limit.at:
        yield Advice(Level.WARN, limit.words, limit.source)


def evaporation_factor(temp_c: float, rh: float) -> float:
    """How many times as long water takes to leave as at 21 degrees and 50 %; endless in air that is full.

    It follows how much more vapour the air can take up, and leaves out draught, film and the forming of the film. Our
    own reckoning. Refuses as `equilibrium_moisture`.
    """
    room_left = saturation_hpa(temp_c) * (1 - _humidity(rh) / _WHOLE)
    usual = saturation_hpa(USUAL_C) * (1 - USUAL_PERCENT / _WHOLE)
    return usual / room_left if room_left else float("inf")


def drying_stretch(temp_c: float, rh: float, base: Base) -> float:
    """How many times as long as usual to wait in this air: an estimate, never below 1 and at most `MOST_STRETCH`.

    A waterborne coat follows `evaporation_factor`; the others follow temperature alone, twice as long for each 10
    degrees below 21 (common practice, no source); what is not known takes the longer of the two. At the cap the advice
    is to wait or to warm the room. Refuses as `equilibrium_moisture`.
    """
    by_water = evaporation_factor(temp_c, rh)
    by_cold = 2 ** ((USUAL_C - temp_c) / _DOUBLING_C)
    by_base = {Base.WATERBORNE: by_water, Base.OTHER: max(by_water, by_cold)}
    return min(max(by_base.get(base, by_cold), 1.0), MOST_STRETCH)


def _temperature(temp_c: float, field: str = "temperature") -> float:
    if not COLDEST_C <= temp_c <= WARMEST_C:
        raise RuleError("Type a temperature from -40 to 60 °C (-40 to 140 °F).", field)
    return temp_c


def _humidity(rh: float) -> float:
    if not 0 <= rh <= _WHOLE:
        raise RuleError("Relative humidity is from 0 to 100 %. Look at the meter again.", "humidity")
    return rh
