"""The mileage log of a month, of a year or of one piece, on a page and to take away."""

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date
from decimal import Decimal

from flask import render_template, request, url_for
from flask.typing import ResponseReturnValue

from app.basics.csv_out import Cell, Cents
from app.basics.dates import FIRST_YEAR, LAST_YEAR, Month
from app.basics.errors import RuleError
from app.pieces.queries import piece_by_tag
from app.trips import queries
from app.trips.queries import TripRow
from app.trips.routes.blueprint import bp
from app.trips.rules import usual_unit
from app.web.frame import frame, ledger
from app.web.takeaway import csv_answer

HEADER = (
    "Date",
    "Entered on",
    "From",
    "To",
    "What for",
    "Purpose",
    "Distance",
    "Unit",
    "Counts",
    "Rate",
    "Rate for one",
    "Amount at the rate",
    "Tolls and parking",
    "Actual cost",
    "Cost in all",
    "Pieces",
    "Note",
    "Receipt photo",
    "Struck out because",
)
DIGITS_OF_YEAR = 4


@dataclass(frozen=True)
class Period:
    """The days a log shows: a month, or a whole year."""

    first: date
    last: date
    is_year: bool

    @property
    def month(self) -> Month:
        """The month, or the first of the year."""
        return Month.of(self.first)

    @property
    def word(self) -> str:
        """The period as an address tells it."""
        return str(self.first.year) if self.is_year else str(self.month)

    @property
    def args(self) -> dict[str, str]:
        """What an address of a log carries for it."""
        return {"year" if self.is_year else "month": self.word}

    def earlier(self, spread: tuple[Month, Month] | None) -> "Period | None":
        """The period before it, where anything lies there."""
        if spread is None or spread[0].first >= self.first:
            return None
        return year_of(self.first.year - 1) if self.is_year else month_of(self.month.previous)

    def later(self, today: date) -> "Period | None":
        """The period after it, unless that is still to come."""
        if self.last >= today:
            return None
        return year_of(self.first.year + 1) if self.is_year else month_of(self.month.next)


def month_of(month: Month) -> Period:
    """A month as a period."""
    return Period(month.first, month.last, is_year=False)


def year_of(year: int) -> Period:
    """A year as a period."""
    return Period(date(year, 1, 1), date(year, 12, 31), is_year=True)


@bp.get("/trips")
def log() -> ResponseReturnValue:
    period = _asked() or month_of(Month.of(frame().today))
    with ledger().reading() as session:
        rows = queries.trips_between(session, period.first, period.last)
        spread = queries.trip_months(session)
    return render_template(
        "trips/log.html",
        period=period,
        rows=rows,
        totals=queries.totals_of(rows),
        unit=usual_unit(frame().units),
        earlier=period.earlier(spread),
        later=period.later(frame().today),
        year=period.first.year,
        month=Month.of(min(period.last, frame().today)),
    )


@bp.get("/trips.csv")
def log_csv() -> ResponseReturnValue:
    period = _asked()
    first, last = (period.first, period.last) if period else (date.min, date.max)
    with ledger().reading() as session:
        rows = queries.trips_between(session, first, last)
    return csv_answer(f"trips-{period.word if period else 'all'}.csv", HEADER, cells(rows, frame().places))


@bp.get("/pieces/<tag>/trips")
def of_piece(tag: str) -> ResponseReturnValue:
    with ledger().reading() as session:
        piece = piece_by_tag(session, tag)
        rows = queries.trips_of(session, piece.id)
    total = sum(row.share_of(piece.id) for row in rows if not row.is_struck)
    return render_template("trips/of_piece.html", piece=piece, rows=rows, total=total)


@bp.get("/pieces/<tag>/trips.csv")
def of_piece_csv(tag: str) -> ResponseReturnValue:
    with ledger().reading() as session:
        piece = piece_by_tag(session, tag)
        rows = queries.trips_of(session, piece.id)
    header = (*HEADER, f"Share of {piece.tag}")
    places = frame().places
    shares = (Cents(row.share_of(piece.id), places) for row in rows)
    table = ([*line, share] for line, share in zip(cells(rows, places), shares, strict=True))
    return csv_answer(f"trips-{piece.tag}.csv", header, table)


def log_page(day: date) -> str:
    """Where a trip of a day is seen among the others."""
    return url_for("trips.log", month=str(Month.of(day)))


def cells(rows: list[TripRow], places: int) -> Iterator[list[Cell]]:
    """The log as a table carries it, its money with that many decimal places."""
    for row in rows:
        yield [
            row.on_date,
            row.entered_on,
            row.from_place,
            row.to_place,
            row.kind_words,
            row.purpose_words,
            Decimal(row.distance.plain),
            row.distance.unit.value,
            row.counts_words,
            Decimal(row.rate_plain(places)) if row.is_at_rate else None,
            row.rate_unit.value if row.rate_unit else None,
            Cents(row.at_rate_cents, places) if row.is_at_rate else None,
            Cents(row.extra_cents, places),
            None if row.is_at_rate else Cents(row.actual_cents, places),
            Cents(row.charged_cents, places),
            ", ".join(f"{share.tag} {share.name}" for share in row.shares),
            row.note,
            row.receipt_photo_id,
            row.struck_reason,
        ]


def _asked() -> Period | None:
    year = request.args.get("year", "")
    if year.isascii() and year.isdigit() and len(year) == DIGITS_OF_YEAR and FIRST_YEAR <= int(year) <= LAST_YEAR:
        return year_of(int(year))
    try:
        return month_of(Month.parse(request.args.get("month", "")))
    except RuleError:
        return None
