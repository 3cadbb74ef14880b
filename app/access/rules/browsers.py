"""When a browser or a phone must sign in again, and what is kept of its token."""

import hashlib
from dataclasses import dataclass
from datetime import datetime, timedelta
from typing import Final

SIGNED_IN_FOR: Final = timedelta(days=30)
IDLE_FOR: Final = timedelta(days=14)
# A phone carries finds home weeks later; a sign-in that ran out meanwhile would stand between them and the ledger.
PHONE_PAIRED_FOR: Final = timedelta(days=365)
PHONE_IDLE_FOR: Final = timedelta(days=60)
SEEN_EVERY: Final = timedelta(minutes=5)


@dataclass(frozen=True)
class SignedIn:
    """When a browser signed in or a phone was paired, when it was last seen, and when it was ended."""

    made_at: datetime
    seen_at: datetime
    ended_at: datetime | None = None
    is_phone: bool = False

    def is_open(self, now: datetime) -> bool:
        """Tell whether it may still come in: for 30 days, but not after 14 days away; a phone 365 and 60."""
        if self.ended_at is not None:
            return False
        longest, away = (PHONE_PAIRED_FOR, PHONE_IDLE_FOR) if self.is_phone else (SIGNED_IN_FOR, IDLE_FOR)
        return now - self.made_at < longest and now - self.seen_at < away

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
