"""Set the passphrase, judge tries, sign browsers in and out."""

import secrets
from datetime import datetime
from functools import lru_cache

from argon2 import PasswordHasher
from argon2.exceptions import InvalidHashError, VerificationError
from sqlalchemy import CursorResult, delete, func, select, update
from sqlalchemy.orm import Session

from app.access.models import CalendarFeed, HomeAddress, Pairing, Passphrase, SignedInBrowser, WrongTry
from app.access.queries import browser_row, passphrase_hash, seconds_until_next_try
from app.access.rules import (
    LONGEST,
    TRIES_FORGOTTEN_AFTER,
    Home,
    TooManyTries,
    new_code,
    normalised,
    pairing_is_open,
    require_good_passphrase,
    token_hash,
    why_closed,
)
from app.basics.errors import NotFound, RuleError

TOKEN_BYTES = 32
# What the OWASP Password Storage cheat sheet asks for Argon2id; an old laptop still answers at once.
MEMORY_KIB, PASSES, LANES = 19456, 2, 1


@lru_cache(maxsize=1)
def _hasher() -> PasswordHasher:
    return PasswordHasher(time_cost=PASSES, memory_cost=MEMORY_KIB, parallelism=LANES)


def set_passphrase(
    session: Session, passphrase: str, *, shop_name: str = "", browser_id: int | None = None, now: datetime
) -> None:
    """Lock the shop with a new passphrase and sign every browser out but the one it was set from.

    Refuses one that is too short, too long or among the first to be guessed (RuleError).
    """
    require_good_passphrase(passphrase, shop_name)
    session.merge(Passphrase(id=1, hash=_hasher().hash(_as_bytes(passphrase)), set_at=now))
    _end_browsers(session, now, keep=browser_id)


def _as_bytes(passphrase: str) -> bytes:
    # A terminal may hand over half a character; it must be wrong, not a crash.
    return normalised(passphrase).encode("utf-8", "surrogatepass")


def count_try(session: Session, address: str, *, now: datetime) -> str:
    """Count a try before it is judged, so that many at once gain nothing; return the hash to judge it by.

    Raises TooManyTries while a wait is left, RuleError when the shop has no passphrase.
    """
    wait = seconds_until_next_try(session, address, now)
    if wait:
        raise TooManyTries(wait)
    stored = passphrase_hash(session)
    if stored is None:
        raise RuleError("This shop has no passphrase yet.")
    session.execute(delete(WrongTry).where(WrongTry.tried_at <= now - TRIES_FORGOTTEN_AFTER))
    session.add(WrongTry(address=address, tried_at=now))
    session.flush()
    return stored


def is_match(stored: str, typed: str) -> bool:
    """Tell whether what was typed is the passphrase; asks nothing of the ledger, for it takes a while."""
    if len(typed) > LONGEST:
        return False
    try:
        return _hasher().verify(stored, _as_bytes(typed))
    except (VerificationError, InvalidHashError):
        return False


def forget_tries(session: Session, address: str) -> None:
    """Forget the tries of an address that gave the right passphrase."""
    session.execute(delete(WrongTry).where(WrongTry.address == address))


def reset_tries(session: Session) -> int:
    """Forget every wrong try; return how many there were."""
    count = session.scalar(select(func.count()).select_from(WrongTry)) or 0
    session.execute(delete(WrongTry))
    return count


def sign_in(session: Session, *, name: str, is_phone: bool = False, now: datetime) -> str:
    """Let a browser or a paired phone in under a name; return its token, of which only the hash is kept."""
    token = secrets.token_urlsafe(TOKEN_BYTES)
    hashed = token_hash(token)
    session.add(SignedInBrowser(token_hash=hashed, name=name, is_phone=is_phone, made_at=now, seen_at=now))
    session.flush()
    return token


def make_pairing(session: Session, *, now: datetime) -> str:
    """Make a one-time code for one phone; return it. Codes of earlier days are forgotten."""
    session.execute(delete(Pairing).where(Pairing.made_at <= now - TRIES_FORGOTTEN_AFTER))
    code = new_code()
    session.add(Pairing(token_hash=token_hash(code), made_at=now))
    session.flush()
    return code


def pair_phone(session: Session, code: str, *, name: str, now: datetime) -> str:
    """Burn a code and let the phone that brought it in; return its token. Raises PairingRefused for a closed code."""
    row = session.scalar(select(Pairing).where(Pairing.token_hash == token_hash(code)))
    if row is None or not pairing_is_open(row.made_at, row.used_at, now):
        raise why_closed(row.made_at if row else None, row.used_at if row else None)
    # The condition stands in the statement that writes, so that of two at once only one finds the code unused.
    burn = update(Pairing).where(Pairing.id == row.id, Pairing.used_at.is_(None))
    burnt = session.execute(burn.values(used_at=now))
    if not isinstance(burnt, CursorResult) or burnt.rowcount != 1:
        raise why_closed(row.made_at, now)
    return sign_in(session, name=name, is_phone=True, now=now)


def make_calendar_feed(session: Session, browser_id: int, *, now: datetime) -> str:
    """Give a phone a secret for its calendar and end the one before; return it, for only its hash is kept.

    Raises NotFound for what is no paired phone, or no longer one.
    """
    row = browser_row(session, browser_id, now)
    if row is None or not row.is_phone:
        raise NotFound("phone")
    end_calendar_feed(session, browser_id, now=now)
    secret = secrets.token_urlsafe(TOKEN_BYTES)
    session.add(CalendarFeed(browser_id=browser_id, token_hash=token_hash(secret), made_at=now))
    session.flush()
    return secret


def end_calendar_feed(session: Session, browser_id: int, *, now: datetime) -> None:
    """End the calendar address of a phone, if it has one."""
    standing = update(CalendarFeed).where(CalendarFeed.browser_id == browser_id, CalendarFeed.ended_at.is_(None))
    session.execute(standing.values(ended_at=now))


def harden_hash(session: Session, stored: str, passphrase: str) -> None:
    """Hash the passphrase anew when the stored hash was made with weaker settings than today's."""
    row = session.get(Passphrase, 1)
    if row is not None and row.hash == stored and _hasher().check_needs_rehash(stored):
        row.hash = _hasher().hash(_as_bytes(passphrase))


def note_seen(session: Session, browser_id: int, *, now: datetime) -> None:
    """Write down that a browser was seen now."""
    session.execute(update(SignedInBrowser).where(SignedInBrowser.id == browser_id).values(seen_at=now))


def end_browser(session: Session, browser_id: int, *, now: datetime) -> str:
    """Sign one browser out; return its name. Raises NotFound for one that was never signed in."""
    row = session.get(SignedInBrowser, browser_id)
    if row is None:
        raise NotFound("browser")
    row.ended_at = row.ended_at or now
    session.flush()
    return row.name


def end_other_browsers(session: Session, browser_id: int, *, now: datetime) -> int:
    """Sign every browser out but this one; return how many."""
    return _end_browsers(session, now, keep=browser_id)


def end_all_browsers(session: Session, *, now: datetime) -> int:
    """Sign every browser out; return how many."""
    return _end_browsers(session, now, keep=None)


def _end_browsers(session: Session, now: datetime, keep: int | None) -> int:
    wanted = select(SignedInBrowser).where(SignedInBrowser.ended_at.is_(None))
    ended = [row for row in session.scalars(wanted) if row.id != keep]
    for row in ended:
        row.ended_at = now
    session.flush()
    return len(ended)


def settle_at(session: Session, home: Home, *, now: datetime) -> None:
    """Write the shop's permanent address down, in the place of the one before."""
    session.merge(HomeAddress(id=1, host=home.host, port=home.port, set_at=now))
    session.flush()
