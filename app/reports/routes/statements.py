"""The pages of the channels' own yearly statements, held against the books."""

from collections.abc import Iterator

from flask import render_template, request, url_for
from flask.typing import ResponseReturnValue

from app.basics import clock
from app.basics.csv_out import Cell, Cents
from app.database.unit_of_work import Session
from app.reports.actions.statements import keep_statement
from app.reports.forms.statements import StatementForm
from app.reports.queries.statements import ChannelSale, channel_sales, channel_year, channel_years, years_with_sales
from app.reports.routes.asked_year import known_year
from app.reports.routes.blueprint import bp
from app.reports.rules.statements import (
    THRESHOLD_SOURCE,
    THRESHOLD_YEARS,
    USUAL_REASONS,
    ChannelYear,
    is_over_threshold,
)
from app.web.frame import frame, ledger
from app.web.paging import page_of
from app.web.saving import save
from app.web.takeaway import csv_answer

STATEMENTS_HEADER = (
    "Channel",
    "Payments",
    "Price",
    "Delivery charged",
    "Sales tax you collected",
    "Sales tax it collected",
    "Books say in all",
    "Its statement says",
    "Difference",
    "Given back in the year",
    "Note",
)
CHANNEL_HEADER = (
    "Sold on",
    "Tag",
    "Piece",
    "Price",
    "Delivery charged",
    "Sales tax you collected",
    "Sales tax it collected",
    "In all",
)


@bp.get("/books/statements/<int:year>")
def statements(year: int) -> ResponseReturnValue:
    with ledger().reading() as session:
        rows = channel_years(session, known_year(year))
        years = years_with_sales(session, frame().today.year)
    return render_template("reports/statements.html", year=year, rows=rows, years=years, **_facts(year))


@bp.get("/books/statements/<int:year>.csv")
def statements_csv(year: int) -> ResponseReturnValue:
    with ledger().reading() as session:
        rows = channel_years(session, known_year(year))
    return csv_answer(f"statements-{year}.csv", STATEMENTS_HEADER, _year_cells(rows, frame().places))


@bp.route("/books/statements/<int:year>/<int:channel_id>", methods=["GET", "POST"])
def statement(year: int, channel_id: int) -> ResponseReturnValue:
    with ledger().reading() as session:
        row = channel_year(session, known_year(year), channel_id or None)
        page = page_of(row.payments, "reports.statement")
        sales = channel_sales(session, year, row.channel_id, limit=page.last - page.offset, offset=page.offset)
    form = _form_of(row)

    def again() -> str:
        return render_template("reports/statement.html", form=form, year=year, row=row, sales=sales, page=page)

    if request.method == "GET":
        return again()
    return save(
        form,
        lambda session: _keep(session, year, channel_id, form),
        to=lambda _row: url_for("reports.statement", year=year, channel_id=channel_id),
        again=again,
        done="The statement is noted.",
    )


@bp.get("/books/statements/<int:year>/<int:channel_id>.csv")
def statement_csv(year: int, channel_id: int) -> ResponseReturnValue:
    with ledger().reading() as session:
        sales = channel_sales(session, year, channel_year(session, known_year(year), channel_id or None).channel_id)
    return csv_answer(f"statement-{year}-{channel_id}.csv", CHANNEL_HEADER, _sale_cells(sales, frame().places))


def _facts(year: int) -> dict[str, object]:
    """What the page says of the threshold: only where the source speaks of the year and of the shop's currency."""
    return {
        "reasons": USUAL_REASONS,
        "source": THRESHOLD_SOURCE,
        "is_known": year in THRESHOLD_YEARS and frame().currency == "USD",
        "is_over": is_over_threshold,
    }


def _form_of(row: ChannelYear) -> StatementForm:
    said = row.statement
    return StatementForm.from_request(
        version=str(said.version) if said else "", gross=said.gross if said else None, note=said.note if said else ""
    )


def _keep(session: Session, year: int, channel_id: int, form: StatementForm) -> object:
    return keep_statement(
        session,
        channel_id,
        year,
        gross_cents=form.gross.data,
        note=form.note.data,
        version=form.version_number,
        places=frame().places,
        now=clock.now(),
    )


def _year_cells(rows: list[ChannelYear], places: int) -> Iterator[tuple[Cell, ...]]:
    for row in rows:
        parts = (row.price, row.delivery, row.shop_tax, row.channel_tax, row.gross)
        said = row.statement
        beside = (said.gross if said else None, row.difference, row.given_back)
        cents = [None if amount is None else Cents(amount, places) for amount in (*parts, *beside)]
        yield row.name, row.payments, *cents, said.note if said else ""


def _sale_cells(sales: list[ChannelSale], places: int) -> Iterator[tuple[Cell, ...]]:
    for sale in sales:
        amounts = (sale.price, sale.delivery, sale.shop_tax, sale.channel_tax, sale.gross)
        yield sale.on, sale.tag, sale.piece_name, *(Cents(cents, places) for cents in amounts)
