"""What a phone takes along for choosing without signal."""

from dataclasses import dataclass

from sqlalchemy import select
from sqlalchemy.orm import Session

from app.access.models import SignedInBrowser
from app.pieces.queries import SourceRow, pieces_chosen, sources
from app.pieces.rules import PieceChoice, Whereabouts

MOST_PIECES = 300


@dataclass(frozen=True)
class HomeSheet:
    """The places and the pieces on hand (tag, name, stage; the newest first), and the phone's name here."""

    phone: str
    sources: tuple[SourceRow, ...]
    pieces: tuple[tuple[str, str, str], ...]


def home_sheet(session: Session, browser_id: int | None) -> HomeSheet:
    """What the phone with this id takes along; at most 300 pieces."""
    on_hand = pieces_chosen(session, PieceChoice(whereabouts=Whereabouts.ON_HAND), limit=MOST_PIECES)
    named = select(SignedInBrowser.name).where(SignedInBrowser.id == browser_id)
    by_use = sorted(sources(session), key=lambda source: -source.pieces)
    return HomeSheet(
        phone=session.scalar(named) or "",
        sources=tuple(by_use),
        pieces=tuple((piece.tag, piece.name, piece.stage.value) for piece in on_hand),
    )
