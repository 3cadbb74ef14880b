"""What a report on paper is made of."""

from collections.abc import Sequence
from dataclasses import dataclass
from enum import StrEnum
from typing import TypeAlias


class PaperSize(StrEnum):
    """The sheet it is printed on."""

    A4 = "a4"
    LETTER = "letter"


@dataclass(frozen=True)
class Heading:
    """Words over what follows; never left alone at the foot of a page."""

    text: str


@dataclass(frozen=True)
class Note:
    """A paragraph in small letters."""

    text: str


@dataclass(frozen=True)
class NewPage:
    """What follows begins on a new page."""


class RungKind(StrEnum):
    """A line, a sum of the lines above it, or the last sum of all."""

    LINE = "line"
    SUM = "sum"
    TOTAL = "total"


@dataclass(frozen=True)
class Rung:
    """One line of a ladder: words, its amount in words, and a note in small letters under it."""

    label: str
    amount: str
    kind: RungKind = RungKind.LINE
    note: str = ""


@dataclass(frozen=True)
class Ladder:
    """Amounts under one another that lead to a sum."""

    rungs: Sequence[Rung]


@dataclass(frozen=True)
class Column:
    """A column of a table; numbers stand at its right edge and are never broken."""

    label: str
    is_number: bool = False


@dataclass(frozen=True)
class Table:
    """Rows of words under a header that is repeated on every page; `foot` is a last row of sums."""

    columns: Sequence[Column]
    rows: Sequence[Sequence[str]]
    foot: Sequence[str] | None = None

    def __post_init__(self) -> None:
        """Refuse a row of another length than the header (ValueError)."""
        for row in (*self.rows, self.foot or self.columns):
            if len(row) != len(self.columns):
                raise ValueError(f"A row has {len(row)} cells where the table has {len(self.columns)} columns.")


Block: TypeAlias = Heading | Note | NewPage | Ladder | Table
