"""What to look at before a piece is offered, by its facts and what is known of its surface."""

from app.pieces.queries import PieceRow
from app.pieces.rules import Caution
from app.recipes.rules import Surface, cautions_for_listing, must_not_be_sold, speaks_of_paint


def harms_of(piece: PieceRow) -> tuple[Caution, ...]:
    """Why a piece must not be sold, by the owner's own words; nothing where they say no such thing."""
    return must_not_be_sold(*_said_of(piece))


def cautions_of(piece: PieceRow, surface: Surface) -> tuple[Caution, ...]:
    """What to look at before it is offered; the words of its finish only tell of paint."""
    is_painted = piece.finish_colour is not None or speaks_of_paint(piece.finish_words) or surface.was_painted
    return cautions_for_listing(
        piece.form,
        piece.age,
        *_said_of(piece),
        height_mm=piece.height_mm,
        is_painted=is_painted,
        lead_test=surface.lead_test,
    )


def _said_of(piece: PieceRow) -> tuple[str, ...]:
    """The owner's words for it; a finish may be named after ivory, so its words do not count."""
    return piece.title, piece.materials, piece.notes
