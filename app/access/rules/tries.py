"""What a wrong try costs, and under which address it is counted."""

from collections.abc import Sequence
from datetime import datetime, timedelta
from ipaddress import IPv4Address, IPv6Address, ip_address, ip_network
from math import ceil
from typing import Final

from app.basics.errors import RuleError

# A family shares an address rarely, a whole network often: the second allowance stops one that changes address.
FREE_TRIES_PER_ADDRESS: Final = 5
FREE_TRIES_IN_ALL: Final = 20
LONGEST_WAIT_SECONDS: Final = 15 * 60
TRIES_FORGOTTEN_AFTER: Final = timedelta(days=1)
_ONE_HOUSEHOLD: Final = 64


class TooManyTries(RuleError):
    """Wrong tries cost a wait; `seconds` of it are left."""

    def __init__(self, seconds: int) -> None:
        """Keep the wait and say it in words."""
        super().__init__(f"Too many wrong tries. Wait {wait_in_words(seconds)}, then try again.")
        self.seconds = seconds


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
