"""What a passphrase must be, how long a wrong try costs, and when a browser must sign in again."""

import hashlib
import unicodedata
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta
from ipaddress import IPv4Address, IPv6Address, ip_address, ip_network
from math import ceil
from typing import Final

from app.basics.errors import RuleError
from app.basics.words import fold

SHORTEST: Final = 15
LONGEST: Final = 256

SIGNED_IN_FOR: Final = timedelta(days=30)
IDLE_FOR: Final = timedelta(days=14)
SEEN_EVERY: Final = timedelta(minutes=5)

# A family shares an address rarely, a whole network often: the second allowance stops one that changes address.
FREE_TRIES_PER_ADDRESS: Final = 5
FREE_TRIES_IN_ALL: Final = 20
LONGEST_WAIT_SECONDS: Final = 15 * 60
TRIES_FORGOTTEN_AFTER: Final = timedelta(days=1)
_ONE_HOUSEHOLD: Final = 64

_OWN_WORDS_NEEDED: Final = 6
_SHORTEST_RUN: Final = 4
_RUNS: Final = (
    "qwertyuiop",
    "asdfghjkl",
    "zxcvbnm",
    "qwertzuiop",
    "yxcvbnm",
    "azertyuiop",
    "qsdfghjklm",
    "1234567890",
    "01234567890",
    "abcdefghijklmnopqrstuvwxyz",
    "1qaz2wsx3edc4rfv5tgb6yhn7ujm",
)
_TRIED_FIRST: Final = (
    "tackcloth",
    "password",
    "passphrase",
    "letmein",
    "welcome",
    "administrator",
    "admin",
    "secret",
    "iloveyou",
    "changeme",
    "furniture",
    "workshop",
)


class WrongPassphrase(RuleError):
    """What was typed is not the passphrase."""


class TooManyTries(RuleError):
    """Wrong tries cost a wait; `seconds` of it are left."""

    def __init__(self, seconds: int) -> None:
        """Keep the wait and say it in words."""
        super().__init__(f"Too many wrong tries. Wait {wait_in_words(seconds)}, then try again.")
        self.seconds = seconds


def normalised(typed: str) -> str:
    """A passphrase as it is hashed: the same letters from any keyboard are the same passphrase."""
    return unicodedata.normalize("NFKC", typed)


def require_good_passphrase(typed: str, shop_name: str = "") -> None:
    """Refuse, at the field `passphrase`, one that is too short, too long or among the first to be guessed.

    15 to 256 characters of any kind; nothing is asked about their mixture (RuleError).
    """
    passphrase = normalised(typed)
    if len(passphrase) < SHORTEST:
        raise RuleError(
            f"Use {SHORTEST} characters or more. Four or five unrelated words do it, spaces included.", "passphrase"
        )
    if len(passphrase) > LONGEST:
        raise RuleError(f"Use {LONGEST} characters at most.", "passphrase")
    if _is_among_the_first_guesses(passphrase, shop_name):
        raise RuleError(
            "That one would be guessed early: it is mostly the shop's name, a usual word, a run of keys or the"
            " same thing over again. Use four or five unrelated words.",
            "passphrase",
        )


def _is_among_the_first_guesses(passphrase: str, shop_name: str) -> bool:
    letters = _letters(passphrase)
    if letters and letters in (letters + letters)[1:-1]:
        return True
    known = {_letters(shop_name), *(_letters(word) for word in shop_name.split()), *_TRIED_FIRST}
    return _own_part(letters or passphrase, known) < _OWN_WORDS_NEEDED


def _letters(text: str) -> str:
    return "".join(mark for mark in fold(text) if mark.isalnum())


def _own_part(letters: str, known: Iterable[str]) -> int:
    """How many characters are left when known words, runs of keys and repeats are taken out."""
    longest_first = sorted((word for word in known if len(word) >= _SHORTEST_RUN), key=len, reverse=True)
    place = own = 0
    while place < len(letters):
        rest = letters[place:]
        word = next((word for word in longest_first if rest.startswith(word)), "")
        step = max(len(word), _length_of_run(rest), _length_of_repeat(rest))
        own += step == 1
        place += step
    return own


def _length_of_run(rest: str) -> int:
    longest = 1
    for row in _RUNS:
        for run in (row, row[::-1]):
            length = _SHORTEST_RUN
            while length <= len(rest) and rest[:length] in run:
                longest = max(longest, length)
                length += 1
    return longest


def _length_of_repeat(rest: str) -> int:
    length = len(rest) - len(rest.lstrip(rest[0]))
    return length if length >= _SHORTEST_RUN - 1 else 1


def wait_after(wrong_tries: int, free_tries: int) -> int:
    """Seconds to wait after that many wrong tries: none, then 1, 2, 4 and so on, 15 minutes at most."""
    if wrong_tries < free_tries:
        return 0
    doublings = min(wrong_tries - free_tries, LONGEST_WAIT_SECONDS.bit_length())
    return min(1 << doublings, LONGEST_WAIT_SECONDS)


def seconds_left(tries: Sequence[datetime], free_tries: int, now: datetime) -> int:
    """Whole seconds until the next try is allowed; tries older than a day no longer count."""
    recent = [tried for tried in tries if now - tried < TRIES_FORGOTTEN_AFTER]
    wait = wait_after(len(recent), free_tries)
    if not wait:
        return 0
    left = ceil((max(recent) + timedelta(seconds=wait) - now).total_seconds())
    # A computer's clock that was set back must not make the wait longer than it is.
    return min(max(left, 0), wait)


def wait_in_words(seconds: int) -> str:
    """A wait as it is told: 8 seconds, 1 minute, 15 minutes; never less than it is."""
    if seconds < 60:  # noqa: PLR2004 - seconds in a minute
        return "1 second" if seconds == 1 else f"{seconds} seconds"
    minutes = ceil(seconds / 60)
    return "1 minute" if minutes == 1 else f"{minutes} minutes"


def is_loopback(address: str | None) -> bool:
    """Tell whether a request comes from this very computer."""
    known = _address(address)
    return known is not None and known.is_loopback


def tries_from(address: str | None) -> str:
    """The address under which wrong tries are counted: for the long kind, the part one household shares."""
    known = _address(address)
    if isinstance(known, IPv6Address):
        return str(ip_network((int(known), _ONE_HOUSEHOLD), strict=False))
    return "unknown" if known is None else str(known)


def _address(address: str | None) -> IPv4Address | IPv6Address | None:
    try:
        known = ip_address((address or "").partition("%")[0])
    except ValueError:
        return None
    return known.ipv4_mapped or known if isinstance(known, IPv6Address) else known


@dataclass(frozen=True)
class SignedIn:
    """When a browser signed in, when it was last seen, and when it was signed out."""

    made_at: datetime
    seen_at: datetime
    ended_at: datetime | None = None

    def is_open(self, now: datetime) -> bool:
        """Tell whether it may still come in: for 30 days, but not after 14 days away."""
        if self.ended_at is not None:
            return False
        return now - self.made_at < SIGNED_IN_FOR and now - self.seen_at < IDLE_FOR

    def is_due_to_be_noted(self, now: datetime) -> bool:
        """Tell whether its last sighting is old enough to be written down anew."""
        return now - self.seen_at >= SEEN_EVERY


def token_hash(token: str) -> str:
    """What is kept of a browser's token; the token itself has 256 random bits, so one plain hash is enough."""
    return hashlib.sha256(token.encode()).hexdigest()


def guess_name(user_agent: str) -> str:
    """A plain name for a browser whose owner gave it none."""
    said = user_agent.casefold()
    if "tablet" in said:
        return "tablet browser"
    return "phone browser" if "mobile" in said else "computer browser"
