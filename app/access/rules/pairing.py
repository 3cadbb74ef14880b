"""The one-time code by which a phone is paired: how it is written, read and how long it holds."""

import secrets
from datetime import datetime, timedelta
from typing import Final

from app.basics.errors import RuleError

PAIRING_FOR: Final = timedelta(minutes=10)
# Nothing that is mistaken for something else when it is read off a screen and typed.
_SYMBOLS: Final = "23456789ABCDEFGHJKLMNPQRSTUVWXYZ"
_LENGTH: Final = 28
_GROUP: Final = 4


class PairingRefused(RuleError):
    """A code that pairs nothing: never made, used before, or too old."""


def new_code() -> str:
    """A code of 140 random bits, as it stands in an address."""
    return "".join(secrets.choice(_SYMBOLS) for _ in range(_LENGTH))


def code_to_type(code: str) -> str:
    """The code in groups of four, to be read off a screen and typed."""
    return " ".join(code[start : start + _GROUP] for start in range(0, len(code), _GROUP))


def read_code(typed: str) -> str:
    """The code behind what was typed or scanned: blanks, dashes and small letters are overlooked."""
    return "".join(mark for mark in typed.upper() if mark.isalnum())[: 2 * _LENGTH]


def pairing_is_open(made_at: datetime, used_at: datetime | None, now: datetime) -> bool:
    """Tell whether a code made then may still pair a phone: once, and within ten minutes."""
    return used_at is None and now - made_at < PAIRING_FOR


def why_closed(made_at: datetime | None, used_at: datetime | None) -> PairingRefused:
    """What to tell who came with a code that is not open; `made_at` is None for one that was never made."""
    if made_at is None:
        return PairingRefused("That is not a code of this shop. Scan or type it once more.", "code")
    if used_at is not None:
        return PairingRefused(
            "This code has paired a phone already, and it works once. If that was not you, revoke the phone you do"
            " not know under Settings, Phones, and make another code there.",
            "code",
        )
    return PairingRefused("This code is older than 10 minutes. Make another under Settings, Phones.", "code")
