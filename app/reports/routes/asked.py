"""What an address of the books asks for."""

from flask import abort

from app.basics.dates import Month
from app.basics.errors import RuleError
from app.reports.queries import MonthSheet, month_sheet
from app.web.frame import frame, ledger


def asked_month_sheet(words: str) -> MonthSheet:
    """The month an address names, with all that its page shows; nothing is found where it names none."""
    try:
        wanted = Month.parse(words)
    except RuleError:
        abort(404)
    with ledger().reading() as session:
        return month_sheet(session, wanted, Month.of(frame().today))
