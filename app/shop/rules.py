"""What the shop's facts may be."""

from dataclasses import dataclass
from datetime import date

from app.basics.dates import known_zone, require_not_future
from app.basics.errors import RuleError
from app.basics.money import known_currencies
from app.basics.quantities import Units

DEFAULT_SITS_TOO_LONG_DAYS = 60
MOST_THRESHOLD_DAYS = 3650


@dataclass(frozen=True)
class ShopFacts:
    """The shop's own facts, as one row holds them."""

    name: str
    currency: str
    time_zone: str
    units: Units
    started_on: date
    sits_too_long_days: int = DEFAULT_SITS_TOO_LONG_DAYS
    version: int = 0


class CurrencyIsFixed(RuleError):
    """Amounts stand in the ledger; their currency cannot be exchanged under them."""


def require_sound(facts: ShopFacts, today: date) -> None:
    """Refuse a shop without a name, in an unknown currency or zone, or starting in the future."""
    if not facts.name:
        raise RuleError("Give your shop a name; you can change it later.", "name")
    if facts.currency not in {code for code, _name in known_currencies()}:
        raise RuleError("Choose a currency from the list.", "currency")
    if not known_zone(facts.time_zone):
        raise RuleError("Choose a time zone from the list.", "time_zone")
    require_not_future(facts.started_on, today, "started_on")
    if not 1 <= facts.sits_too_long_days <= MOST_THRESHOLD_DAYS:
        raise RuleError(f"Give a number of days from 1 to {MOST_THRESHOLD_DAYS}.", "sits_too_long_days")
