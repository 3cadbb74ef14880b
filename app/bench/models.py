"""Tables of the bench: its places, and what each piece is expected to bring."""

from datetime import datetime

from sqlalchemy import CheckConstraint, ForeignKey
from sqlalchemy.orm import Mapped, mapped_column

from app.database.base import Base, Cents, UtcDateTime


class BenchFacts(Base):
    """The one row of facts about the bench: places to dry, and how long the spray corner stays taken after a coat."""

    __tablename__ = "bench_facts"
    __table_args__ = (
        CheckConstraint("id = 1", name="only_one"),
        CheckConstraint("drying_places >= 0 AND spray_clear >= 0", name="no_minus"),
    )

    id: Mapped[int] = mapped_column(primary_key=True, autoincrement=False, default=1)
    version: Mapped[int] = mapped_column()
    drying_places: Mapped[int]
    spray_clear: Mapped[int]

    __mapper_args__ = {"version_id_col": version}  # noqa: RUF012 - SQLAlchemy reads a plain mapping here


class Expectation(Base):
    """What the owner expects a piece to bring once it is finished; no amount where that was taken back."""

    __tablename__ = "expectation"
    __table_args__ = (CheckConstraint("brings_cents >= 0", name="no_minus"),)

    piece_id: Mapped[int] = mapped_column(ForeignKey("piece.id"), primary_key=True, autoincrement=False)
    version: Mapped[int] = mapped_column()
    brings_cents: Mapped[Cents | None]
    made_at: Mapped[datetime] = mapped_column(UtcDateTime)

    __mapper_args__ = {"version_id_col": version}  # noqa: RUF012 - SQLAlchemy reads a plain mapping here
