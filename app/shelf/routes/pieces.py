"""Pages of what one piece used of the shelf."""

from flask import redirect, render_template, request, url_for
from flask.typing import ResponseReturnValue

from app.pieces.queries import piece_by_tag
from app.shelf import queries
from app.shelf.routes.blueprint import bp
from app.shelf.routes.entering import use_of
from app.shelf.routes.materials import ROWS_HEADER, line_cells
from app.web.forms import row_number
from app.web.frame import frame, ledger
from app.web.saving import SEE_OTHER
from app.web.takeaway import csv_answer


@bp.get("/pieces/<tag>/materials")
def of_piece(tag: str) -> ResponseReturnValue:
    with ledger().reading() as session:
        piece = piece_by_tag(session, tag)
        uses, parts = queries.uses_of(session, piece.id), queries.parts_of(session, piece.id)
    total = queries.counted_cost(uses)
    return render_template("shelf/of_piece.html", piece=piece, uses=uses, parts=parts, total=total)


@bp.get("/pieces/<tag>/materials.csv")
def of_piece_csv(tag: str) -> ResponseReturnValue:
    with ledger().reading() as session:
        piece = piece_by_tag(session, tag)
        lines = [*queries.uses_of(session, piece.id), *queries.parts_of(session, piece.id)]
    header = ("Material", *ROWS_HEADER)
    cells = line_cells(lines, frame().places)
    rows = ([line.material_name, *each] for line, each in zip(lines, cells, strict=True))
    return csv_answer(f"materials-{piece.tag}.csv", header, rows)


@bp.route("/pieces/<tag>/materials/new", methods=["GET", "POST"])
def use_on_piece(tag: str) -> ResponseReturnValue:
    with ledger().reading() as session:
        piece = piece_by_tag(session, tag)
        rows = queries.material_rows(session, include_put_away=False)
        asked = row_number(request.args.get("material", ""))
        chosen = None if asked is None else queries.material_by_id(session, asked)
    if chosen is not None:
        return use_of(chosen, piece, [])
    if request.method == "POST":
        return redirect(url_for("shelf.use_on_piece", tag=piece.tag), SEE_OTHER)
    return render_template("shelf/choose.html", piece=piece, rows=[row for row in rows if row.is_bought])
