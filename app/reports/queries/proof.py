"""Prove the books on the real ledger: every identity of the money, and of the records it is read from."""

from datetime import date

from sqlalchemy.orm import Session

from app.basics.dates import Month
from app.reports.queries.closing import closing_findings
from app.reports.queries.costs import shop_cost_rows
from app.reports.queries.ledgers import ledgers_of
from app.reports.queries.months import days_known
from app.reports.queries.records import record_findings
from app.reports.rules import Finding, prove


def prove_ledger(session: Session, today: date) -> list[Finding]:
    """Every identity of the books up to `today`, those that hold and those that do not.

    First the records (stages, listings, sales, purchases, hauls, receipts), then the money of every month from
    the first row on, then the closed months against what was kept when they were closed. A row dated after today is
    proven too. A fixed number of queries.
    """
    span = days_known(session) or (today, today)
    first, last = Month.of(span[0]), Month.of(max(span[1], today))
    findings = record_findings(session)
    findings += prove(ledgers_of(session, None), shop_cost_rows(session), first, last)
    findings += [Finding(name, kept, now, kept == now) for name, kept, now in closing_findings(session)]
    return findings
