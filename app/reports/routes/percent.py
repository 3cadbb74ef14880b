"""A return as a percentage, as pages and files write it."""

from fractions import Fraction

from app.basics.money import half_up
from app.web.filters import MINUS


def percent_of_cash(share: Fraction | None) -> str:
    """A share as whole percents with a real minus sign, like 35 %; nothing where there is none."""
    if share is None:
        return ""
    whole = half_up(share * 100)
    return f"{MINUS if whole < 0 else ''}{abs(whole):,} %"
