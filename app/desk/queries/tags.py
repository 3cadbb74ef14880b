"""Read what is printed on tags: the pieces to choose from, and each with its words, its code and its note on care."""

from collections.abc import Collection, Sequence
from dataclasses import dataclass
from datetime import datetime

from sqlalchemy.orm import Session

from app.access.queries import home_address
from app.access.rules import Home
from app.basics.quantities import Units, format_dimensions
from app.desk.queries.care import FINISHED, care_sheets
from app.desk.rules.tags import TagFace, code_words
from app.pieces.queries import PieceRow, piece_rows
from app.pieces.rules import Stage


@dataclass(frozen=True)
class TagChoice:
    """The pieces tags can be printed for, newest first, and where phones find the shop, if it has an address."""

    pieces: tuple[PieceRow, ...]
    home: Home | None

    @property
    def on_hand(self) -> list[PieceRow]:
        """Those that are here."""
        return [piece for piece in self.pieces if piece.is_on_hand]

    @property
    def listed(self) -> list[PieceRow]:
        """Those on the floor."""
        return [piece for piece in self.on_hand if piece.stage is Stage.LISTED]


def tag_choice(session: Session, named: Collection[str]) -> TagChoice:
    """All pieces on hand, and those named by their tag number that are sold or gone; two queries."""
    wanted = {tag.upper() for tag in named}
    rows = [row for row in piece_rows(session) if row.is_on_hand or (row.tag in wanted and not row.is_struck)]
    return TagChoice(tuple(reversed(rows)), home_address(session))


def tag_faces(
    session: Session, pieces: Sequence[PieceRow], *, units: Units, zone: str, with_care: bool, now: datetime
) -> list[TagFace]:
    """What is printed on the tags of these pieces; only a finished piece has a note on care."""
    home = home_address(session)
    care = care_sheets(session, [piece for piece in pieces if piece.stage in FINISHED], now) if with_care else {}
    return [
        TagFace(
            number=piece.tag,
            name=piece.name,
            form=f"{piece.form_words}, set of {piece.count}" if piece.count > 1 else piece.form_words,
            size=format_dimensions(piece.width_mm, piece.depth_mm, piece.height_mm, units),
            code=code_words(piece.tag, home.url if home else None),
            care=care[piece.id].lines(zone) if piece.id in care else (),
        )
        for piece in pieces
    ]
