"""The list of pieces to take away; the page itself stands in the desk, which knows the photos."""

from decimal import Decimal

from flask import Response, request

from app.basics.csv_out import Cell, Cents
from app.basics.quantities import Units, length_plain
from app.pieces.forms import ChoiceForm
from app.pieces.queries import (
    PieceRow,
    PurchaseRow,
    counting_purchases,
    pieces_chosen,
)
from app.pieces.routes.blueprint import bp
from app.web.frame import frame, ledger
from app.web.takeaway import csv_answer


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
