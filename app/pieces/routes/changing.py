"""The one shape of a page that changes something: shown when opened, saved when sent."""

from collections.abc import Callable
from typing import TypeVar

from flask import request, url_for
from flask.typing import ResponseReturnValue

from app.database.unit_of_work import Session
from app.pieces.models import Piece
from app.pieces.queries import PieceRow, SourceRow, piece_by_tag, sources
from app.web.forms import Form
from app.web.frame import ledger
from app.web.saving import save

T = TypeVar("T")


def the_piece(tag: str) -> PieceRow:
    """The piece the address names, or the page that says there is none."""
    with ledger().reading() as session:
        return piece_by_tag(session, tag)


def all_sources() -> list[SourceRow]:
    """Every place, put away or not."""
    with ledger().reading() as session:
        return sources(session, include_put_away=True)


def source_choices(places: list[SourceRow], kept_id: int | None) -> list[tuple[str, str]]:
    """Places to choose from: those in use, and the one that is chosen already."""
    offered = [place for place in places if not place.is_put_away or place.id == kept_id]
    return [("", "Not said"), *((str(place.id), place.name) for place in offered)]


def shown_or_saved(
    form: Form,
    act: Callable[[Session], T],
    *,
    again: Callable[[], str],
    to: Callable[[T], str],
    done: str,
) -> ResponseReturnValue:
    """The form's page on GET; on POST the work of `act`, then the page `to` leads to."""
    if request.method == "GET":
        return again()
    return save(form, act, to=to, again=again, done=done)


def to_sheet(piece: Piece | PieceRow) -> str:
    """The page of a piece that was changed."""
    return url_for("desk.sheet", tag=piece.tag)
