"""Pages of the shelf's list and of one material: what is left, what is known of it, everything that happened to it."""

from collections.abc import Iterator
from decimal import Decimal
from itertools import groupby

from flask import render_template, request, url_for
from flask.typing import ResponseReturnValue

from app.basics import clock
from app.basics.csv_out import Cell, Cents
from app.basics.quantities import percent_plain
from app.shelf import actions, queries
from app.shelf.forms import CorrectMaterialForm, MaterialForm
from app.shelf.queries import MaterialRow, ShelfLine
from app.shelf.routes.blueprint import bp
from app.shelf.rules import RowKind
from app.web.frame import frame, ledger
from app.web.paging import page_of
from app.web.saving import save
from app.web.takeaway import csv_answer

ROWS_ON_A_PAGE = 40
SHELF_HEADER = (
    "Material",
    "What it is",
    "Left",
    "Unit",
    "Worth",
    "Buy more at",
    "Colour",
    "Sheen",
    "Volume solids percent",
    "Put away",
    "Note",
)
ROWS_HEADER = (
    "Date",
    "What",
    "Tag",
    "Piece",
    "Quantity",
    "Unit",
    "Paid",
    "Charged",
    "Settled later",
    "Beyond what was left",
    "Left after it",
    "Worth after it",
    "Bought at",
    "Note",
    "Receipt photo",
    "Struck out because",
)
KIND_WORDS = {RowKind.BOUGHT: "Bought", RowKind.USED: "Used", RowKind.COUNTED: "Counted"}


@bp.get("/shelf")
def shelf() -> ResponseReturnValue:
    with ledger().reading() as session:
        rows = queries.material_rows(session)
    in_use = [row for row in rows if not row.facts.is_put_away]
    groups = [("Buy more", [row for row in in_use if row.is_low])]
    rest = [row for row in in_use if not row.is_low]
    groups += [(words, list(each)) for words, each in groupby(rest, key=lambda row: row.class_words)]
    groups.append(("Put away", [row for row in rows if row.facts.is_put_away]))
    return render_template(
        "shelf/shelf.html",
        groups=[(words, each) for words, each in groups if each],
        total=sum(row.value_cents for row in rows),
    )


@bp.get("/shelf.csv")
def shelf_csv() -> ResponseReturnValue:
    with ledger().reading() as session:
        rows = queries.material_rows(session)
    return csv_answer("shelf.csv", SHELF_HEADER, _shelf_cells(rows, frame().places))


@bp.route("/shelf/new", methods=["GET", "POST"])
def add() -> ResponseReturnValue:
    form = MaterialForm.given(None, frame().units)

    def again() -> str:
        return render_template("shelf/edit.html", form=form, material=None)

    if request.method == "GET":
        return again()
    return save(
        form,
        lambda session: actions.add_material(session, form.facts(), now=clock.now()),
        to=lambda material: url_for("shelf.material", material_id=material.id),
        again=again,
        done=lambda material: f"{material.name} is on the shelf. Now say what you bought of it.",
    )


@bp.get("/shelf/<int:material_id>")
def material(material_id: int) -> ResponseReturnValue:
    with ledger().reading() as session:
        row = queries.material_by_id(session, material_id)
        lines = queries.material_lines(session, material_id)
    page = page_of(len(lines), "shelf.material", size=ROWS_ON_A_PAGE)
    shown = lines[page.offset : page.offset + ROWS_ON_A_PAGE]
    return render_template("shelf/material.html", material=row, lines=shown, page=page)


@bp.get("/shelf/<int:material_id>.csv")
def material_csv(material_id: int) -> ResponseReturnValue:
    with ledger().reading() as session:
        lines = queries.material_lines(session, material_id)
        queries.material_by_id(session, material_id)
    return csv_answer(f"material-{material_id}.csv", ROWS_HEADER, line_cells(lines, frame().places))


@bp.route("/shelf/<int:material_id>/correct", methods=["GET", "POST"])
def correct(material_id: int) -> ResponseReturnValue:
    with ledger().reading() as session:
        row = queries.material_by_id(session, material_id)
    form = CorrectMaterialForm.given(row.facts, frame().units, version=str(row.version))

    def again() -> str:
        return render_template("shelf/edit.html", form=form, material=row)

    if request.method == "GET":
        return again()
    return save(
        form,
        lambda session: actions.correct_material(session, material_id, form.facts(), version=form.version_number),
        to=lambda _material: url_for("shelf.material", material_id=material_id),
        again=again,
        done=lambda material: f"{material.name} is put right.",
    )


def _shelf_cells(rows: list[MaterialRow], places: int) -> Iterator[list[Cell]]:
    for row in rows:
        facts = row.facts
        solids = facts.volume_solids_hundredths
        yield [
            row.name,
            row.class_words,
            _units(row.left_milli),
            row.unit.value,
            Cents(row.value_cents, places),
            None if facts.reorder_milli is None else _units(facts.reorder_milli),
            facts.colour,
            facts.sheen,
            None if solids is None else percent_plain(solids),
            "yes" if facts.is_put_away else "no",
            facts.note,
        ]


def line_cells(lines: list[ShelfLine], places: int) -> Iterator[list[Cell]]:
    """Rows of the shelf as a list takes them away; quantities in the material's own unit, taken ones below zero."""
    for line in lines:
        bought = line.kind is RowKind.BOUGHT
        yield [
            line.on,
            "Taken off a piece" if line.is_off_a_piece else KIND_WORDS[line.kind],
            line.piece_tag,
            line.piece_name,
            _units(-line.milli if line.kind is RowKind.USED else line.milli),
            line.unit.value,
            Cents(line.paid_cents, places) if bought else None,
            None if bought else Cents(line.charged_cents, places),
            Cents(line.settled_cents, places) if line.settled_cents else None,
            _units(line.short_milli) if line.short_milli else None,
            _units(line.after.milli) if line.after else None,
            Cents(line.after.cents, places) if line.after else None,
            line.bought_at,
            line.note,
            line.receipt_photo_id,
            line.struck_reason,
        ]


def _units(milli: int) -> Decimal:
    return Decimal(milli) / 1000
