"""Which of this computer's addresses others on the home network can reach."""

import socket
from ipaddress import ip_address

from app.basics.errors import RuleError

# An address set aside for documents: asking for the way there sends nothing.
_FAR_AWAY = ("192.0.2.1", 9)


def home_address() -> str:
    """This computer's address on the home network; refuses none, and one the whole world could reach (RuleError)."""
    try:
        with socket.socket(socket.AF_INET, socket.SOCK_DGRAM) as probe:
            probe.connect(_FAR_AWAY)
            address = str(probe.getsockname()[0])
    except OSError as trouble:
        raise RuleError("This computer is on no network now. Join one, or name its address with --host.") from trouble
    return require_home(address)


def require_home(address: str) -> str:
    """The address, if only a home network reaches it; else refuse (RuleError)."""
    known = ip_address(address)
    if known.is_loopback:
        raise RuleError("This computer is on no network now. Join one, or name its address with --host.")
    if not known.is_private:
        raise RuleError(
            f"The address {address} is not one of a home network: the whole world might reach it. If you want"
            f" that, say so with --host {address}."
        )
    return address


def require_one_address(host: str) -> str:
    """The name or address to serve at; refuses the one that means every address at once (RuleError)."""
    bare = host.strip().strip("[]")
    try:
        is_every = ip_address(bare).is_unspecified
    except ValueError:
        is_every = not bare
    if is_every:
        raise RuleError("Name one address of this computer, not all of them at once.")
    return bare


def is_loopback(host: str) -> bool:
    """Tell whether only this computer reaches a name or address."""
    if host == "localhost":
        return True
    try:
        return ip_address(host.strip("[]")).is_loopback
    except ValueError:
        return False


def in_url(host: str) -> str:
    """A host as it stands in an address: the long kind in brackets."""
    return f"[{host}]" if ":" in host else host
