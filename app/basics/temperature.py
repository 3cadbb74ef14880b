"""Temperatures as the owner says them, held in tenths of a degree C."""

import re
from fractions import Fraction
from typing import Final

from app.basics.errors import RuleError
from app.basics.money import half_up
from app.basics.quantities import Units

COLDEST_TENTHS: Final = -400
HOTTEST_TENTHS: Final = 600

_TEMPERATURE = re.compile(r"([-\u2212]?[0-9]{1,3}(?:\.[0-9]{1,2})?) ?°? ?([cf]?)")


def parse_temperature(text: str, units: Units) -> int:
    """Read a temperature as tenths of a degree C: in the shop's degrees unless C or F is written behind it.

    Refuses what is no temperature, and what is outside -40 to 60 °C (RuleError).
    """
    match = _TEMPERATURE.fullmatch(text.strip().lower())
    example = "68" if units is Units.IMPERIAL else "20"
    if match is None:
        raise RuleError(f"Type the temperature in degrees, like {example}.")
    degrees = Fraction(match[1].replace("\u2212", "-"))
    is_fahrenheit = match[2] == "f" or (not match[2] and units is Units.IMPERIAL)
    tenths = half_up((degrees - 32) * 50 / 9 if is_fahrenheit else degrees * 10)
    if not COLDEST_TENTHS <= tenths <= HOTTEST_TENTHS:
        raise RuleError("Type a temperature from -40 to 60 °C (-40 to 140 °F).")
    return tenths


def temperature_plain(tenths: int, units: Units) -> str:
    """Write a temperature without its sign for a form value that reads back as the same tenths of a degree C."""
    if units is Units.METRIC:
        return _trimmed(tenths)
    fahrenheit = Fraction(tenths * 9, 50) + 32
    whole = half_up(fahrenheit)
    if half_up(Fraction(whole - 32) * 50 / 9) == tenths:
        return str(whole)
    return _trimmed(half_up(fahrenheit * 10))


def format_temperature(tenths: int, units: Units) -> str:
    """Show a temperature to the nearest whole degree, like 68 °F or 20 °C."""
    if units is Units.METRIC:
        return f"{half_up(Fraction(tenths, 10))} °C"
    return f"{half_up(Fraction(tenths * 9, 50) + 32)} °F"


def _trimmed(tenths: int) -> str:
    sign, (whole, part) = "-" if tenths < 0 else "", divmod(abs(tenths), 10)
    return f"{sign}{whole}.{part}" if part else f"{sign}{whole}"
