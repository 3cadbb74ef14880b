"""Lengths, times, percentages and rates of tax: read as people type them, held as whole numbers, shown again."""

import re
from enum import StrEnum
from fractions import Fraction
from typing import Final

from app.basics.errors import RuleError
from app.basics.money import PERCENT_WHOLE, half_up, money_plain

SHORTEST_MM: Final = 1
LONGEST_MM: Final = 20_000
LONGEST_MINUTES: Final = 24 * 60
LONGEST_WAIT: Final = 365 * 24 * 60
"""The longest anybody lets something dry, in minutes."""

MM_PER_INCH: Final = Fraction(254, 10)
_MM_PER_CM: Final = Fraction(10)
_MINUTES_PER_HOUR: Final = 60
_PERCENT_PLACES: Final = 2
_RATE_PLACES: Final = 4

RATE_WHOLE: Final = 1_000_000
"""One hundred percent, in millionths."""

_NUMBER = r"[0-9]{1,12}(?:\.[0-9]{1,12})?|\.[0-9]{1,12}"
_LENGTH = re.compile(
    rf"(?:(?P<plain>{_NUMBER})"
    r"|(?:(?P<whole>[0-9]{1,12})[ -])?(?P<top>[0-9]{1,2})/(?P<bottom>[0-9]{1,2}))"
    r" ?(?P<unit>[a-z.\"']*)"
)
_COMMA_DECIMAL = re.compile(r"[0-9]+,[0-9]+ ?[a-z%.\"']*")
_BELOW_ZERO = re.compile(r"[-\u2212\u2013] ?[.0-9].*")
_TAPE_FRACTIONS: Final = frozenset({2, 4, 8, 16, 32, 64})
_TYPED_ALIKE: Final = str.maketrans(
    {"\u2044": "/", "\u2033": '"', "\u201d": '"', "\u00a0": " ", "\u202f": " "}
    | {"½": " 1/2", "¼": " 1/4", "¾": " 3/4", "⅛": " 1/8", "⅜": " 3/8", "⅝": " 5/8", "⅞": " 7/8"}
)
_INCH_WORDS: Final = frozenset({"in", "in.", "inch", "inches", '"', "''"})
_MM_PER_UNIT: Final = {
    **dict.fromkeys(_INCH_WORDS, MM_PER_INCH),
    **dict.fromkeys(("cm", "centimetre", "centimetres", "centimeter", "centimeters"), _MM_PER_CM),
    **dict.fromkeys(("mm", "millimetre", "millimetres", "millimeter", "millimeters"), Fraction(1)),
}
# Finer steps of an inch, tried in this order until one reads back as the same millimetre.
_INCH_STEPS: Final = (1, 2, 4, 8, 10, 100)

_HOUR_WORD: Final = r"(?:h|hr|hrs|hour|hours)"
_MINUTE_WORD: Final = r"(?:m|min|mins|minute|minutes)"
_MINUTES_ALONE = re.compile(rf"([0-9]{{1,12}}) ?{_MINUTE_WORD}?")
_AS_CLOCK = re.compile(r"([0-9]{1,12}):([0-5][0-9])")
_HOURS_ALONE = re.compile(rf"({_NUMBER}) ?{_HOUR_WORD}")
_HOURS_AND_MINUTES = re.compile(rf"([0-9]{{1,12}}) ?{_HOUR_WORD} ?([0-5]?[0-9])(?: ?{_MINUTE_WORD})?")

_MINUTES_PER_DAY: Final = 24 * _MINUTES_PER_HOUR
_SHOWN_IN_HOURS: Final = 2 * _MINUTES_PER_DAY
_MINUTES_PER_WORD: Final = {
    **dict.fromkeys(("m", "min", "mins", "minute", "minutes"), 1),
    **dict.fromkeys(("h", "hr", "hrs", "hour", "hours"), _MINUTES_PER_HOUR),
    **dict.fromkeys(("d", "day", "days"), _MINUTES_PER_DAY),
    **dict.fromkeys(("w", "week", "weeks"), 7 * _MINUTES_PER_DAY),
}
_WAIT_PART: Final = rf"({_NUMBER}) ?({'|'.join(sorted(_MINUTES_PER_WORD, key=len, reverse=True))})\.?"
_WAIT = re.compile(rf"{_WAIT_PART}(?:(?: ?, ?| and | ?){_WAIT_PART})*")
_NO_WAIT = re.compile(r"0+")
_BARE_NUMBER = re.compile(_NUMBER)

_PERCENT = re.compile(rf"({_NUMBER}) ?%?")


class Units(StrEnum):
    """How the owner measures: lengths are typed and shown in inches, or in centimetres."""

    IMPERIAL = "imperial"
    METRIC = "metric"


def parse_length(text: str, units: Units) -> int:
    """Read a length as whole millimetres: in the owner's units unless the text names inches, cm or mm.

    Inches may have a fraction, as on a tape. Refuses what is no length, and lengths under 1 mm or over 20 m
    (RuleError).
    """
    bare = _as_typed(text)
    match = _LENGTH.fullmatch(bare)
    unit = (match["unit"] if match else "") or ("in" if units is Units.IMPERIAL else "cm")
    if match is None or unit not in _MM_PER_UNIT:
        raise RuleError(_why_no_length(bare, units))
    number = Fraction(match["plain"]) if match["plain"] else _on_the_tape(match, unit)
    mm = half_up(number * _MM_PER_UNIT[unit])
    if not SHORTEST_MM <= mm <= LONGEST_MM:
        longest = f"{LONGEST_MM // MM_PER_INCH} in" if units is Units.IMPERIAL else "2,000 cm"
        raise RuleError(f"A length must be more than nothing and at most {longest}.")
    return mm


def _as_typed(text: str) -> str:
    return " ".join(text.translate(_TYPED_ALIKE).lower().split())


def _on_the_tape(match: re.Match[str], unit: str) -> Fraction:
    top, bottom = int(match["top"]), int(match["bottom"])
    if unit not in _INCH_WORDS:
        raise RuleError("Fractions are for inches. Write centimetres with a point, like 80.5.")
    if bottom not in _TAPE_FRACTIONS or not 0 < top < bottom:
        raise RuleError("Write the fraction as on a tape, in halves down to sixty-fourths, like 31 1/2.")
    return int(match["whole"] or 0) + Fraction(top, bottom)


def _why_no_length(bare: str, units: Units) -> str:
    example = "31.5 or 31 1/2" if units is Units.IMPERIAL else "80.5"
    if _COMMA_DECIMAL.fullmatch(bare):
        return f"Write the length with a point, like {example}."
    if _BELOW_ZERO.fullmatch(bare):
        return f"A length is never below zero. Type it without the minus sign, like {example}."
    if units is Units.IMPERIAL:
        return f"Type the length in inches, like {example}."
    return f"Type the length in centimetres, like {example}, or in millimetres, like 805 mm."


def format_length(mm: int, units: Units) -> str:
    """Show a length as 31 1/2 in, to the nearest quarter inch, or as 80.5 cm."""
    return f"{_length_number(mm, units)} {_unit_word(units)}"


def format_dimensions(width_mm: int | None, depth_mm: int | None, height_mm: int | None, units: Units) -> str:
    """Show the sides that are known as W 31 1/2 x D 18 x H 30 in; nothing at all when none is."""
    sides = (("W", width_mm), ("D", depth_mm), ("H", height_mm))
    known = [f"{letter} {_length_number(mm, units)}" for letter, mm in sides if mm is not None]
    return f"{' x '.join(known)} {_unit_word(units)}" if known else ""


def _unit_word(units: Units) -> str:
    return "in" if units is Units.IMPERIAL else "cm"


def _length_number(mm: int, units: Units) -> str:
    if units is Units.METRIC:
        return length_plain(mm, units)
    inches, quarters = divmod(half_up(mm / MM_PER_INCH * 4), 4)
    if not inches and not quarters:
        return "under 1/4"
    part = ("", "1/4", "1/2", "3/4")[quarters]
    return " ".join(word for word in (str(inches) if inches else "", part) if word)


def length_plain(mm: int, units: Units) -> str:
    """Write a length without its unit, for a form value that reads back as the same millimetre."""
    if units is Units.METRIC:
        return _trimmed(money_plain(mm, 1))
    for step in _INCH_STEPS:
        inches = Fraction(half_up(mm / MM_PER_INCH * step), step)
        if half_up(inches * MM_PER_INCH) == mm:
            break
    return _trimmed(f"{float(inches):.3f}")


def _trimmed(number: str) -> str:
    return number.rstrip("0").rstrip(".")


def parse_minutes(text: str) -> int:
    """Read working time as whole minutes: 40, 90m, 1:20, 1h 20, 1 h 20 min or 1.5 h.

    Refuses anything else, no time at all, and more than a day (RuleError).
    """
    bare = _as_typed(text)
    if match := _MINUTES_ALONE.fullmatch(bare):
        minutes = int(match[1])
    elif match := _AS_CLOCK.fullmatch(bare) or _HOURS_AND_MINUTES.fullmatch(bare):
        minutes = int(match[1]) * _MINUTES_PER_HOUR + int(match[2])
    elif match := _HOURS_ALONE.fullmatch(bare):
        minutes = half_up(Fraction(match[1]) * _MINUTES_PER_HOUR)
    else:
        raise RuleError("Type the time in minutes, like 90, or in hours and minutes, like 1:30 or 1.5 h.")
    if not 1 <= minutes <= LONGEST_MINUTES:
        raise RuleError("The time must be at least 1 minute and at most 24 hours.")
    return minutes


def format_minutes(minutes: int) -> str:
    """Show minutes, any number from 0 on, as 1 h 20 min; refuses a number below zero (ValueError)."""
    if minutes < 0:
        raise ValueError("Working time is never below zero.")
    hours, rest = divmod(minutes, _MINUTES_PER_HOUR)
    words = [f"{hours} h"] if hours else []
    return " ".join([*words, f"{rest} min"] if rest or not hours else words)


def parse_wait(text: str) -> int:
    """Read how long something works, dries or hardens as whole minutes: 4 h, 30 min, 3 days, 2 weeks, 1 day 4 h.

    Nothing at all may be typed as 0. Refuses a number without its unit, anything else, and more than a year
    (RuleError).
    """
    bare = _as_typed(text)
    if _NO_WAIT.fullmatch(bare):
        return 0
    if _WAIT.fullmatch(bare) is None:
        raise RuleError(_why_no_wait(bare))
    parts = re.findall(_WAIT_PART, bare)
    minutes = half_up(sum((Fraction(number) * _MINUTES_PER_WORD[word] for number, word in parts), Fraction(0)))
    if minutes > LONGEST_WAIT:
        raise RuleError("A time is at most 365 days.")
    return minutes


def _why_no_wait(bare: str) -> str:
    if _BARE_NUMBER.fullmatch(bare):
        return "Say what it is behind the number: min, h, days or weeks, like 4 h."
    if _COMMA_DECIMAL.fullmatch(bare):
        return "Write the time with a point, like 1.5 h."
    if _BELOW_ZERO.fullmatch(bare):
        return "A time is never below zero. Type it without the minus sign, like 4 h."
    return "Type the time with its unit, like 30 min, 4 h, 3 days or 2 weeks."


def format_wait(minutes: int) -> str:
    """Show a time to wait, in minutes, as 30 min, 4 h, 36 h or 3 days; it reads back as the same minutes.

    Refuses a number below zero (ValueError).
    """
    if minutes < 0:
        raise ValueError("A time to wait is never below zero.")
    days, rest = divmod(minutes, _MINUTES_PER_DAY)
    if minutes < _SHOWN_IN_HOURS and rest:
        return format_minutes(minutes)
    words = [f"{days} {'day' if days == 1 else 'days'}"] if days else []
    return " ".join([*words, format_minutes(rest)] if rest or not days else words)


def parse_percent(text: str) -> int:
    """Read 13, 13.25 or 13 %, from 0 to 100, as hundredths of a percent; refuses all else (RuleError)."""
    return _share(text, _PERCENT_PLACES, PERCENT_WHOLE, "13", "13.25")


def parse_rate(text: str) -> int:
    """Read a rate of tax, 8, 8.875 or 8.875 %, from 0 to 100 percent, as millionths; refuses all else (RuleError)."""
    return _share(text, _RATE_PLACES, RATE_WHOLE, "8", "8.875")


def _share(text: str, places: int, whole: int, example: str, finer: str) -> int:
    """A percentage of at most `places` decimals as parts of `whole`, which stands for all of it."""
    bare = _as_typed(text)
    match = _PERCENT.fullmatch(bare)
    if match is None:
        if _COMMA_DECIMAL.fullmatch(bare):
            raise RuleError(f"Write the percentage with a point, like {finer}.")
        raise RuleError(f"Type a percentage from 0 to 100, like {example} or {finer}.")
    if len(match[1].partition(".")[2]) > places:
        raise RuleError(f"Type at most {places} digits after the point, like {finer}.")
    parts = int(Fraction(match[1]) * whole / 100)
    if parts > whole:
        raise RuleError(f"Type a percentage from 0 to 100, like {example} or {finer}.")
    return parts


def percent_plain(hundredths: int) -> str:
    """Write hundredths of a percent without the sign, like 13.25: for form values and for files."""
    return _trimmed(money_plain(hundredths, _PERCENT_PLACES))


def format_percent(hundredths: int) -> str:
    """Show hundredths of a percent as 13% or 13.25%."""
    return f"{percent_plain(hundredths)}%"


def rate_plain(millionths: int) -> str:
    """Write a rate in millionths as a percentage without the sign, like 8.875: for form values and for files."""
    return _trimmed(money_plain(millionths, _RATE_PLACES))


def format_rate(millionths: int) -> str:
    """Show a rate in millionths as 8% or 8.875%."""
    return f"{rate_plain(millionths)}%"
