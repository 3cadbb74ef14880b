"""Money as whole minor units: splitting, reading what was typed, rounding and showing it."""

import re
import unicodedata
from collections.abc import Sequence
from decimal import Decimal
from fractions import Fraction
from typing import Final

from babel import Locale
from babel.core import UnknownLocaleError, get_global
from babel.numbers import format_currency, format_decimal, get_currency_name, get_currency_precision, is_currency

from app.basics.errors import RuleError

UNITS_LIMIT: Final = 9_999_999_999
"""The largest amount anybody may type, in whole units of the currency."""

PERCENT_WHOLE: Final = 10_000
"""One hundred percent, in hundredths of a percent."""

_USUAL_PLACES: Final = 2
_NO_PLACES: Final = "BIF CLP DJF GNF ISK JPY KMF KRW PYG RWF UGX UYI VND VUV XAF XOF XPF"
_THREE_PLACES: Final = "BHD IQD JOD KWD LYD OMR TND"
_FOUR_PLACES: Final = "CLF UYW"
_OTHER_PLACES: Final = {
    **dict.fromkeys(_NO_PLACES.split(), 0),
    **dict.fromkeys(_THREE_PLACES.split(), 3),
    **dict.fromkeys(_FOUR_PLACES.split(), 4),
}

_AMOUNT = re.compile(
    r"(?P<whole>[0-9]+|[1-9][0-9]{0,2}(?:,[0-9]{3})+|[1-9][0-9]{0,2}(?:[ \u00a0\u2009\u202f][0-9]{3})+|)"
    r"(?:\.(?P<part>[0-9]+))?"
)
_COMMA_DECIMAL = re.compile(r"[0-9][0-9. \u00a0\u2009\u202f]*,[0-9]+")
_BELOW_ZERO = re.compile(r"[-\u2212\u2013].*|\(.*\)|.*-", re.DOTALL)


class MoneyError(RuleError):
    """An amount was typed that cannot be read as money; the message says what to type instead."""


def split_exactly(total: int, weights: Sequence[int]) -> list[int]:
    """Share `total` minor units over `weights` by largest remainder, so that the parts add up to the whole.

    Ties go to the earlier line; a negative total is the mirror of its positive; weights that are all zero
    share equally. Refuses no weights at all, or a weight below zero (ValueError).
    """
    if not weights:
        raise ValueError("An amount cannot be split over nothing.")
    if min(weights) < 0:
        raise ValueError("An amount cannot be split by a weight below zero.")
    if total < 0:
        return [-part for part in split_exactly(-total, weights)]
    shares = list(weights) if any(weights) else [1] * len(weights)
    whole = sum(shares)
    parts, remainders = zip(*(divmod(total * share, whole) for share in shares), strict=True)
    left_over = total - sum(parts)
    largest_first = sorted(range(len(shares)), key=lambda line: -remainders[line])
    favoured = set(largest_first[:left_over])
    return [part + (line in favoured) for line, part in enumerate(parts)]


def half_up(value: Decimal | Fraction) -> int:
    """Round to a whole number, an exact half away from zero, so that a refund mirrors its sale.

    Refuses a float (TypeError) and what is not a finite number (ValueError).
    """
    if isinstance(value, float):
        raise TypeError("A binary fraction cannot hold money; give a Decimal or a Fraction.")
    if isinstance(value, Decimal) and not value.is_finite():
        raise ValueError("Only a finite number can be rounded.")
    exact = Fraction(value)
    size = (2 * abs(exact.numerator) + exact.denominator) // (2 * exact.denominator)
    return -size if exact < 0 else size


def percent_of(cents: int, percent_hundredths: int) -> int:
    """Take hundredths of a percent (1300 is 13 %) of an amount in minor units; rounded half-up, once."""
    return half_up(Fraction(cents * percent_hundredths, PERCENT_WHOLE))


def parse_money(text: str, *, places: int = 2) -> int:
    """Read a typed amount, never below zero, as minor units of a currency with `places` decimal places.

    Takes thousands in strict threes and one currency sign in front or behind. Refuses all else, and more
    than `UNITS_LIMIT`, with a MoneyError that says what to type.
    """
    example = money_plain(_example(places), places)
    bare = text.strip()
    if not bare:
        raise MoneyError(f"Type an amount, like {example}.")
    bare = _without_currency_sign(bare)
    match = _AMOUNT.fullmatch(bare)
    if match is None or not (match["whole"] or match["part"]):
        raise MoneyError(_why_unreadable(bare, example))
    part = match["part"] or ""
    if len(part) > places:
        raise MoneyError(_too_many_places(places, example))
    whole = re.sub(r"[^0-9]", "", match["whole"]).lstrip("0")
    # The length is looked at first: Python refuses to turn thousands of digits into a number.
    too_long = len(whole) > len(str(UNITS_LIMIT))
    cents: int = 0 if too_long else int(whole + part.ljust(places, "0") or "0")
    if too_long or cents > UNITS_LIMIT * 10**places:
        raise MoneyError(f"Type an amount of at most {UNITS_LIMIT:,}.")
    return cents


def _example(places: int) -> int:
    unit: int = 10**places
    return 12 * unit + (unit // 2 if places else 0)


def _without_currency_sign(bare: str) -> str:
    if unicodedata.category(bare[0]) == "Sc":
        return bare[1:].lstrip()
    if unicodedata.category(bare[-1]) == "Sc":
        return bare[:-1].rstrip()
    return bare


def _why_unreadable(bare: str, example: str) -> str:
    if _COMMA_DECIMAL.fullmatch(bare):
        return f"Write the amount with a point, like {example}. A comma may only group thousands, like 1,250."
    if _BELOW_ZERO.fullmatch(bare):
        return f"Amounts here are never below zero. Type it without the minus sign, like {example}."
    return f"Type the amount in plain digits, like {example}."


def _too_many_places(places: int, example: str) -> str:
    if places == 0:
        return f"Amounts here are whole. Type it without a point, like {example}."
    return f"Type at most {places} digit{'s' if places > 1 else ''} after the point, like {example}."


def money_plain(cents: int, places: int) -> str:
    """Write minor units with a point and no grouping, like 12.50: for form values and for files."""
    units, part = divmod(abs(cents), 10**places)
    sign = "-" if cents < 0 else ""
    return f"{sign}{units}.{part:0{places}d}" if places else f"{sign}{units}"


def format_plain_amount(cents: int, places: int, locale: str) -> str:
    """Write minor units without the currency's sign, grouped as in `locale`, a loss with a real minus sign."""
    pattern = "#,##0" + ("." + "0" * places if places else "")
    shown = format_decimal(Decimal(money_plain(abs(cents), places)), pattern, locale=_locale(locale))
    return f"\u2212{shown}" if cents < 0 else shown


def format_money(cents: int, currency: str, locale: str) -> str:
    """Write minor units of a currency as people in `locale` read it, a loss with a minus sign.

    Refuses a currency or a locale nobody knows (ValueError).
    """
    places = currency_places(currency)
    reader = _locale(locale)
    amount = Decimal(money_plain(cents, places))
    if get_currency_precision(currency) == places:
        return format_currency(amount, currency, locale=reader)
    # Where cents are out of use the locale data drops them; the ledger holds them, so they are shown.
    pattern = re.sub(
        r"0(\.[0#]+)?(?![0#,.])",
        "0" + "." * bool(places) + "0" * places,
        reader.currency_formats["standard"].pattern,
    )
    return format_currency(amount, currency, format=pattern, locale=reader, currency_digits=False)


def currency_places(currency: str) -> int:
    """How many decimal places a currency's minor unit has by ISO 4217; refuses an unknown code (ValueError).

    The list is held here, not taken from locale data, because a change of it would change every amount held.
    """
    if not is_currency(currency):
        raise ValueError(f"No currency has the code {currency!r}.")
    return _OTHER_PLACES.get(currency, _USUAL_PLACES)


def known_currencies(locale: str = "en_US") -> list[tuple[str, str]]:
    """Every currency in use somewhere as (code, name in the words of `locale`), in order of code."""
    reader = _locale(locale)
    in_use = {
        code
        for history in get_global("territory_currencies").values()
        for code, _start, end, is_tender in history
        if is_tender and end is None
    }
    return [(code, get_currency_name(code, locale=reader)) for code in sorted(in_use)]


def _locale(name: str) -> Locale:
    try:
        return Locale.parse(name.replace("-", "_"))
    except UnknownLocaleError as unknown:
        raise ValueError(f"No locale is called {name!r}.") from unknown
