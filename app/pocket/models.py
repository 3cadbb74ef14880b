"""Tables of captures and of the photos that belong to them."""

from datetime import datetime

from sqlalchemy import ForeignKey, String, Text
from sqlalchemy.orm import Mapped, mapped_column

from app.database.base import Base, UtcDateTime, Word
from app.pocket.rules import CaptureKind, CaptureState


class Capture(Base):
    """What a phone wrote down, as it sent it (`body`, JSON), and what was made of it here."""

    __tablename__ = "capture"

    id: Mapped[str] = mapped_column(String(36), primary_key=True)
    kind: Mapped[CaptureKind] = mapped_column(Word(CaptureKind))
    state: Mapped[CaptureState] = mapped_column(Word(CaptureState), index=True)
    reference: Mapped[str] = mapped_column(String(12), index=True)
    body: Mapped[str] = mapped_column(Text)
    fingerprint: Mapped[str] = mapped_column(String(64))
    browser_id: Mapped[int | None] = mapped_column(ForeignKey("signed_in_browser.id"))
    captured_at: Mapped[datetime] = mapped_column(UtcDateTime)
    received_at: Mapped[datetime] = mapped_column(UtcDateTime)
    trouble: Mapped[str] = mapped_column(Text)
    piece_id: Mapped[int | None] = mapped_column(ForeignKey("piece.id"))
    cost_line_id: Mapped[int | None] = mapped_column(ForeignKey("cost_line.id"))
    time_entry_id: Mapped[int | None] = mapped_column(ForeignKey("time_entry.id"))


class CapturePhoto(Base):
    """A photo that a capture names; `kind`, `width` and `height` are unknown until it has arrived."""

    __tablename__ = "capture_photo"

    capture_id: Mapped[str] = mapped_column(ForeignKey("capture.id"), primary_key=True)
    sha256: Mapped[str] = mapped_column(String(64), primary_key=True)
    position: Mapped[int]
    given_name: Mapped[str] = mapped_column(String(200))
    bytes: Mapped[int]
    kind: Mapped[str | None] = mapped_column(String(8))
    width: Mapped[int | None]
    height: Mapped[int | None]
    taken_at: Mapped[datetime | None] = mapped_column(UtcDateTime)
