"""Read whether the shop is locked, who is signed in, and how long a try must wait."""

from dataclasses import dataclass
from datetime import datetime

from sqlalchemy import select
from sqlalchemy.orm import Session

from app.access.models import CalendarFeed, HomeAddress, Passphrase, SignedInBrowser, WrongTry
from app.access.rules import (
    FREE_TRIES_IN_ALL,
    FREE_TRIES_PER_ADDRESS,
    TRIES_FORGOTTEN_AFTER,
    Home,
    SignedIn,
    seconds_left,
    token_hash,
)

_STANDING = (CalendarFeed.browser_id == SignedInBrowser.id) & CalendarFeed.ended_at.is_(None)
_WITH_CALENDAR = select(SignedInBrowser, CalendarFeed.made_at).outerjoin(CalendarFeed, _STANDING)


@dataclass(frozen=True)
class BrowserRow:
    """A browser that is signed in, or a phone that is paired.

    `waiting` is how many captures a phone last said, at `told_at`, that it still carries, the oldest from
    `waiting_since`; `calendar_since` is when its calendar address was made, if it has one.
    """

    id: int
    name: str
    signed_in: SignedIn
    waiting: int | None = None
    waiting_since: datetime | None = None
    told_at: datetime | None = None
    calendar_since: datetime | None = None

    @property
    def is_phone(self) -> bool:
        """Whether it was paired by a code."""
        return self.signed_in.is_phone


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
    """Every phone and browser that may come in, the one seen last first."""
    wanted = _WITH_CALENDAR.where(SignedInBrowser.ended_at.is_(None))
    found = session.execute(wanted.order_by(SignedInBrowser.seen_at.desc(), SignedInBrowser.id))
    rows = [_row(browser, calendar_since) for browser, calendar_since in found]
    return [row for row in rows if row.signed_in.is_open(now)]


def browser_row(session: Session, browser_id: int, now: datetime) -> BrowserRow | None:
    """One phone or browser, if it may still come in."""
    found = session.execute(_WITH_CALENDAR.where(SignedInBrowser.id == browser_id)).first()
    row = None if found is None else _row(found[0], found[1])
    return row if row is not None and row.signed_in.is_open(now) else None


def calendar_is_open(session: Session, secret: str, now: datetime) -> bool:
    """Tell whether a calendar may read at this secret address: its phone may still come in."""
    wanted = select(SignedInBrowser).join(CalendarFeed, CalendarFeed.browser_id == SignedInBrowser.id)
    wanted = wanted.where(CalendarFeed.token_hash == token_hash(secret), CalendarFeed.ended_at.is_(None))
    found = session.scalar(wanted)
    return found is not None and _row(found).signed_in.is_open(now)


def home_address(session: Session) -> Home | None:
    """The permanent address of the shop, or None while it was never shared."""
    row = session.get(HomeAddress, 1)
    return None if row is None else Home(row.host, row.port)


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


def _row(found: SignedInBrowser, calendar_since: datetime | None = None) -> BrowserRow:
    return BrowserRow(
        id=found.id,
        name=found.name,
        signed_in=SignedIn(found.made_at, found.seen_at, found.ended_at, found.is_phone),
        waiting=found.waiting,
        waiting_since=found.waiting_since,
        told_at=found.told_at,
        calendar_since=calendar_since,
    )
