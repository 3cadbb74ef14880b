"""What every page needs to know about the shop while one request is answered."""

from dataclasses import dataclass, field
from datetime import date
from pathlib import Path

from babel.numbers import get_currency_symbol
from flask import current_app, g

from app.basics.money import currency_places
from app.basics.quantities import Units
from app.database.unit_of_work import Ledger


@dataclass(frozen=True)
class Frame:
    """The shop's currency, units, zone and day, as forms and filters read them."""

    today: date
    currency: str = "USD"
    locale: str = "en_US"
    units: Units = Units.IMPERIAL
    zone: str = "UTC"
    shop_name: str = ""
    started_on: date | None = None
    sits_too_long_days: int = 60
    closed_through: date | None = None
    is_set_up: bool = False
    is_demo: bool = False
    places: int = field(init=False)
    sign: str = field(init=False)

    def __post_init__(self) -> None:
        """Work out once what follows from currency and locale."""
        object.__setattr__(self, "places", currency_places(self.currency))
        object.__setattr__(self, "sign", get_currency_symbol(self.currency, self.locale))


def frame() -> Frame:
    """The frame of the request being answered."""
    found: Frame = g.frame
    return found


def ledger() -> Ledger:
    """The open ledger of this application."""
    found: Ledger = current_app.extensions["tackcloth_ledger"]
    return found


def photo_dir() -> Path:
    """Where this shop's photos lie."""
    found: Path = current_app.extensions["tackcloth_settings"].photo_dir
    return found
