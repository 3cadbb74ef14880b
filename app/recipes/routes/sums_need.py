"""The sum of how much to mix for a piece or an area."""

from flask import render_template
from flask.typing import ResponseReturnValue

from app.basics.errors import NotFound
from app.database.unit_of_work import Session
from app.pieces.queries import PieceRow, piece_by_tag
from app.recipes.forms.need import NO_COST, TAGS_LIST, NeedForm
from app.recipes.forms.reading import LABEL_RULES
from app.recipes.queries import priced_materials
from app.recipes.routes.blueprint import bp
from app.recipes.rules import AREA_SOURCE, LEVEL_WORDS, Measures
from app.shelf.queries import pieces_on_hand
from app.web.frame import ledger


@bp.get("/sums/need")
def sum_need() -> ResponseReturnValue:
    form = NeedForm.from_address()
    with ledger().reading() as session:
        row = _piece(session, form)
        priced = priced_materials(session)
        on_hand = pieces_on_hand(session)
    form.offer("material", [NO_COST, *((str(one.id), one.name) for one in priced)])
    piece = None if row is None else Measures(row.form, row.width_mm, row.depth_mm, row.height_mm, row.count)
    form.look_at(piece)
    return render_template(
        "recipes/sums_need.html",
        form=form,
        answer=form.worked_out(lambda: form.answer(piece, priced)),
        label_rules=LABEL_RULES,
        piece=row,
        on_hand=on_hand,
        tags_list=TAGS_LIST,
        area_source=AREA_SOURCE,
        levels=LEVEL_WORDS,
    )


def _piece(session: Session, form: NeedForm) -> PieceRow | None:
    """The piece whose tag was typed; a tag that is no piece is kept as what is wrong."""
    if not form.tag.data:
        return None
    try:
        return piece_by_tag(session, form.tag.data)
    except NotFound:
        form.no_such_piece()
        return None
