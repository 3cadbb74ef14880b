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
from app.shelf.queries import MaterialRow, material_rows
from app.shelf.routes.entering import Entry, enter
from app.shelf.rules import Unit
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
    entry = _entry(form, piece, counted, cents)
    return enter(entry, "The parts are on the shelf.") if request.method == "POST" else entry.ask()


def _entry(form: PartsForm, piece: PieceRow, counted: list[MaterialRow], cents: int) -> Entry:
    chosen = next((row for row in counted if row.id == form.material_id), None)
    here = url_for("desk.parts_off", tag=piece.tag)
    return Entry(
        form,
        chosen,
        new_of=lambda _session: form.new_parts(piece.id),
        act=lambda session, _file: actions.take_parts(
            session,
            form.new_parts(piece.id),
            new_name=form.new_name.data,
            capture_id=form.submit_token.data or "",
            agreed=form.agreed_mark,
            now=clock.now(),
        ),
        here=here,
        onward=url_for("shelf.of_piece", tag=piece.tag),
        ask=lambda: render_template("desk/parts_off.html", form=form, piece=piece, cents=cents, here=here),
    )
