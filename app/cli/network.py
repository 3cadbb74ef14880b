"""Which of this computer's addresses others on the home network can reach."""

import re
import socket
from ipaddress import IPv4Address

from app.basics.errors import RuleError

# An address set aside for documents: asking for the way there sends nothing.
_FAR_AWAY = ("192.0.2.1", 9)
_EVERY_ADDRESS = IPv4Address(0)
_NAME = re.compile(r"[a-z0-9.-]{1,253}", re.ASCII | re.IGNORECASE)


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
    known = IPv4Address(address)
    if known.is_loopback:
        raise RuleError("This computer is on no network now. Join one, or name its address with --host.")
    if not known.is_private:
        raise RuleError(
            f"The address {address} is not one of a home network: the whole world might reach it. If you want"
            f" that, say so with --host {address}."
        )
    return address


def require_one_address(host: str) -> str:
    """The name or short address to serve at; refuses every address at once, and the long kind (RuleError)."""
    bare = host.strip()
    if ":" in bare:
        raise RuleError("Addresses with colons do not work here. Name the short one, like 192.168.1.20.")
    if not bare or _address(bare) == _EVERY_ADDRESS:
        raise RuleError("Name one address of this computer, not all of them at once.")
    if not _NAME.fullmatch(bare):
        raise RuleError("A name in an address has letters a to z, digits, dashes and dots only, like garage.local.")
    return bare.casefold()


def has_address(host: str) -> bool:
    """Tell whether a name or short address is one of this computer's at this moment."""
    try:
        with socket.socket(socket.AF_INET, socket.SOCK_STREAM) as trial:
            trial.bind((host, 0))
    except OSError:
        return False
    return True


def computer_name() -> str:
    """What this computer calls itself."""
    return socket.gethostname()


def is_loopback(host: str) -> bool:
    """Tell whether only this computer reaches a name or short address."""
    known = _address(host)
    return host == "localhost" or (known is not None and known.is_loopback)


def _address(host: str) -> IPv4Address | None:
    try:
        return IPv4Address(host)
    except ValueError:
        return None
