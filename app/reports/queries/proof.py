"""Prove the books on the real ledger: every identity of the money, and of the records it is read from."""

from collections.abc import Callable, Iterable
from datetime import date
from typing import Final

from sqlalchemy.orm import Session

from app.basics.dates import Month
from app.recipes.queries import finish_findings
from app.reports.queries.closing import closing_findings
from app.reports.queries.ledgers import ledgers_of
from app.reports.queries.months import days_known
from app.reports.queries.records import record_findings
from app.reports.queries.shop_rows import shop_cost_rows
from app.reports.queries.tables import table_sums
from app.reports.queries.worksheet import worksheet_findings
from app.reports.queries.year_page import year_findings
from app.reports.rules import Finding, prove
from app.sales.queries import sales_findings
from app.shelf.queries import shelf_findings
from app.trips.queries import trip_findings

Told = Iterable[tuple[str, int, int]]

OTHER_ROOMS: Final[tuple[Callable[[Session], Told], ...]] = (
    trip_findings,
    sales_findings,
    closing_findings,
    worksheet_findings,
    year_findings,
)
"""What the rooms prove of their own records: each gives (name, left, right), and the two must be equal."""


def prove_ledger(session: Session, today: date) -> list[Finding]:
    """Every identity of the books up to `today`, those that hold and those that do not.

    First the records (stages, listings, sales, purchases, hauls, receipts), then what the rooms prove of their
    own and the closed months against what was kept, then the money of every month from the first row on. A row
    dated after today is proven too. The number of queries grows with the years the books hold, not with their rows.
    """
    span = days_known(session) or (today, today)
    first, last = Month.of(span[0]), Month.of(max(span[1], today))
    findings = record_findings(session)
    findings += [Finding(told.name, *told.sides, told.holds, told.materials) for told in shelf_findings(session)]
    findings += [Finding(told.name, told.wrong, 0, told.holds, told.tags) for told in finish_findings(session)]
    for told_by in OTHER_ROOMS:
        findings += [Finding(name, left, right, left == right) for name, left, right in told_by(session)]
    findings += prove(ledgers_of(session, None), shop_cost_rows(session), first, last, table_sums(session))
    return findings
