"""The table of photos; the pictures themselves lie in the photo folder under their hash."""

from datetime import datetime

from sqlalchemy import ForeignKey, Index, String
from sqlalchemy.orm import Mapped, mapped_column

from app.database.base import Base, UtcDateTime, Word
from app.photos.rules import Shows


class Photo(Base):
    __tablename__ = "photo"
    __table_args__ = (Index("ix_photo_piece_id_position", "piece_id", "position"),)

    id: Mapped[int] = mapped_column(primary_key=True)
    piece_id: Mapped[int | None] = mapped_column(ForeignKey("piece.id"))
    sha256: Mapped[str] = mapped_column(String(64), index=True)
    shows: Mapped[Shows] = mapped_column(Word(Shows))
    position: Mapped[int]
    width: Mapped[int]
    height: Mapped[int]
    bytes: Mapped[int]
    kind: Mapped[str] = mapped_column(String(8))
    given_name: Mapped[str] = mapped_column(String(200))
    taken_at: Mapped[datetime | None] = mapped_column(UtcDateTime)
    made_at: Mapped[datetime] = mapped_column(UtcDateTime)
    caption: Mapped[str] = mapped_column(String(200), server_default="", default="")
    removed_at: Mapped[datetime | None] = mapped_column(UtcDateTime)


class ReplacedReceipt(Base):
    """A photo that was the receipt of a row until another took its place; it is kept and stays in sight."""

    __tablename__ = "replaced_receipt"
    __table_args__ = (Index("ix_replaced_receipt_of_table_of_id", "of_table", "of_id"),)

    id: Mapped[int] = mapped_column(primary_key=True)
    photo_id: Mapped[int] = mapped_column(ForeignKey("photo.id"), index=True)
    of_table: Mapped[str] = mapped_column(String(32))
    of_id: Mapped[int]
    replaced_at: Mapped[datetime] = mapped_column(UtcDateTime)
