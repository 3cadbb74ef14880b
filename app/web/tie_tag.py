"""The tie-on tag: a piece as a paper tag with a punched corner, its photo or its silhouette on it."""

from __future__ import annotations

from dataclasses import dataclass

from app.web.silhouettes import Drawing


@dataclass(frozen=True)
class TagPhoto:
    """A photo as a page shows it; the size is in pixels so that nothing jumps while it loads."""

    src: str
    width: int
    height: int
    alt: str


@dataclass(frozen=True)
class TieTag:
    """What one tag says. Money and dates come as text; either `photo` or `drawing` is its picture.

    `number` is the tag number as printed, `stage_word` where the piece stands, `price_line` its price or
    cost, `extra_line` one more fact. A tag with neither photo nor drawing is refused with ValueError.
    """

    number: str
    title: str
    stage_word: str
    href: str | None = None
    photo: TagPhoto | None = None
    drawing: Drawing | None = None
    price_line: str | None = None
    extra_line: str | None = None

    def __post_init__(self) -> None:
        if self.photo is None and self.drawing is None:
            raise ValueError("A tag shows a photo or a silhouette; neither was given.")
