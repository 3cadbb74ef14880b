"""The page on which months are closed."""

from collections.abc import Iterator

from flask import render_template, request, url_for
from flask.typing import ResponseReturnValue

from app.basics import clock
from app.basics.csv_out import Cell, Cents
from app.reports.actions import close_month
from app.reports.forms.closing import CloseForm
from app.reports.queries import ClosingSheet, closing_sheet
from app.reports.routes.blueprint import bp
from app.web.filters import month
from app.web.frame import frame, ledger
from app.web.saving import save
from app.web.takeaway import csv_answer

CLOSED_HEADER = (
    *("Month", "Closed", "Profit", "Cash in minus cash out", "Stock at cost", "On the shelf"),
    "Deposits owed",
)


@bp.route("/books/close", methods=["GET", "POST"])
def close() -> ResponseReturnValue:
    sheet = _sheet()
    form = CloseForm.from_request(month=str(sheet.following or ""))

    def again() -> str:
        return render_template("reports/close.html", form=form, sheet=sheet)

    if request.method == "GET":
        return again()
    return save(
        form,
        lambda session: close_month(session, form.named(), now=clock.now()),
        to=lambda _closed: url_for("reports.close"),
        again=again,
        done=lambda _closed: f"{month(form.named())} is closed.",
    )


@bp.get("/books/close.csv")
def closed_csv() -> ResponseReturnValue:
    return csv_answer("closed-months.csv", CLOSED_HEADER, _cells(_sheet(), frame().places))


def _sheet() -> ClosingSheet:
    with ledger().reading() as session:
        return closing_sheet(session, frame().today)


def _cells(sheet: ClosingSheet, places: int) -> Iterator[tuple[Cell, ...]]:
    for row in sheet.closed:
        kept = row.figures
        amounts = (kept.profit, kept.cash, kept.stock, kept.shelf, kept.deposits)
        yield (str(row.month), row.closed_at, *(Cents(cents, places) for cents in amounts))
