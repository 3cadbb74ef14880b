"""Tables of pieces, hauls, purchases, steps, corrections, transfers and leavings."""

from datetime import date, datetime

from sqlalchemy import CheckConstraint, ForeignKey, Index, String, Text, text
from sqlalchemy.orm import Mapped, mapped_column

from app.database.base import Base, Cents, UtcDateTime, Word
from app.pieces.rules import Age, Condition, Form, Leaving, PurchaseKind, SplitMethod, Stage, StepKind

NOT_STRUCK = text("struck_at IS NULL")


class Source(Base):
    """A kind of place where pieces are found; a free one (the kerb) asks no price."""

    __tablename__ = "source"

    id: Mapped[int] = mapped_column(primary_key=True)
    version: Mapped[int] = mapped_column()
    name: Mapped[str] = mapped_column(String(80), unique=True)
    is_free: Mapped[bool]
    is_put_away: Mapped[bool]

    __mapper_args__ = {"version_id_col": version}  # noqa: RUF012 - SQLAlchemy reads a plain mapping here


class Haul(Base):
    """One purchase of several pieces for one price; the pieces' shares are purchases."""

    __tablename__ = "haul"
    __table_args__ = (CheckConstraint("price_cents >= 0 AND premium_cents >= 0 AND tax_cents >= 0", name="no_minus"),)

    id: Mapped[int] = mapped_column(primary_key=True)
    version: Mapped[int] = mapped_column()
    capture_id: Mapped[str] = mapped_column(String(36), unique=True)
    bought_on: Mapped[date]
    source_id: Mapped[int | None] = mapped_column(ForeignKey("source.id"))
    price_cents: Mapped[Cents]
    premium_cents: Mapped[Cents]
    tax_cents: Mapped[Cents]
    split: Mapped[SplitMethod] = mapped_column(Word(SplitMethod))
    note: Mapped[str] = mapped_column(Text)
    made_at: Mapped[datetime] = mapped_column(UtcDateTime)

    __mapper_args__ = {"version_id_col": version}  # noqa: RUF012 - SQLAlchemy reads a plain mapping here


class Piece(Base):
    """One thing to sell, or a set sold together (count above one); a struck one was logged by mistake."""

    __tablename__ = "piece"
    __table_args__ = (
        CheckConstraint("count >= 1", name="count_positive"),
        Index("ix_piece_stage_left_as", "stage", "left_as"),
    )

    id: Mapped[int] = mapped_column(primary_key=True)
    version: Mapped[int] = mapped_column()
    capture_id: Mapped[str] = mapped_column(String(36), unique=True)
    tag: Mapped[str] = mapped_column(String(4), unique=True)
    form: Mapped[Form] = mapped_column(Word(Form))
    title: Mapped[str] = mapped_column(String(120))
    # Title, tag, words and notes without accents and in small letters, kept by the actions for searching.
    folded: Mapped[str] = mapped_column(Text)
    count: Mapped[int]
    source_id: Mapped[int | None] = mapped_column(ForeignKey("source.id"), index=True)
    haul_id: Mapped[int | None] = mapped_column(ForeignKey("haul.id"), index=True)
    split_from_id: Mapped[int | None] = mapped_column(ForeignKey("piece.id"), index=True)
    width_mm: Mapped[int | None]
    depth_mm: Mapped[int | None]
    height_mm: Mapped[int | None]
    condition: Mapped[Condition | None] = mapped_column(Word(Condition))
    materials: Mapped[str] = mapped_column(String(200))
    age: Mapped[Age] = mapped_column(Word(Age))
    year: Mapped[int | None]
    notes: Mapped[str] = mapped_column(Text)
    finish_colour: Mapped[str | None] = mapped_column(String(7))
    finish_words: Mapped[str] = mapped_column(String(200))
    # Colours of single parts, like "drawers #7a8f6a, top #ffffff", kept by the finishes done on it for drawing its tag.
    part_colours: Mapped[str] = mapped_column(String(400), default="", server_default="")
    next_note: Mapped[str] = mapped_column(String(200))
    stage: Mapped[Stage] = mapped_column(Word(Stage))
    stage_since: Mapped[date]
    left_as: Mapped[Leaving | None] = mapped_column(Word(Leaving))
    sourced_on: Mapped[date] = mapped_column(index=True)
    made_at: Mapped[datetime] = mapped_column(UtcDateTime)
    struck_at: Mapped[datetime | None] = mapped_column(UtcDateTime)
    struck_reason: Mapped[str | None] = mapped_column(String(300))

    __mapper_args__ = {"version_id_col": version}  # noqa: RUF012 - SQLAlchemy reads a plain mapping here


class Purchase(Base):
    """What one piece cost to buy: its price and its shares of premium and tax; one that counts per piece."""

    __tablename__ = "purchase"
    __table_args__ = (
        CheckConstraint("price_cents >= 0 AND premium_cents >= 0 AND tax_cents >= 0", name="no_minus"),
        Index(
            "uq_purchase_piece_id_counting",
            "piece_id",
            unique=True,
            sqlite_where=NOT_STRUCK,
            postgresql_where=NOT_STRUCK,
        ),
    )

    id: Mapped[int] = mapped_column(primary_key=True)
    piece_id: Mapped[int] = mapped_column(ForeignKey("piece.id"), index=True)
    haul_id: Mapped[int | None] = mapped_column(ForeignKey("haul.id"), index=True)
    kind: Mapped[PurchaseKind] = mapped_column(Word(PurchaseKind))
    on_date: Mapped[date] = mapped_column(index=True)
    price_cents: Mapped[Cents]
    premium_cents: Mapped[Cents]
    tax_cents: Mapped[Cents]
    guess_cents: Mapped[Cents | None]
    made_at: Mapped[datetime] = mapped_column(UtcDateTime)
    struck_at: Mapped[datetime | None] = mapped_column(UtcDateTime)
    struck_reason: Mapped[str | None] = mapped_column(String(300))


class Step(Base):
    """One move of a piece: forward, back, out or returned, with its date and reason.

    Never rewritten but for dates; a slip is struck out and counts no more.
    """

    __tablename__ = "step"

    id: Mapped[int] = mapped_column(primary_key=True)
    piece_id: Mapped[int] = mapped_column(ForeignKey("piece.id"), index=True)
    kind: Mapped[StepKind] = mapped_column(Word(StepKind))
    from_stage: Mapped[Stage | None] = mapped_column(Word(Stage))
    to_stage: Mapped[Stage] = mapped_column(Word(Stage))
    on_date: Mapped[date]
    reason: Mapped[str] = mapped_column(String(300))
    made_at: Mapped[datetime] = mapped_column(UtcDateTime)
    struck_at: Mapped[datetime | None] = mapped_column(UtcDateTime)
    struck_reason: Mapped[str | None] = mapped_column(String(300))


class Correction(Base):
    """One fact, date or word of a piece that was put right: what it said and what it says now."""

    __tablename__ = "correction"

    id: Mapped[int] = mapped_column(primary_key=True)
    piece_id: Mapped[int] = mapped_column(ForeignKey("piece.id"), index=True)
    fact: Mapped[str] = mapped_column(String(80))
    was: Mapped[str] = mapped_column(Text)
    became: Mapped[str] = mapped_column(Text)
    made_at: Mapped[datetime] = mapped_column(UtcDateTime)


class Transfer(Base):
    """Cost and minutes that moved from one piece to another on a date, as when a set is split."""

    __tablename__ = "transfer"
    __table_args__ = (
        CheckConstraint("from_piece_id != to_piece_id", name="two_pieces"),
        CheckConstraint("cents >= 0 AND minutes >= 0", name="no_minus"),
    )

    id: Mapped[int] = mapped_column(primary_key=True)
    from_piece_id: Mapped[int] = mapped_column(ForeignKey("piece.id"), index=True)
    to_piece_id: Mapped[int] = mapped_column(ForeignKey("piece.id"), index=True)
    on_date: Mapped[date] = mapped_column(index=True)
    cents: Mapped[Cents]
    minutes: Mapped[int]
    reason: Mapped[str] = mapped_column(String(300))
    made_at: Mapped[datetime] = mapped_column(UtcDateTime)


class LeavingRow(Base):
    """A piece that left without a sale, and its coming back if it did."""

    __tablename__ = "leaving"

    id: Mapped[int] = mapped_column(primary_key=True)
    piece_id: Mapped[int] = mapped_column(ForeignKey("piece.id"), index=True)
    how: Mapped[Leaving] = mapped_column(Word(Leaving))
    on_date: Mapped[date] = mapped_column(index=True)
    reason: Mapped[str] = mapped_column(String(300))
    made_at: Mapped[datetime] = mapped_column(UtcDateTime)
    back_on: Mapped[date | None] = mapped_column(index=True)
    back_reason: Mapped[str | None] = mapped_column(String(300))
    back_at: Mapped[datetime | None] = mapped_column(UtcDateTime)
