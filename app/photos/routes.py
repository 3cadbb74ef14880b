"""Pages of the photos room."""

from pathlib import Path

from flask import Blueprint, Response, abort, current_app, flash, redirect, render_template, request, url_for
from flask.typing import ResponseReturnValue

from app.basics import clock
from app.basics.errors import RuleError
from app.database.unit_of_work import LedgerTrouble
from app.photos import actions, queries
from app.photos.forms import PhotosForm
from app.photos.rules import MOST_AT_ONCE, Size, StoredPhoto, alt_words
from app.photos.store import keep, size_path
from app.pieces.queries import piece_by_tag, piece_row
from app.web.frame import ledger
from app.web.saving import SEE_OTHER, UNPROCESSABLE

bp = Blueprint("photos", __name__, template_folder="templates")

SHOWN_WITH = {"Cache-Control": "private, max-age=31536000, immutable", "X-Content-Type-Options": "nosniff"}


@bp.get("/pieces/<tag>/photos")
def of_piece(tag: str) -> ResponseReturnValue:
    return _page(tag, PhotosForm.from_request())


@bp.post("/pieces/<tag>/photos")
def add(tag: str) -> ResponseReturnValue:
    form = PhotosForm.from_request()
    with ledger().reading() as session:
        piece = piece_by_tag(session, tag)
    stored = _keep_each(form)
    with ledger().writing() as session:
        actions.attach_photos(session, stored, piece_id=piece.id, now=clock.now())
    saved = f"{len(stored)} photo{'' if len(stored) == 1 else 's'} saved."
    if form.photos.errors:
        return _page(tag, form, saved if stored else ""), UNPROCESSABLE
    flash(saved)
    return redirect(url_for("photos.of_piece", tag=piece.tag), SEE_OTHER)


@bp.get("/photos/<int:photo_id>/<size>")
def show(photo_id: int, size: str) -> ResponseReturnValue:
    if size not in set(Size):
        abort(404)
    with ledger().reading() as session:
        photo = queries.photo_by_id(session, photo_id)
    path = size_path(photo_dir(), photo.sha256, Size(size))
    if not path.is_file():
        abort(404)
    answer = Response(path.read_bytes(), content_type="image/webp", headers=SHOWN_WITH)
    answer.set_etag(f"{photo.sha256}-{size}")
    return answer.make_conditional(request)


@bp.post("/photos/<int:photo_id>/front")
def put_in_front(photo_id: int) -> ResponseReturnValue:
    with ledger().writing() as session:
        piece_id = actions.put_in_front(session, photo_id).piece_id
    flash("That is the front photo now.")
    return _back_to_photos(piece_id)


@bp.post("/photos/<int:photo_id>/remove")
def remove(photo_id: int) -> ResponseReturnValue:
    with ledger().writing() as session:
        piece_id = actions.remove_photo(session, photo_id, now=clock.now()).piece_id
    return _back_to_photos(piece_id, removed=photo_id)


@bp.post("/photos/<int:photo_id>/put-back")
def put_back(photo_id: int) -> ResponseReturnValue:
    with ledger().writing() as session:
        piece_id = actions.put_back_photo(session, photo_id).piece_id
    flash("The photo is back.")
    return _back_to_photos(piece_id)


def photo_dir() -> Path:
    """Where this shop's photos lie."""
    found: Path = current_app.extensions["tackcloth_settings"].photo_dir
    return found


def _page(tag: str, form: PhotosForm, saved: str = "") -> str:
    with ledger().reading() as session:
        piece = piece_by_tag(session, tag)
        photos = queries.photos_of(session, piece.id)
        removed = queries.removed_photo(session, piece.id, request.args.get("removed", type=int))
    shown = [(photo, alt_words(piece.name, number, len(photos))) for number, photo in enumerate(photos, start=1)]
    return render_template("photos/of_piece.html", form=form, piece=piece, shown=shown, saved=saved, removed_id=removed)


def _keep_each(form: PhotosForm) -> list[StoredPhoto]:
    """Keep the photos that can be kept, and tell the form of the others by name."""
    if not form.chosen:
        form.refuse_nothing()
    stored: list[StoredPhoto] = []
    for upload in form.chosen[:MOST_AT_ONCE]:
        try:
            stored.append(keep(photo_dir(), upload.stream, upload.filename or ""))
        except (RuleError, LedgerTrouble) as refusal:
            form.refuse_photo(upload, refusal.message)
    for upload in form.chosen[MOST_AT_ONCE:]:
        form.refuse_photo(upload, f"Only {MOST_AT_ONCE} photos fit in one go. Send this one again.")
    return stored


def _back_to_photos(piece_id: int | None, *, removed: int | None = None) -> ResponseReturnValue:
    if piece_id is None:
        abort(404)
    with ledger().reading() as session:
        tag = piece_row(session, piece_id).tag
    return redirect(url_for("photos.of_piece", tag=tag, removed=removed), SEE_OTHER)
