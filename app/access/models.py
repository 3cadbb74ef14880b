"""The passphrase, the browsers that are signed in, and wrong tries."""

from datetime import datetime

from sqlalchemy import CheckConstraint, ForeignKey, String, false
from sqlalchemy.orm import Mapped, mapped_column

from app.database.base import Base, UtcDateTime


class Passphrase(Base):
    __tablename__ = "passphrase"
    __table_args__ = (CheckConstraint("id = 1", name="only_one"),)

    id: Mapped[int] = mapped_column(primary_key=True, autoincrement=False, default=1)
    hash: Mapped[str] = mapped_column(String(255))
    set_at: Mapped[datetime] = mapped_column(UtcDateTime)


class SignedInBrowser(Base):
    """A named browser that may open the shop; only the hash of its token is kept.

    A phone was paired by a one-time code; `waiting` is how many captures it last said it still carries, and
    `waiting_since` the age of the oldest.
    """

    __tablename__ = "signed_in_browser"

    id: Mapped[int] = mapped_column(primary_key=True)
    token_hash: Mapped[str] = mapped_column(String(64), unique=True)
    name: Mapped[str] = mapped_column(String(80))
    made_at: Mapped[datetime] = mapped_column(UtcDateTime)
    seen_at: Mapped[datetime] = mapped_column(UtcDateTime)
    ended_at: Mapped[datetime | None] = mapped_column(UtcDateTime)
    is_phone: Mapped[bool] = mapped_column(server_default=false(), default=False)
    waiting: Mapped[int | None]
    waiting_since: Mapped[datetime | None] = mapped_column(UtcDateTime)
    told_at: Mapped[datetime | None] = mapped_column(UtcDateTime)


class Pairing(Base):
    """A one-time code by which a phone is paired; only its hash is kept."""

    __tablename__ = "pairing"

    id: Mapped[int] = mapped_column(primary_key=True)
    token_hash: Mapped[str] = mapped_column(String(64), unique=True)
    made_at: Mapped[datetime] = mapped_column(UtcDateTime)
    used_at: Mapped[datetime | None] = mapped_column(UtcDateTime)


class CalendarFeed(Base):
    """The secret address at which a phone's calendar reads what is ready when; only its hash is kept."""

    __tablename__ = "calendar_feed"

    id: Mapped[int] = mapped_column(primary_key=True)
    browser_id: Mapped[int] = mapped_column(ForeignKey("signed_in_browser.id"), index=True)
    token_hash: Mapped[str] = mapped_column(String(64), unique=True)
    made_at: Mapped[datetime] = mapped_column(UtcDateTime)
    ended_at: Mapped[datetime | None] = mapped_column(UtcDateTime)


class HomeAddress(Base):
    """The one address at which phones find the shop: what is cached on them and printed on tags depends on it."""

    __tablename__ = "home_address"
    __table_args__ = (CheckConstraint("id = 1", name="only_one"),)

    id: Mapped[int] = mapped_column(primary_key=True, autoincrement=False, default=1)
    host: Mapped[str] = mapped_column(String(253))
    port: Mapped[int]
    set_at: Mapped[datetime] = mapped_column(UtcDateTime)


class WrongTry(Base):
    """One wrong passphrase, by the address it came from."""

    __tablename__ = "wrong_try"

    id: Mapped[int] = mapped_column(primary_key=True)
    address: Mapped[str] = mapped_column(String(64), index=True)
    tried_at: Mapped[datetime] = mapped_column(UtcDateTime, index=True)
