"""The list of pieces, and the same list to take away."""

from decimal import Decimal

from flask import Response, render_template, request, url_for
from flask.typing import ResponseReturnValue

from app.basics.csv_out import Cell, Cents
from app.basics.quantities import Units, length_plain
from app.pieces.forms import ChoiceForm
from app.pieces.queries import (
    PieceRow,
    PurchaseRow,
    count_pieces,
    counting_purchases,
    pieces_chosen,
    sources,
)
from app.pieces.routes.blueprint import bp
from app.pieces.routes.paging import PAGE_SIZE, kept_words, page_of
from app.web.filters import short_day
from app.web.frame import frame, ledger
from app.web.silhouettes import silhouette
from app.web.takeaway import csv_answer
from app.web.tie_tag import TieTag


@bp.get("/pieces")
def list_pieces() -> ResponseReturnValue:
    form = ChoiceForm(request.args)
    choice = form.choice()
    with ledger().reading() as session:
        places = sources(session, include_put_away=True)
        total = count_pieces(session, choice)
        page = page_of(total, "pieces.list_pieces")
        rows = pieces_chosen(session, choice, limit=PAGE_SIZE, offset=page.offset)
    form.source.choices = [("", "Anywhere"), *((str(place.id), place.name) for place in places)]
    return render_template(
        "pieces/list.html",
        form=form,
        choice=choice,
        page=page,
        tags=[tag_of(row) for row in rows],
        csv_href=url_for("pieces.pieces_csv", **kept_words()),
    )


def tag_of(piece: PieceRow) -> TieTag:
    """A piece as a tag in the list."""
    since = f"since {short_day(piece.stage_since)}"
    facts = [since, piece.source_name, f"set of {piece.count}" if piece.count > 1 else ""]
    return TieTag(
        number=piece.tag,
        title=piece.name,
        stage_word=(piece.left_words or str(piece.stage)).capitalize(),
        href=url_for("desk.sheet", tag=piece.tag),
        drawing=silhouette(piece.form, piece.finish_colour),
        extra_line=", ".join(fact for fact in facts if fact),
    )


@bp.get("/pieces.csv")
def pieces_csv() -> Response:
    choice = ChoiceForm(request.args).choice()
    with ledger().reading() as session:
        rows = pieces_chosen(session, choice)
        paid = counting_purchases(session)
    units, places = frame().units, frame().places
    unit = "in" if units is Units.IMPERIAL else "cm"
    header = [*PLAIN_COLUMNS, *(f"{side} ({unit})" for side in ("Width", "Depth", "Height")), *PAID_COLUMNS]
    return csv_answer(
        "pieces.csv",
        header,
        ([*_plain_cells(row), *_side_cells(row, units), *_paid_cells(paid.get(row.id), places)] for row in rows),
    )


PLAIN_COLUMNS = (
    *("Tag", "Name", "What it is", "How many", "Stage", "Since", "Left", "Found on", "Where from", "Haul"),
    *("Split from", "Condition", "Made", "Year", "Made of", "Finish colour", "Finish", "Next", "Notes"),
)
PAID_COLUMNS = ("Came", "Price", "Buyer's premium", "Sales tax")


def _plain_cells(row: PieceRow) -> list[Cell]:
    return [
        *(row.tag, row.name, row.form_words, row.count, str(row.stage), row.stage_since, row.left_words),
        *(row.sourced_on, row.source_name, row.haul_id, row.split_from_tag, row.condition, row.age_words, row.year),
        *(row.materials, row.finish_colour, row.finish_words, row.next_note, row.notes),
    ]


def _side_cells(row: PieceRow, units: Units) -> list[Cell]:
    sides = (row.width_mm, row.depth_mm, row.height_mm)
    return [None if mm is None else Decimal(length_plain(mm, units)) for mm in sides]


def _paid_cells(paid: PurchaseRow | None, places: int) -> list[Cell]:
    if paid is None:
        return [None, None, None, None]
    amounts = (paid.price_cents, paid.premium_cents, paid.tax_cents)
    return [str(paid.kind), *(Cents(cents, places) for cents in amounts)]
