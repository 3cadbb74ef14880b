"""Take parts off a piece: they go to the shelf at a value, and that much of its cost goes with them."""

from flask import render_template, request, url_for
from flask.typing import ResponseReturnValue

from app.basics import clock
from app.basics.errors import NotFound
from app.desk import actions
from app.desk.forms.parts import PartsForm
from app.desk.queries import stands_at
from app.desk.routes.blueprint import bp
from app.pieces.queries import PieceRow, piece_by_tag
from app.pieces.rules import require_on_hand
from app.shelf.queries import MaterialRow, changes_with, material_rows
from app.shelf.rules import Unit
from app.web.checking import Changes, Entry, enter
from app.web.frame import frame, ledger


@bp.route("/pieces/<tag>/parts-off", methods=["GET", "POST"])
def parts_off(tag: str) -> ResponseReturnValue:
    with ledger().reading() as session:
        piece = piece_by_tag(session, tag)
        if piece.is_struck:
            raise NotFound("piece that counts")
        cents = stands_at(session, piece.id, frame().today)
        counted = [row for row in material_rows(session, include_put_away=False) if row.unit is Unit.EACH]
    require_on_hand(piece.stage, piece.left_as)
    form = PartsForm.from_request().measured_in(Unit.EACH)
    form.offer_materials([(str(row.id), row.name) for row in counted])
    entry = _entry(form, piece, {row.id: row for row in counted}, cents)
    return enter(entry, "The parts are on the shelf.") if request.method == "POST" else entry.ask()


def _entry(form: PartsForm, piece: PieceRow, counted: dict[int, MaterialRow], cents: int) -> Entry:
    here, onward = url_for("desk.parts_off", tag=piece.tag), url_for("shelf.of_piece", tag=piece.tag)
    chosen = counted.get(form.material_id or 0)
    return Entry(
        form,
        act=lambda session, _file: actions.take_parts(
            session,
            form.new_parts(piece.id),
            new_name=form.new_name.data,
            capture_id=form.submit_token.data or "",
            agreed=form.agreed_mark,
            now=clock.now(),
        ),
        find_changes=lambda: _changes(form, piece, chosen),
        ask=lambda: render_template("desk/parts_off.html", form=form, piece=piece, cents=cents, here=here),
        check=lambda changes: render_template(
            "shelf/check.html",
            form=form,
            name=chosen.name if chosen else form.new_name.data,
            here=here,
            onward=onward,
            changes=changes,
        ),
        onward=onward,
    )


def _changes(form: PartsForm, piece: PieceRow, chosen: MaterialRow | None) -> Changes:
    """What else changes; something new on the shelf can change no other charge."""
    if chosen is None:
        return [], ""
    with ledger().reading() as session:
        return changes_with(session, chosen.id, form.new_parts(piece.id).row)
