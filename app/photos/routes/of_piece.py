"""The photos of one piece on one wall, and more of them added."""

from functools import partial

from flask import flash, redirect, render_template, request, url_for
from flask.typing import ResponseReturnValue

from app.basics import clock
from app.photos import actions, queries
from app.photos.forms import PhotosForm
from app.photos.routes.blueprint import bp
from app.photos.rules import before_and_after, shows_at
from app.photos.store import keep_sent
from app.pieces.queries import piece_by_tag
from app.web.filters import counted
from app.web.frame import ledger, photo_dir
from app.web.saving import SEE_OTHER, UNPROCESSABLE


@bp.get("/pieces/<tag>/photos")
def of_piece(tag: str) -> ResponseReturnValue:
    return _page(tag, _form_of(tag))


@bp.post("/pieces/<tag>/photos")
def add(tag: str) -> ResponseReturnValue:
    form = _form_of(tag)
    if not form.validate():
        return _page(tag, form), UNPROCESSABLE
    with ledger().reading() as session:
        piece = piece_by_tag(session, tag)
    stored = form.keep_chosen(partial(keep_sent, photo_dir()))
    with ledger().writing() as session:
        actions.attach_photos(session, stored, piece_id=piece.id, shows=form.shown, now=clock.now())
    saved = f"{counted(len(stored), 'photo', 'photos')} saved."
    if form.photos.errors:
        return _page(tag, form, saved if stored else ""), UNPROCESSABLE
    flash(saved)
    return redirect(url_for("photos.of_piece", tag=piece.tag), SEE_OTHER)


def _form_of(tag: str) -> PhotosForm:
    """What the photos show is proposed from the stage of the piece."""
    with ledger().reading() as session:
        stage = piece_by_tag(session, tag).stage
    return PhotosForm.from_request(shows=shows_at(stage).value)


def _page(tag: str, form: PhotosForm, saved: str = "") -> str:
    with ledger().reading() as session:
        piece = piece_by_tag(session, tag)
        photos = queries.photos_of(session, piece.id)
        removed = queries.removed_photo(session, piece.id, request.args.get("removed", type=int))
    return render_template(
        "photos/of_piece.html",
        form=form,
        piece=piece,
        photos=photos,
        has_pair=before_and_after(photos) is not None,
        saved=saved,
        removed_id=removed,
    )
