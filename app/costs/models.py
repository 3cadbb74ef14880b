"""Tables of cost lines and of corrections of closed months; a row without a piece belongs to the shop."""

from datetime import date, datetime

from sqlalchemy import CheckConstraint, ForeignKey, String
from sqlalchemy.orm import Mapped, mapped_column

from app.costs.rules import AdjustedPart, CostKind
from app.database.base import Base, Cents, UtcDateTime, Word


class CostLine(Base):
    __tablename__ = "cost_line"
    __table_args__ = (CheckConstraint("amount_cents > 0", name="amount_positive"),)

    id: Mapped[int] = mapped_column(primary_key=True)
    capture_id: Mapped[str] = mapped_column(String(36), unique=True)
    piece_id: Mapped[int | None] = mapped_column(ForeignKey("piece.id"), index=True)
    kind: Mapped[CostKind] = mapped_column(Word(CostKind))
    amount_cents: Mapped[Cents]
    on_date: Mapped[date] = mapped_column(index=True)
    bought_at: Mapped[str] = mapped_column(String(80))
    note: Mapped[str] = mapped_column(String(200))
    receipt_photo_id: Mapped[int | None] = mapped_column(ForeignKey("photo.id"))
    made_at: Mapped[datetime] = mapped_column(UtcDateTime)
    struck_at: Mapped[datetime | None] = mapped_column(UtcDateTime)
    struck_reason: Mapped[str | None] = mapped_column(String(300))


class Adjustment(Base):
    """A correction, dated in an open month, of one amount of a row that stands in a closed one.

    `cents` is the difference: what the amount should have been less what it was.
    """

    __tablename__ = "adjustment"
    __table_args__ = (CheckConstraint("cents != 0", name="changes_something"),)

    id: Mapped[int] = mapped_column(primary_key=True)
    capture_id: Mapped[str] = mapped_column(String(36), unique=True)
    piece_id: Mapped[int | None] = mapped_column(ForeignKey("piece.id"), index=True)
    part: Mapped[AdjustedPart] = mapped_column(Word(AdjustedPart))
    cents: Mapped[Cents]
    on_date: Mapped[date] = mapped_column(index=True)
    corrects_table: Mapped[str] = mapped_column(String(32))
    corrects_id: Mapped[int]
    corrects_on: Mapped[date]
    reason: Mapped[str] = mapped_column(String(300))
    made_at: Mapped[datetime] = mapped_column(UtcDateTime)
    struck_at: Mapped[datetime | None] = mapped_column(UtcDateTime)
    struck_reason: Mapped[str | None] = mapped_column(String(300))
