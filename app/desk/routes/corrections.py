"""Corrections of closed months: the list of them, one row with its amounts, and striking a correction out."""

from collections.abc import Iterator, Mapping
from types import MappingProxyType
from typing import Any

from flask import render_template, request, url_for
from flask.typing import ResponseReturnValue

from app.basics import clock
from app.basics.csv_out import Cell, Cents
from app.basics.dates import Month
from app.costs.queries import AdjustmentRow, adjustment_by_id, adjustments, adjustments_of_row, count_adjustments
from app.desk import actions
from app.desk.forms.correcting import correction_form
from app.desk.queries import RowSheet, row_to_correct
from app.desk.routes.blueprint import bp
from app.web.forms import StrikeForm
from app.web.frame import frame, ledger
from app.web.paging import PAGE_SIZE, page_of
from app.web.saving import save
from app.web.takeaway import csv_answer

HEADER = (
    *("Counts on", "Tag", "Piece", "Corrects", "Of", "Amount", "Difference", "Reason", "Entered"),
    "Struck out because",
)

# Pages that other rooms give a row, by its table; what is not here stands on its piece's page.
PAGES: Mapping[str, tuple[str, str]] = MappingProxyType(
    {
        **dict.fromkeys(("sale", "sale_return", "sale_refund"), ("sales.sale", "sale_id")),
        **dict.fromkeys(("shelf_purchase", "shelf_use"), ("shelf.material", "material_id")),
        "trip": ("trips.trip", "trip_id"),
    }
)
"""The page on which a row of a table stands, and the name of the number that leads there."""


@bp.get("/corrections")
def corrections() -> ResponseReturnValue:
    with ledger().reading() as session:
        page = page_of(count_adjustments(session), "desk.corrections")
        rows = adjustments(session, limit=PAGE_SIZE, offset=page.offset)
    return render_template("desk/corrections.html", page=page, rows=rows)


@bp.get("/corrections.csv")
def corrections_csv() -> ResponseReturnValue:
    with ledger().reading() as session:
        rows = adjustments(session)
    return csv_answer("corrections.csv", HEADER, _cells(rows, frame().places))


@bp.route("/corrections/<table>/<int:row_id>", methods=["GET", "POST"])
def correction(table: str, row_id: int) -> ResponseReturnValue:
    with ledger().reading() as session:
        sheet = row_to_correct(session, table, row_id)
    form = correction_form(sheet.amounts).from_request(version=sheet.version)

    def again() -> str:
        return render_template("desk/correction.html", form=form, sheet=sheet, home=home_of(sheet))

    if request.method == "GET":
        return again()
    capture_id = form.submit_token.data or ""
    said: dict[str, Any] = {"on_date": form.on_date.data, "reason": form.reason.data, "capture_id": capture_id}
    said["version"] = form.version_number
    return save(
        form,
        lambda session: actions.correct_closed_row(session, table, row_id, form.should_be(), **said, now=clock.now()),
        to=lambda _rows: url_for("desk.correction", table=table, row_id=row_id),
        again=again,
        done="Corrected. The row itself stays as it was.",
    )


@bp.route("/corrections/<int:adjustment_id>/strike", methods=["GET", "POST"])
def strike_correction(adjustment_id: int) -> ResponseReturnValue:
    with ledger().reading() as session:
        row = adjustment_by_id(session, adjustment_id)
        together = [
            one for one in adjustments_of_row(session, row.corrects_table, row.corrects_id) if _is_with(one, row)
        ]
    form = StrikeForm.from_request()

    def again() -> str:
        return render_template("desk/strike_correction.html", form=form, row=row, together=together)

    if request.method == "GET":
        return again()
    return save(
        form,
        lambda session: actions.strike_correction(session, adjustment_id, reason=form.reason.data, now=clock.now()),
        to=lambda _rows: url_for("desk.correction", table=row.corrects_table, row_id=row.corrects_id),
        again=again,
        done="The correction is struck out. It counts no more.",
    )


def home_of(sheet: RowSheet) -> str:
    """The page on which the row itself stands."""
    if sheet.table in PAGES:
        endpoint, name = PAGES[sheet.table]
        number: dict[str, Any] = {name: sheet.home}
        return url_for(endpoint, **number)
    if sheet.piece is None:
        return url_for("costs.shop_costs", month=str(Month.of(sheet.on_date)))
    if sheet.table == "purchase":
        tag = sheet.piece.tag
        return url_for("pieces.haul", haul_id=sheet.home) if sheet.home else url_for("pieces.correct_paid", tag=tag)
    return url_for("costs.of_piece" if sheet.table == "cost_line" else "desk.sheet", tag=sheet.piece.tag)


def _is_with(one: AdjustmentRow, row: AdjustmentRow) -> bool:
    return (one.made_at, one.on_date, one.is_struck) == (row.made_at, row.on_date, row.is_struck)


def _cells(rows: list[AdjustmentRow], places: int) -> Iterator[tuple[Cell, ...]]:
    for row in rows:
        yield (
            *(row.on_date, row.piece_tag, row.piece_name, row.row_words, row.corrects_on, row.part_words),
            *(Cents(row.cents, places), row.reason, row.made_at, row.struck_reason),
        )
