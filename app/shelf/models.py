"""Tables of materials, what was bought of them, used and counted, and what the shelf charged for it."""

from datetime import date, datetime

from sqlalchemy import BigInteger, CheckConstraint, ForeignKey, String, Text
from sqlalchemy.orm import Mapped, mapped_column

from app.database.base import Base, Cents, UtcDateTime, Word
from app.shelf.rules import ChargeKind, MaterialClass, Unit


class Material(Base):
    """One material on the shelf; quantities of it are thousandths of its unit, everywhere."""

    __tablename__ = "material"
    __table_args__ = (
        CheckConstraint("volume_solids_hundredths BETWEEN 0 AND 10000", name="solids_in_range"),
        CheckConstraint("reorder_milli >= 0", name="reorder_not_negative"),
    )

    id: Mapped[int] = mapped_column(primary_key=True)
    version: Mapped[int] = mapped_column()
    name: Mapped[str] = mapped_column(String(80), unique=True)
    klass: Mapped[MaterialClass] = mapped_column(Word(MaterialClass))
    unit: Mapped[Unit] = mapped_column(Word(Unit))
    colour: Mapped[str | None] = mapped_column(String(7))
    sheen: Mapped[str] = mapped_column(String(40))
    volume_solids_hundredths: Mapped[int | None]
    reorder_milli: Mapped[int | None] = mapped_column(BigInteger)
    note: Mapped[str] = mapped_column(Text)
    is_put_away: Mapped[bool]
    made_at: Mapped[datetime] = mapped_column(UtcDateTime)

    __mapper_args__ = {"version_id_col": version}  # noqa: RUF012 - SQLAlchemy reads a plain mapping here


class ShelfPurchase(Base):
    """A quantity that came on the shelf for a price; with `from_piece_id` it was taken off that piece at a value."""

    __tablename__ = "shelf_purchase"
    __table_args__ = (
        CheckConstraint("quantity_milli > 0", name="quantity_positive"),
        CheckConstraint("price_cents >= 0 AND tax_cents >= 0", name="no_minus"),
    )

    id: Mapped[int] = mapped_column(primary_key=True)
    capture_id: Mapped[str] = mapped_column(String(36), unique=True)
    material_id: Mapped[int] = mapped_column(ForeignKey("material.id"), index=True)
    from_piece_id: Mapped[int | None] = mapped_column(ForeignKey("piece.id"), index=True)
    on_date: Mapped[date] = mapped_column(index=True)
    quantity_milli: Mapped[int] = mapped_column(BigInteger)
    price_cents: Mapped[Cents]
    tax_cents: Mapped[Cents]
    bought_at: Mapped[str] = mapped_column(String(80))
    note: Mapped[str] = mapped_column(String(200))
    receipt_photo_id: Mapped[int | None] = mapped_column(ForeignKey("photo.id"))
    made_at: Mapped[datetime] = mapped_column(UtcDateTime)
    struck_at: Mapped[datetime | None] = mapped_column(UtcDateTime)
    struck_reason: Mapped[str | None] = mapped_column(String(300))


class ShelfUse(Base):
    """A quantity taken from the shelf for a piece, or for the shop where no piece is named."""

    __tablename__ = "shelf_use"
    __table_args__ = (CheckConstraint("quantity_milli > 0", name="quantity_positive"),)

    id: Mapped[int] = mapped_column(primary_key=True)
    capture_id: Mapped[str] = mapped_column(String(36), unique=True)
    material_id: Mapped[int] = mapped_column(ForeignKey("material.id"), index=True)
    piece_id: Mapped[int | None] = mapped_column(ForeignKey("piece.id"), index=True)
    on_date: Mapped[date] = mapped_column(index=True)
    quantity_milli: Mapped[int] = mapped_column(BigInteger)
    note: Mapped[str] = mapped_column(String(200))
    made_at: Mapped[datetime] = mapped_column(UtcDateTime)
    struck_at: Mapped[datetime | None] = mapped_column(UtcDateTime)
    struck_reason: Mapped[str | None] = mapped_column(String(300))


class ShelfCount(Base):
    """A stock-take: what was really there at the end of a day."""

    __tablename__ = "shelf_count"
    __table_args__ = (CheckConstraint("counted_milli >= 0", name="not_negative"),)

    id: Mapped[int] = mapped_column(primary_key=True)
    capture_id: Mapped[str] = mapped_column(String(36), unique=True)
    material_id: Mapped[int] = mapped_column(ForeignKey("material.id"), index=True)
    on_date: Mapped[date] = mapped_column(index=True)
    counted_milli: Mapped[int] = mapped_column(BigInteger)
    note: Mapped[str] = mapped_column(String(200))
    made_at: Mapped[datetime] = mapped_column(UtcDateTime)
    struck_at: Mapped[datetime | None] = mapped_column(UtcDateTime)
    struck_reason: Mapped[str | None] = mapped_column(String(300))


class ShelfCharge(Base):
    """What the shelf charged to a piece, or to the shop where no piece is named, for one use, count or settlement.

    Worked out by replaying the material's rows, written anew in open months when an earlier row comes or goes, and
    frozen in closed ones. `cents` is below zero where a count found more than the books said or a settlement gave
    back. A settlement (`purchase_id` says by which purchase, `use_id` of which use) puts a use beyond what was left
    to what it really cost.
    """

    __tablename__ = "shelf_charge"

    id: Mapped[int] = mapped_column(primary_key=True)
    material_id: Mapped[int] = mapped_column(ForeignKey("material.id"), index=True)
    kind: Mapped[ChargeKind] = mapped_column(Word(ChargeKind))
    use_id: Mapped[int | None] = mapped_column(ForeignKey("shelf_use.id"), index=True)
    purchase_id: Mapped[int | None] = mapped_column(ForeignKey("shelf_purchase.id"), index=True)
    count_id: Mapped[int | None] = mapped_column(ForeignKey("shelf_count.id"), index=True)
    piece_id: Mapped[int | None] = mapped_column(ForeignKey("piece.id"), index=True)
    on_date: Mapped[date] = mapped_column(index=True)
    quantity_milli: Mapped[int] = mapped_column(BigInteger)
    short_milli: Mapped[int] = mapped_column(BigInteger)
    cents: Mapped[Cents]
