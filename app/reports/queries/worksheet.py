"""Read the tax-year worksheet, the rows behind a line of it, and what the form asks of the car."""

from collections.abc import Iterator
from dataclasses import dataclass, replace
from datetime import date, timedelta
from typing import Final, NamedTuple

from sqlalchemy.orm import Session

from app.basics.money import half_up
from app.reports.formats import line_map
from app.reports.queries.months import days_known
from app.reports.queries.sums import LineRow, line_rows, line_total, period_sums
from app.reports.queries.writing_down import WRITTEN, written_down
from app.reports.rules.worksheet import (
    STANDING,
    STOCK_AT_END,
    STOCK_AT_START,
    WRITTEN_AT_START,
    LineMap,
    Worksheet,
    left_out,
)
from app.trips.queries import car_year_sheet

STOCK: Final = "closing:stock"
"""The line of the sums with every piece on hand at the end of its last day."""


class _Told(NamedTuple):
    """Where the rows of a worksheet's key stand in the sums, on which days, and whether they are turned round there."""

    key: str
    first: date
    last: date
    sign: int


@dataclass(frozen=True)
class CarFacts:
    """What the form asks of the car, in whole miles; None where nobody has said."""

    business: int
    commuting: int | None
    other: int | None
    in_service_on: date | None


def year_span(year: int, today: date) -> tuple[date, date]:
    """The first and the last day of a year, of the present one as far as it has come."""
    return date(year, 1, 1), min(date(year, 12, 31), max(today, date(year, 1, 1)))


def worksheet_of(session: Session, lines: LineMap, today: date, *, is_lower: bool = False) -> Worksheet:
    """The form of a year filled from the books, `is_lower` with the stock as far as it is written down."""
    first, last = year_span(lines.year, today)
    written = written_down(session, first - timedelta(days=1)), written_down(session, last)
    return Worksheet(lines, period_sums(session, first, last), written, is_lower)


def worksheet_findings(session: Session) -> Iterator[tuple[str, int, int]]:
    """What must be true of the worksheet of every year with a row: three pairs that are equal, each with its name."""
    span = days_known(session)
    closing: int | None = None
    for year in range(span[0].year, span[1].year + 1) if span else ():
        sheet = worksheet_of(session, line_map(year), date(year, 12, 31))
        yield f"worksheet of {year}: its profit is that of the books", sheet.profit, sheet.sums.profit
        yield f"worksheet of {year}: nothing of the books is on no line or two", len(_lost(sheet)), 0
        if closing is not None:
            yield f"worksheet of {year}: it begins as the one before ended", sheet.amount(STOCK_AT_START), closing
        closing = sheet.amount(STOCK_AT_END)


def _lost(sheet: Worksheet) -> list[str]:
    return left_out(sheet.map, sheet.sums.amounts)


def total_of_key(session: Session, key: str, year: int, today: date) -> tuple[int, int]:
    """How many rows stand under a key in a year, and what they come to in cents; one query."""
    told = _told(key, year, today)
    total, cents = line_total(session, told.key, told.first, told.last)
    return total, told.sign * cents


def rows_of_key(
    session: Session, key: str, year: int, today: date, *, limit: int | None = None, offset: int = 0
) -> list[LineRow]:
    """The rows under a key in a year, the oldest first; for what stands on a day, the rows that stand there."""
    told = _told(key, year, today)
    rows = line_rows(session, told.key, told.first, told.last, limit=limit, offset=offset)
    return [replace(row, cents=told.sign * row.cents) for row in rows]


def _told(key: str, year: int, today: date) -> _Told:
    first, last = year_span(year, today)
    if key not in STANDING:
        return _Told(key, first, last, 1)
    on = first - timedelta(days=1) if key in {STOCK_AT_START, WRITTEN_AT_START} else last
    if key in {STOCK_AT_START, STOCK_AT_END}:
        return _Told(STOCK, on, on, 1)
    # The sums take what is written down off the stock; here it is an amount of its own.
    return _Told(WRITTEN, on, on, -1)


def car_facts(session: Session, year: int) -> CarFacts:
    """The miles of a year as its page of the car has them: business is what the log holds at the rate."""
    car = car_year_sheet(session, year)
    business, commuting, other = (
        None if way is None else half_up(way.miles) for way in (car.business, car.commuting, car.other)
    )
    return CarFacts(business or 0, commuting, other, car.facts.in_service_on if car.facts else None)
