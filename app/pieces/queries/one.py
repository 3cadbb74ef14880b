"""Read pieces: one by its tag or id, or many at once in one query."""

from collections.abc import Collection, Mapping
from dataclasses import dataclass, field
from datetime import date, datetime
from typing import Any

from sqlalchemy import select
from sqlalchemy.orm import Session, aliased

from app.basics.errors import NotFound
from app.pieces.models import Piece, Source
from app.pieces.rules import (
    AGE_WORDS,
    CONDITION_WORDS,
    FORM_WORDS,
    LEAVING_WORDS,
    Age,
    Condition,
    Facts,
    Form,
    Leaving,
    Stage,
    facts_of,
    is_lead_possible,
    part_colours_of,
    shown_name,
)

_Origin = aliased(Piece, name="origin")


@dataclass(frozen=True)
class PieceRow:
    """One piece as pages show it; lengths in millimetres."""

    id: int
    tag: str
    version: int
    form: Form
    title: str
    count: int
    stage: Stage
    stage_since: date
    left_as: Leaving | None
    sourced_on: date
    source_id: int | None
    source_name: str
    haul_id: int | None
    split_from_id: int | None
    split_from_tag: str | None
    width_mm: int | None
    depth_mm: int | None
    height_mm: int | None
    condition: Condition | None
    materials: str
    age: Age
    year: int | None
    notes: str
    finish_colour: str | None
    finish_words: str
    next_note: str
    made_at: datetime
    struck_reason: str | None = None
    part_colours: Mapping[str, str] = field(default_factory=dict)

    @property
    def name(self) -> str:
        """Its title, or the words for its form."""
        return shown_name(self.title, self.form)

    @property
    def form_words(self) -> str:
        """The words for its form."""
        return FORM_WORDS[self.form]

    @property
    def age_words(self) -> str:
        """When it was made."""
        return AGE_WORDS[self.age]

    @property
    def condition_words(self) -> str:
        """How worn it came in; nothing when nobody said."""
        return CONDITION_WORDS[self.condition] if self.condition else ""

    @property
    def left_words(self) -> str:
        """How it left without a sale; nothing when it did not."""
        return LEAVING_WORDS[self.left_as] if self.left_as else ""

    @property
    def is_sold(self) -> bool:
        """Whether it is sold."""
        return self.stage is Stage.SOLD

    @property
    def is_struck(self) -> bool:
        """Whether it was logged by mistake and is struck out."""
        return self.struck_reason is not None

    @property
    def stands_as(self) -> str:
        """Where it stands in a word or two: its stage, how it left, or that it is struck out."""
        return "Struck out" if self.is_struck else (self.left_words or str(self.stage)).capitalize()

    @property
    def is_on_hand(self) -> bool:
        """Whether it is here: neither sold nor left nor struck out."""
        return self.left_as is None and self.stage is not Stage.SOLD and not self.is_struck

    @property
    def is_lead_possible(self) -> bool:
        """Whether its old paint may hold lead."""
        return is_lead_possible(self.age)

    @property
    def facts(self) -> Facts:
        """All that can be put right about it, as the rules take it."""
        return facts_of(self)


def piece_by_tag(session: Session, tag: str) -> PieceRow:
    """The piece with that tag, in capitals or not; NotFound when there is none."""
    return _only(session, rows_query().where(Piece.tag == tag.strip().upper()))


def tag_meant(session: Session, words: str) -> str | None:
    """The tag number that the words are, whatever their capitals, spaces and hyphens; None when they are none."""
    tag = "".join(words.split()).replace("-", "").upper()
    return session.scalar(select(Piece.tag).where(Piece.tag == tag))


def piece_row(session: Session, piece_id: int) -> PieceRow:
    """The piece with that id; NotFound when there is none."""
    return _only(session, rows_query().where(Piece.id == piece_id))


def piece_rows(session: Session, *, ids: Collection[int] | None = None) -> list[PieceRow]:
    """Pieces in the order they were entered: all of them, or those with the given ids; one query."""
    query = rows_query().order_by(Piece.id)
    if ids is not None:
        query = query.where(Piece.id.in_(ids))
    return rows_of(session, query)


def _only(session: Session, query: Any) -> PieceRow:
    found = rows_of(session, query)
    if not found:
        raise NotFound("piece")
    return found[0]


def rows_query() -> Any:
    """The query (a `Select`) behind every piece row; narrow and order it as needed."""
    return (
        select(Piece, Source.name, _Origin.tag)
        .outerjoin(Source, Piece.source_id == Source.id)
        .outerjoin(_Origin, Piece.split_from_id == _Origin.id)
    )


def rows_of(session: Session, query: Any) -> list[PieceRow]:
    """The piece rows a narrowed `rows_query` finds."""
    return [_row(found) for found in session.execute(query)]


def _row(found: Any) -> PieceRow:
    piece, source_name, origin_tag = found
    return PieceRow(
        id=piece.id,
        tag=piece.tag,
        version=piece.version,
        form=piece.form,
        title=piece.title,
        count=piece.count,
        stage=piece.stage,
        stage_since=piece.stage_since,
        left_as=piece.left_as,
        sourced_on=piece.sourced_on,
        source_id=piece.source_id,
        source_name=source_name or "",
        haul_id=piece.haul_id,
        split_from_id=piece.split_from_id,
        split_from_tag=origin_tag,
        width_mm=piece.width_mm,
        depth_mm=piece.depth_mm,
        height_mm=piece.height_mm,
        condition=piece.condition,
        materials=piece.materials,
        age=piece.age,
        year=piece.year,
        notes=piece.notes,
        finish_colour=piece.finish_colour,
        finish_words=piece.finish_words,
        next_note=piece.next_note,
        made_at=piece.made_at,
        struck_reason=piece.struck_reason,
        part_colours=part_colours_of(piece.part_colours),
    )
