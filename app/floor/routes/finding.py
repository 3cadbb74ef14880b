"""What the pages of the floor begin with: the piece that is on it, the channels to choose from."""

from app.basics.errors import RuleError
from app.floor import queries
from app.floor.queries import ChannelRow, ListingSheet
from app.pieces.queries import PieceRow, piece_by_tag
from app.web.frame import ledger


def listed_piece(tag: str) -> tuple[PieceRow, ListingSheet]:
    """The piece and its spell on the floor; refuses a piece that is not on it (RuleError)."""
    with ledger().reading() as session:
        piece = piece_by_tag(session, tag)
        listing = queries.open_listing(session, piece.id)
    if listing is None:
        raise RuleError(f"{piece.name} is not on the floor. List it first.")
    return piece, listing


def choices_of(offered: list[ChannelRow]) -> list[tuple[str, str]]:
    """Channels as a form offers them."""
    return [(str(row.id), row.name) for row in offered]
