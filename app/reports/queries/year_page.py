"""Read a year with all that its page shows, the years the books know, and one line of a year with its rows."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import date

from sqlalchemy.orm import Session

from app.basics.dates import Month
from app.reports.queries.months import days_known
from app.reports.queries.sums import LineRow, line_parts, line_rows, line_total, months_sums, standing
from app.reports.rules.sums import PeriodSums
from app.reports.rules.year import YearBooks


@dataclass(frozen=True)
class YearSheet:
    """A year's books, and the years that can be chosen beside it, the newest first."""

    books: YearBooks
    years: tuple[int, ...]


@dataclass(frozen=True)
class LineSums:
    """One line of a year: how many rows stand on it, what they come to, and its parts with theirs, by their keys."""

    key: str
    total: int
    cents: int
    parts: tuple[tuple[str, int], ...]


def year_sheet(session: Session, year: int, today: date) -> YearSheet:
    """All that the page of a year shows; a fixed number of queries."""
    return YearSheet(year_books(session, year), years_known(session, today))


def year_books(session: Session, year: int) -> YearBooks:
    """A year's sums by month and as a whole, and the other ways to the same figures."""
    first, last = year_days(year)
    months = months_sums(session, first, last)
    opening = next(iter(months.values())).opening
    whole = PeriodSums(first, last, added_up(list(months.values())), opening, standing(session, last))
    pieces, made = line_total(session, "pieces", first, last)
    written = line_total(session, "closing:written", first, last)[1]
    return YearBooks(year, whole, tuple(months.items()), pieces, made, written)


def years_known(session: Session, today: date) -> tuple[int, ...]:
    """Every year from the first row of money to the last one or the present, the newest first; one query."""
    span = days_known(session) or (today, today)
    return tuple(range(max(span[1].year, today.year), min(span[0].year, today.year) - 1, -1))


def years_of(session: Session, today: date) -> list[tuple[int, PeriodSums]]:
    """The sums of every year with anything booked in it and of the present one, the newest first."""
    known = years_known(session, today)
    months = months_sums(session, date(known[-1], 1, 1), date(known[0], 12, 31))
    found = []
    for year in known:
        of_year = [sums for month, sums in months.items() if month.year == year]
        whole = PeriodSums(*year_days(year), added_up(of_year), of_year[0].opening, of_year[-1].closing)
        if whole.amounts or year == today.year:
            found.append((year, whole))
    return found


def line_of_year(session: Session, year: int, key: str) -> LineSums:
    """What a line of a year comes to, and its parts; one query."""
    first, last = year_days(year)
    by_key = line_parts(session, key, first, last)
    parts = PeriodSums(first, last, {path: cents for path, (_, cents) in by_key.items()}).parts(key)
    return LineSums(
        key=key,
        total=sum(number for number, _ in by_key.values()),
        cents=sum(cents for _, cents in by_key.values()),
        parts=tuple((f"{key}:{name}", cents) for name, cents in parts.items()),
    )


def rows_of_year(session: Session, year: int, key: str, *, limit: int | None = None, offset: int = 0) -> list[LineRow]:
    """The rows behind a line of a year, the oldest first; one query."""
    return line_rows(session, key, *year_days(year), limit=limit, offset=offset)


def year_days(year: int) -> tuple[date, date]:
    """The first and the last day of a year."""
    return Month(year, 1).first, Month(year, 12).last


def added_up(periods: Sequence[PeriodSums]) -> dict[str, int]:
    """The amounts of periods together, by their keys."""
    amounts: dict[str, int] = {}
    for period in periods:
        for path, cents in period.amounts.items():
            amounts[path] = amounts.get(path, 0) + cents
    return amounts


def year_findings(session: Session) -> Iterator[tuple[str, int, int]]:
    """For the check: the sums of every year that are worked out in more than one way, each against the first."""
    span = days_known(session)
    if span is None:
        return
    for year in range(span[0].year, span[1].year + 1):
        for tie in year_books(session, year).ties():
            (first, cents), *others = tie.sides
            for words, other in others:
                yield f"{tie.name}, {year}: {first}, and {words}", cents, other
