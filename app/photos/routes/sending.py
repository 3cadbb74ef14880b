"""Photos sent one by one, each answered for itself: what has arrived is in, whatever happens to the others."""

from flask import jsonify, request
from flask.typing import ResponseReturnValue

from app.basics import clock
from app.basics.errors import NotFound, RuleError
from app.database.unit_of_work import LedgerTrouble
from app.photos import actions
from app.photos.routes.blueprint import bp
from app.photos.rules import Shows, StoredPhoto, UnreadablePhoto, shows_at
from app.photos.store import keep
from app.pieces.queries import piece_by_tag
from app.web.frame import ledger, photo_dir
from app.web.saving import UNPROCESSABLE

NOT_FOUND = 404


@bp.post("/photos/one")
def add_one() -> ResponseReturnValue:
    upload = request.files.get("photo")
    try:
        if upload is None:
            raise UnreadablePhoto
        stored = keep(photo_dir(), upload.stream, upload.filename or "")
        already = _put_on(request.form["piece"], stored) if request.form.get("piece") else _lay_on_pile(stored)
    except NotFound as lost:
        return jsonify(refused=lost.message), NOT_FOUND
    except RuleError as refusal:
        return jsonify(refused=refusal.message), UNPROCESSABLE
    except LedgerTrouble as trouble:
        return jsonify(refused=trouble.message), trouble.status
    return jsonify(already=already)


def _lay_on_pile(stored: StoredPhoto) -> str:
    """Where the content stood already; nothing when it lies on the pile by this."""
    with ledger().writing() as session:
        there = actions.add_to_pile(session, stored, now=clock.now())
    return f"already {there.words}" if there else ""


def _put_on(tag: str, stored: StoredPhoto) -> str:
    """Put a photo on a piece; the same one again is the one that is there."""
    said = request.form.get("shows", "")
    with ledger().writing() as session:
        piece = piece_by_tag(session, tag)
        shows = Shows(said) if said in set(Shows) - {Shows.RECEIPT} else shows_at(piece.stage)
        actions.attach_photos(session, [stored], piece_id=piece.id, shows=shows, now=clock.now())
    return ""
