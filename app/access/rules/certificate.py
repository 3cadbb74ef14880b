"""Which names the shop's certificate is for, what its authority may vouch for, and when either is made anew."""

import re
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta
from ipaddress import IPv4Address, IPv4Network
from typing import Final

AUTHORITY_FOR: Final = timedelta(days=3652)
# A certificate may live 825 days at most (rule of a maker of phones for names it is to trust, read November 2026);
# 397 keeps within the shorter limits that others hold to.
CERTIFICATE_FOR: Final = timedelta(days=397)
RENEWED_WITH_LEFT: Final = timedelta(days=60)
HERE: Final = ("localhost", "127.0.0.1")
HOME_NETWORKS: Final = tuple(
    IPv4Network(network)
    for network in ("10.0.0.0/8", "172.16.0.0/12", "192.168.0.0/16", "169.254.0.0/16", "127.0.0.0/8")
)
HOME_NAMES: Final = ("localhost", "local")
"""Names that never leave a house: of this computer, and all that end in .local."""
_LABEL: Final = re.compile(r"[a-z0-9](?:[a-z0-9-]{0,61}[a-z0-9])?", re.ASCII)


@dataclass(frozen=True)
class Reach:
    """All an authority may vouch for: names with everything under them, and networks."""

    names: tuple[str, ...]
    networks: tuple[IPv4Network, ...]

    def covers(self, host: str) -> bool:
        """Tell whether a certificate for this name or address can be vouched for."""
        address = address_of(host)
        if address is not None:
            return any(address in network for network in self.networks)
        name = host.casefold()
        return any(name == known or name.endswith(f".{known}") for known in self.names)


def reach_for(host: str) -> Reach:
    """What an authority made while the shop stands at `host` may vouch for: that, this computer, and home networks."""
    address = address_of(host)
    wide = Reach(HOME_NAMES, HOME_NETWORKS)
    if wide.covers(host):
        return wide
    if address is not None:
        return Reach(HOME_NAMES, (*HOME_NETWORKS, IPv4Network(address)))
    return Reach((*HOME_NAMES, host.casefold()), HOME_NETWORKS)


def local_name(computer: str) -> str | None:
    """The name under which other devices of the house find a computer, like garage.local; None when it has none."""
    label = computer.partition(".")[0].casefold()
    return f"{label}.local" if _LABEL.fullmatch(label) and label != "localhost" else None


def names_for(host: str, computer: str) -> tuple[str, ...]:
    """Every name and address the certificate is for, the permanent one first."""
    own = local_name(computer)
    return tuple(dict.fromkeys((host.casefold(), *((own,) if own else ()), *HERE)))


def authority_is_due(not_after: datetime, reach: Reach, host: str, now: datetime) -> bool:
    """Tell whether the authority must be made anew: it would end before a certificate, or may not vouch for `host`.

    Every phone has to trust the new one.
    """
    return not_after - now < CERTIFICATE_FOR or not reach.covers(host)


def certificate_is_due(not_after: datetime, names: Sequence[str], wanted: Sequence[str], now: datetime) -> bool:
    """Tell whether the certificate must be made anew: 60 days or fewer are left, or the names have changed."""
    return not_after - now <= RENEWED_WITH_LEFT or set(names) != set(wanted)


def fingerprint_in_words(digest: bytes) -> str:
    """A fingerprint as it is compared by eye: pairs of digits and letters, as phones show them."""
    return digest.hex(" ").upper()


def address_of(host: str) -> IPv4Address | None:
    """The short address a host is named by; None for a name."""
    try:
        return IPv4Address(host)
    except ValueError:
        return None
