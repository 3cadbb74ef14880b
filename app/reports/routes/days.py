"""The pages of time: days to sale, what an hour earned, and what has sat too long."""

from collections.abc import Iterator
from fractions import Fraction

from flask import render_template
from flask.typing import ResponseReturnValue

from app.basics.csv_out import Cell, Cents
from app.reports import queries
from app.reports.routes.blueprint import bp
from app.reports.rules import (
    ENOUGH_SALES,
    HOURS_NOTE,
    UNSOLD_NOTE,
    DaysToSale,
    PieceDays,
    ReturnOnTime,
    SittingPiece,
)
from app.web.frame import frame, ledger
from app.web.paging import page_of
from app.web.takeaway import csv_answer

DAYS_HEADER = ("Tag", "Piece", "Sold", "Days from sourcing", "Days from listing")
HOURS_HEADER = ("Tag", "Piece", "Profit", "Minutes", "Per hour")
SITTING_HEADER = ("Tag", "Piece", "Listed on", "Days on the floor", "Asking")

MOST_SHOWN = 100
"""How many pieces a folded list on these pages names; the files name all of them."""

MOST_MONTHS = 12
"""How many months stand open before the pieces; the earlier ones are folded."""


@bp.get("/books/days-to-sale")
def days_to_sale() -> ResponseReturnValue:
    return render_template(
        "reports/days_to_sale.html",
        days=_days(),
        note=UNSOLD_NOTE,
        enough=ENOUGH_SALES,
        in_days=_in_days,
        most_shown=MOST_SHOWN,
    )


@bp.get("/books/days-to-sale.csv")
def days_to_sale_csv() -> ResponseReturnValue:
    return csv_answer("days-to-sale.csv", DAYS_HEADER, _days_cells(_days()))


@bp.get("/books/hours")
def hours() -> ResponseReturnValue:
    with ledger().reading() as session:
        time, came_back = queries.hours_of(session), queries.sales_that_came_back(session)
    return render_template(
        "reports/hours.html",
        time=time,
        came_back=came_back,
        note=HOURS_NOTE,
        page=page_of(len(time.pieces), "reports.hours"),
        most_months=MOST_MONTHS,
    )


@bp.get("/books/hours.csv")
def hours_csv() -> ResponseReturnValue:
    with ledger().reading() as session:
        time = queries.hours_of(session)
    return csv_answer("return-on-time.csv", HOURS_HEADER, _hours_cells(time, frame().places))


@bp.get("/books/sitting")
def sitting() -> ResponseReturnValue:
    rows = _sitting()
    return render_template("reports/sitting.html", rows=rows, number=len(rows))


@bp.get("/books/sitting.csv")
def sitting_csv() -> ResponseReturnValue:
    return csv_answer("sitting.csv", SITTING_HEADER, _sitting_cells(_sitting(), frame().places))


def _days() -> DaysToSale:
    with ledger().reading() as session:
        return queries.days_to_sale_of(session, frame().today)


def _sitting() -> tuple[SittingPiece, ...]:
    with ledger().reading() as session:
        return queries.sitting(session, frame().today, frame().sits_too_long_days)


def _in_days(median: Fraction) -> str:
    """A median in words: whole, or with its half."""
    whole, rest = divmod(median, 1)
    if rest:
        return f"{whole:,}.5 days"
    return "1 day" if whole == 1 else f"{whole:,} days"


def _days_cells(days: DaysToSale) -> Iterator[tuple[Cell, ...]]:
    listed = {piece.piece_id: piece.days for piece in (*days.from_listed.sold, *days.from_listed.unsold)}

    def cells(piece: PieceDays, sold: str) -> tuple[Cell, ...]:
        return piece.tag, piece.title, sold, piece.days, listed.get(piece.piece_id)

    yield from (cells(piece, "yes") for piece in days.from_sourced.sold)
    yield from (cells(piece, "not yet") for piece in days.from_sourced.unsold)


def _hours_cells(time: ReturnOnTime, places: int) -> Iterator[tuple[Cell, ...]]:
    for piece in time.pieces:
        rate = None if piece.per_hour_cents is None else Cents(piece.per_hour_cents, places)
        yield piece.tag, piece.title, Cents(piece.profit or 0, places), piece.minutes, rate


def _sitting_cells(rows: tuple[SittingPiece, ...], places: int) -> Iterator[tuple[Cell, ...]]:
    for row in rows:
        piece = row.piece
        yield piece.tag, piece.title, piece.listed_on, row.days, Cents(piece.asking_cents, places)
