"""Read whether the shop is locked, who is signed in, and how long a try must wait."""

from dataclasses import dataclass
from datetime import datetime

from sqlalchemy import select
from sqlalchemy.orm import Session

from app.access.models import Passphrase, SignedInBrowser, WrongTry
from app.access.rules import (
    FREE_TRIES_IN_ALL,
    FREE_TRIES_PER_ADDRESS,
    TRIES_FORGOTTEN_AFTER,
    SignedIn,
    seconds_left,
    token_hash,
)


@dataclass(frozen=True)
class BrowserRow:
    """A browser that is signed in."""

    id: int
    name: str
    signed_in: SignedIn


def passphrase_hash(session: Session) -> str | None:
    """The hash of the passphrase, or None while the shop has none."""
    return session.scalar(select(Passphrase.hash))


def passphrase_is_set(session: Session) -> bool:
    """Tell whether the shop is locked by a passphrase."""
    return passphrase_hash(session) is not None


def browser_with_token(session: Session, token: str | None, now: datetime) -> BrowserRow | None:
    """The browser that holds this token and may still come in."""
    if not token:
        return None
    found = session.scalar(select(SignedInBrowser).where(SignedInBrowser.token_hash == token_hash(token)))
    row = None if found is None else _row(found)
    return row if row is not None and row.signed_in.is_open(now) else None


def was_signed_in(session: Session, token: str | None) -> bool:
    """Tell whether the token was once given to a browser here, even if it no longer opens the shop."""
    if not token:
        return False
    wanted = select(SignedInBrowser.id).where(SignedInBrowser.token_hash == token_hash(token))
    return session.scalar(wanted) is not None


def open_browsers(session: Session, now: datetime) -> list[BrowserRow]:
    """Every browser that may come in, the one seen last first."""
    wanted = select(SignedInBrowser).where(SignedInBrowser.ended_at.is_(None))
    found = session.scalars(wanted.order_by(SignedInBrowser.seen_at.desc(), SignedInBrowser.id))
    return [row for row in map(_row, found) if row.signed_in.is_open(now)]


def seconds_until_next_try(session: Session, address: str, now: datetime) -> int:
    """The wait that wrong tries from this address, or from all addresses together, still cost."""
    since = now - TRIES_FORGOTTEN_AFTER
    wanted = select(WrongTry.address, WrongTry.tried_at).where(WrongTry.tried_at > since)
    tries = session.execute(wanted).all()
    here = [tried_at for tried_from, tried_at in tries if tried_from == address]
    return max(
        seconds_left(here, FREE_TRIES_PER_ADDRESS, now),
        seconds_left([tried_at for _, tried_at in tries], FREE_TRIES_IN_ALL, now),
    )


def _row(found: SignedInBrowser) -> BrowserRow:
    return BrowserRow(found.id, found.name, SignedIn(found.made_at, found.seen_at, found.ended_at))
