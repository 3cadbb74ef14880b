"""One photo by itself: what it shows, its place among the others, removed and put back."""

from flask import abort, flash, redirect, render_template, request, url_for
from flask.typing import ResponseReturnValue

from app.basics import clock
from app.photos import actions, queries
from app.photos.forms import DescribeForm
from app.photos.routes.blueprint import bp
from app.pieces.queries import piece_row
from app.web.forms import row_number
from app.web.frame import ledger
from app.web.saving import SEE_OTHER, save


@bp.route("/photos/<int:photo_id>", methods=["GET", "POST"])
def one(photo_id: int) -> ResponseReturnValue:
    with ledger().reading() as session:
        placed = queries.placed_photo(session, photo_id)
        piece = piece_row(session, placed.piece_id)
    form = DescribeForm.from_request(shows=placed.photo.shows.value, caption=placed.photo.caption)

    def again() -> str:
        return render_template("photos/one.html", form=form, placed=placed, piece=piece)

    if request.method == "GET":
        return again()
    return save(
        form,
        lambda session: actions.describe_photo(session, photo_id, shows=form.shown, caption=form.caption.data),
        to=lambda photo: url_for("photos.one", photo_id=photo.id),
        again=again,
    )


@bp.post("/photos/<int:photo_id>/front")
def put_in_front(photo_id: int) -> ResponseReturnValue:
    with ledger().writing() as session:
        piece_id = actions.put_in_front(session, photo_id).piece_id
    flash("That is the front photo now.")
    return _back_to_photos(piece_id)


@bp.post("/photos/<int:photo_id>/place")
def place(photo_id: int) -> ResponseReturnValue:
    wanted = row_number(request.form.get("to", ""))
    if wanted is None:
        abort(400)
    with ledger().writing() as session:
        actions.put_at(session, photo_id, wanted)
    return redirect(url_for("photos.one", photo_id=photo_id), SEE_OTHER)


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


def _back_to_photos(piece_id: int | None, *, removed: int | None = None) -> ResponseReturnValue:
    if piece_id is None:
        abort(404)
    with ledger().reading() as session:
        tag = piece_row(session, piece_id).tag
    return redirect(url_for("photos.of_piece", tag=tag, removed=removed), SEE_OTHER)
