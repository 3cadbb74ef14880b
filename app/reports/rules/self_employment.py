"""An estimate of the United States' self-employment tax: what it is taken from, its two parts, and its ceiling.

Rates and wage bases: Social Security Administration, table of automatic adjustments (2018 to 2025), and several
reports of the base of 2026. Nothing here is advice; the form of the year decides.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from fractions import Fraction
from types import MappingProxyType
from typing import Final

from app.basics.money import half_up

DOLLAR: Final = 100

SHARE_TAXED: Final = Fraction(9235, 10_000)
SOCIAL_SECURITY: Final = Fraction(124, 1_000)
MEDICARE: Final = Fraction(29, 1_000)
FLOOR_CENTS: Final = 400 * DOLLAR

ADDITIONAL_FROM: Final = (200_000 * DOLLAR, 250_000 * DOLLAR)
"""Above this, alone and as a couple filing together, a further 0.9 percent is due, which is not worked out here."""

WAGE_BASES: Final[Mapping[int, int]] = MappingProxyType(
    {
        2018: 128_400,
        2019: 132_900,
        2020: 137_700,
        2021: 142_800,
        2022: 147_000,
        2023: 160_200,
        2024: 168_600,
        2025: 176_100,
        2026: 184_500,
    }
)
"""Up to how many dollars of wages and net earnings together the social security part is taken, by year."""


@dataclass(frozen=True, slots=True)
class SelfEmploymentTax:
    """The estimate in cents; `room` is what other wages leave below the wage base."""

    year: int
    profit: int
    other_wages: int
    wage_base: int
    net_earnings: int
    room: int
    social_security: int
    medicare: int
    tax: int
    half: int

    @property
    def is_below_floor(self) -> bool:
        """Whether net earnings are too small for any of it."""
        return self.net_earnings < FLOOR_CENTS


def self_employment_tax(
    profit: int, year: int, *, other_wages: int = 0, whole_dollars: bool = False
) -> SelfEmploymentTax | None:
    """The tax on a year's profit in cents, or None for a year whose wage base is not known here.

    Exact, the tax is rounded once, at the end, and the Medicare part is what social security leaves of it. With
    `whole_dollars` every step is rounded to dollars first, as on paper; that may differ by a dollar.
    """
    base = WAGE_BASES.get(year)
    if base is None:
        return None
    unit = DOLLAR if whole_dollars else 1
    taken = _rounded(profit, unit)
    exact = max(taken * SHARE_TAXED, Fraction(0))
    earnings = Fraction(_rounded(exact, unit)) if whole_dollars else exact
    room = max(base * DOLLAR - _rounded(other_wages, unit), 0)
    is_due = earnings >= FLOOR_CENTS
    below_base = min(earnings, Fraction(room))
    social, medicare = (below_base * SOCIAL_SECURITY, earnings * MEDICARE) if is_due else (Fraction(0), Fraction(0))
    social_cents = _rounded(social, unit)
    tax = social_cents + _rounded(medicare, unit) if whole_dollars else half_up(social + medicare)
    return SelfEmploymentTax(
        year=year,
        profit=taken,
        other_wages=other_wages,
        wage_base=base * DOLLAR,
        net_earnings=half_up(earnings),
        room=room,
        social_security=social_cents,
        medicare=tax - social_cents,
        tax=tax,
        half=_rounded(Fraction(tax, 2), unit),
    )


def _rounded(cents: Fraction | int, unit: int) -> int:
    """Cents rounded half-up to whole units of so many cents."""
    return half_up(Fraction(cents) / unit) * unit
