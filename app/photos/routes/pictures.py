"""The pictures themselves, in the sizes shown on pages, and before and after in one."""

from flask import Response, abort, request
from flask.typing import ResponseReturnValue

from app.photos import queries
from app.photos.routes.blueprint import bp
from app.photos.rules import Size, before_and_after
from app.photos.store import draw_pair, size_bytes
from app.pieces.queries import piece_by_tag
from app.web.frame import ledger, photo_dir
from app.web.saving import found

# Kept by the browser, and asked about each time: who is signed out or revoked sees no picture kept from before, and a
# number means another photo in the made-up shop or after a restore.
SHOWN_WITH = {"Cache-Control": "private, no-cache", "X-Content-Type-Options": "nosniff"}


@bp.get("/photos/<int:photo_id>/<size>")
def show(photo_id: int, size: str) -> ResponseReturnValue:
    if size not in set(Size):
        abort(404)
    with ledger().reading() as session:
        photo = queries.photo_by_id(session, photo_id)
    body = size_bytes(photo_dir(), photo.sha256, Size(size))
    answer = Response(body, content_type="image/webp", headers=SHOWN_WITH)
    answer.set_etag(f"{photo.sha256}-{size}")
    return answer.make_conditional(request)


@bp.get("/pieces/<tag>/before-after.jpg")
def before_after(tag: str) -> ResponseReturnValue:
    with ledger().reading() as session:
        piece = piece_by_tag(session, tag)
        pair = found(before_and_after(queries.photos_of(session, piece.id)))
    answer = Response(draw_pair(photo_dir(), *(photo.sha256 for photo in pair)), content_type="image/jpeg")
    answer.headers.set("Content-Disposition", "attachment", filename=f"{piece.tag}-before-and-after.jpg")
    # The owner may choose another pair under the same address.
    answer.headers["Cache-Control"] = SHOWN_WITH["Cache-Control"]
    return answer
