"""The passphrase, the browsers that are signed in, and wrong tries."""

from datetime import datetime

from sqlalchemy import CheckConstraint, String
from sqlalchemy.orm import Mapped, mapped_column

from app.database.base import Base, UtcDateTime


class Passphrase(Base):
    __tablename__ = "passphrase"
    __table_args__ = (CheckConstraint("id = 1", name="only_one"),)

    id: Mapped[int] = mapped_column(primary_key=True, autoincrement=False, default=1)
    hash: Mapped[str] = mapped_column(String(255))
    set_at: Mapped[datetime] = mapped_column(UtcDateTime)


class SignedInBrowser(Base):
    """A named browser that may open the shop; only the hash of its token is kept."""

    __tablename__ = "signed_in_browser"

    id: Mapped[int] = mapped_column(primary_key=True)
    token_hash: Mapped[str] = mapped_column(String(64), unique=True)
    name: Mapped[str] = mapped_column(String(80))
    made_at: Mapped[datetime] = mapped_column(UtcDateTime)
    seen_at: Mapped[datetime] = mapped_column(UtcDateTime)
    ended_at: Mapped[datetime | None] = mapped_column(UtcDateTime)


class WrongTry(Base):
    """One wrong passphrase, by the address it came from."""

    __tablename__ = "wrong_try"

    id: Mapped[int] = mapped_column(primary_key=True)
    address: Mapped[str] = mapped_column(String(64), index=True)
    tried_at: Mapped[datetime] = mapped_column(UtcDateTime, index=True)
