"""Tables of recipes and their editions, of finishes as done, of labels, surfaces and overruled checks."""

from datetime import date, datetime

from sqlalchemy import BigInteger, CheckConstraint, ForeignKey, String, Text, UniqueConstraint
from sqlalchemy.orm import Mapped, mapped_column

from app.database.base import Base, UtcDateTime, Word
from app.recipes.rules import (
    Aim,
    FinishState,
    GritScale,
    LeadTest,
    OldFinish,
    Part,
    Product,
    StepState,
    Task,
    Way,
    reach,
)


class StepColumns:
    """What a step says, in a recipe and in a finish alike; times in minutes."""

    task: Mapped[Task] = mapped_column(Word(Task))
    part: Mapped[Part] = mapped_column(Word(Part))
    aim: Mapped[Aim | None] = mapped_column(Word(Aim))
    product: Mapped[Product | None] = mapped_column(Word(Product))
    material_id: Mapped[int | None] = mapped_column(ForeignKey("material.id"))
    colour: Mapped[str | None] = mapped_column(String(7))
    ratio: Mapped[str] = mapped_column(String(24))
    mixed_with: Mapped[str] = mapped_column(String(80))
    thin_hundredths: Mapped[int | None]
    grit: Mapped[int | None]
    grit_scale: Mapped[GritScale] = mapped_column(Word(GritScale))
    coats: Mapped[int]
    way: Mapped[Way | None] = mapped_column(Word(Way))
    dwell: Mapped[int | None]
    recoat: Mapped[int | None]
    recoat_by: Mapped[int | None]
    cure: Mapped[int | None]
    active: Mapped[int | None]
    note: Mapped[str] = mapped_column(String(200))
    caution: Mapped[str] = mapped_column(String(200))


class Recipe(Base):
    """A finish the owner makes more than once, under its name; its steps stand in editions."""

    __tablename__ = "recipe"

    id: Mapped[int] = mapped_column(primary_key=True)
    version: Mapped[int] = mapped_column()
    capture_id: Mapped[str] = mapped_column(String(36), unique=True)
    name: Mapped[str] = mapped_column(String(80), unique=True)
    note: Mapped[str] = mapped_column(Text)
    is_put_away: Mapped[bool]
    made_at: Mapped[datetime] = mapped_column(UtcDateTime)

    __mapper_args__ = {"version_id_col": version}  # noqa: RUF012 - SQLAlchemy reads a plain mapping here


class RecipeEdition(Base):
    """The steps of a recipe as they stood; one that a finish was made by is never written again."""

    __tablename__ = "recipe_edition"
    __table_args__ = (UniqueConstraint("recipe_id", "number"),)

    id: Mapped[int] = mapped_column(primary_key=True)
    recipe_id: Mapped[int] = mapped_column(ForeignKey("recipe.id"), index=True)
    number: Mapped[int]
    made_at: Mapped[datetime] = mapped_column(UtcDateTime)


class RecipeStep(StepColumns, Base):
    """One step of an edition."""

    __tablename__ = "recipe_step"
    __table_args__ = (CheckConstraint("coats >= 1", name="coats_positive"),)

    id: Mapped[int] = mapped_column(primary_key=True)
    edition_id: Mapped[int] = mapped_column(ForeignKey("recipe_edition.id"), index=True)
    position: Mapped[int]


class Finish(Base):
    """A finish on a piece as it was really done, by an edition of a recipe or freely; `redo_of_id`: what it covers."""

    __tablename__ = "finish"

    id: Mapped[int] = mapped_column(primary_key=True)
    version: Mapped[int] = mapped_column()
    capture_id: Mapped[str] = mapped_column(String(36), unique=True)
    piece_id: Mapped[int] = mapped_column(ForeignKey("piece.id"), index=True)
    edition_id: Mapped[int | None] = mapped_column(ForeignKey("recipe_edition.id"), index=True)
    name: Mapped[str] = mapped_column(String(80))
    redo_of_id: Mapped[int | None] = mapped_column(ForeignKey("finish.id"), index=True)
    made_for: Mapped[str] = mapped_column(String(80))
    state: Mapped[FinishState] = mapped_column(Word(FinishState))
    begun_on: Mapped[date]
    ended_on: Mapped[date | None]
    stopped_reason: Mapped[str] = mapped_column(String(300))
    made_at: Mapped[datetime] = mapped_column(UtcDateTime)

    __mapper_args__ = {"version_id_col": version}  # noqa: RUF012 - SQLAlchemy reads a plain mapping here


class FinishStep(StepColumns, Base):
    """One step of a finish, one coat of it: as planned until it is done, then as it really was."""

    __tablename__ = "finish_step"
    __table_args__ = (
        CheckConstraint("coats >= 1", name="coats_positive"),
        CheckConstraint("humidity BETWEEN 0 AND 100", name="humidity_in_range"),
        CheckConstraint("used_milli > 0", name="used_positive"),
    )

    id: Mapped[int] = mapped_column(primary_key=True)
    version: Mapped[int] = mapped_column()
    finish_id: Mapped[int] = mapped_column(ForeignKey("finish.id"), index=True)
    recipe_step_id: Mapped[int | None] = mapped_column(ForeignKey("recipe_step.id"), index=True)
    position: Mapped[int]
    coat: Mapped[int]
    coats_in_all: Mapped[int]
    state: Mapped[StepState] = mapped_column(Word(StepState), index=True)
    started_at: Mapped[datetime | None] = mapped_column(UtcDateTime)
    done_at: Mapped[datetime | None] = mapped_column(UtcDateTime)
    ready_at: Mapped[datetime | None] = mapped_column(UtcDateTime)
    closes_at: Mapped[datetime | None] = mapped_column(UtcDateTime)
    cured_at: Mapped[datetime | None] = mapped_column(UtcDateTime)
    use_id: Mapped[int | None] = mapped_column(ForeignKey("shelf_use.id"), index=True)
    used_milli: Mapped[int | None] = mapped_column(BigInteger)
    temp_tenths: Mapped[int | None]
    humidity: Mapped[int | None]
    done_note: Mapped[str] = mapped_column(String(300))

    @property
    def reach(self) -> Part:
        """The part whose other work it waits for."""
        return reach(self.task, self.part)

    __mapper_args__ = {"version_id_col": version}  # noqa: RUF012 - SQLAlchemy reads a plain mapping here


class StepTime(Base):
    """An entry of time that was worked on a step of a finish; striking the entry out takes its minutes off the step."""

    __tablename__ = "step_time"

    time_entry_id: Mapped[int] = mapped_column(ForeignKey("time_entry.id"), primary_key=True, autoincrement=False)
    step_id: Mapped[int] = mapped_column(ForeignKey("finish_step.id"), index=True)


class RecipeOverrule(Base):
    """A check the owner overruled for the steps of a task on a part of a recipe, and why; both None: for no step."""

    __tablename__ = "recipe_overrule"

    id: Mapped[int] = mapped_column(primary_key=True)
    recipe_id: Mapped[int] = mapped_column(ForeignKey("recipe.id"), index=True)
    task: Mapped[Task | None] = mapped_column(Word(Task))
    part: Mapped[Part | None] = mapped_column(Word(Part))
    rule: Mapped[str] = mapped_column(String(40))
    note: Mapped[str] = mapped_column(String(300))
    made_at: Mapped[datetime] = mapped_column(UtcDateTime)


class FinishOverrule(Base):
    """A check the owner overruled for one step of a finish, and why."""

    __tablename__ = "finish_overrule"

    id: Mapped[int] = mapped_column(primary_key=True)
    finish_id: Mapped[int] = mapped_column(ForeignKey("finish.id"), index=True)
    step_id: Mapped[int] = mapped_column(ForeignKey("finish_step.id"), index=True)
    rule: Mapped[str] = mapped_column(String(40))
    note: Mapped[str] = mapped_column(String(300))
    made_at: Mapped[datetime] = mapped_column(UtcDateTime)


class MaterialLabel(Base):
    """What the label of a material says: its sort, its times in minutes and how far it goes."""

    __tablename__ = "material_label"
    __table_args__ = (CheckConstraint("spread_hundredths > 0", name="spread_positive"),)

    material_id: Mapped[int] = mapped_column(ForeignKey("material.id"), primary_key=True, autoincrement=False)
    version: Mapped[int] = mapped_column()
    product: Mapped[Product | None] = mapped_column(Word(Product))
    recoat: Mapped[int | None]
    recoat_by: Mapped[int | None]
    handle: Mapped[int | None]
    cure: Mapped[int | None]
    dwell: Mapped[int | None]
    spread_hundredths: Mapped[int | None]
    made_at: Mapped[datetime] = mapped_column(UtcDateTime)

    __mapper_args__ = {"version_id_col": version}  # noqa: RUF012 - SQLAlchemy reads a plain mapping here


class PieceSurface(Base):
    """What a piece has on it before it is finished, as the owner looked it over."""

    __tablename__ = "piece_surface"

    piece_id: Mapped[int] = mapped_column(ForeignKey("piece.id"), primary_key=True, autoincrement=False)
    version: Mapped[int] = mapped_column()
    old_finish: Mapped[OldFinish] = mapped_column(Word(OldFinish))
    is_glossy: Mapped[bool]
    is_stained: Mapped[bool]
    has_knots: Mapped[bool]
    has_water_marks: Mapped[bool]
    has_odour: Mapped[bool]
    has_polish: Mapped[bool]
    has_live_insects: Mapped[bool]
    is_damp: Mapped[bool]
    lead_test: Mapped[LeadTest] = mapped_column(Word(LeadTest))
    note: Mapped[str] = mapped_column(Text)
    made_at: Mapped[datetime] = mapped_column(UtcDateTime)

    __mapper_args__ = {"version_id_col": version}  # noqa: RUF012 - SQLAlchemy reads a plain mapping here
