"""Close a month for good."""

from datetime import datetime

from sqlalchemy.orm import Session

from app.basics.dates import Month
from app.reports.queries.closing import figures_of, first_month
from app.shop.actions import keep_closed
from app.shop.models import ClosedMonth
from app.shop.rules import CannotClose


def close_month(session: Session, month: Month, *, now: datetime) -> ClosedMonth:
    """Close a month with its figures as they stand: nothing dated in it changes any more.

    Refuses a month that is closed already, is not over, or is not the next in line, and books without any row
    (CannotClose).
    """
    first = first_month(session)
    if first is None:
        raise CannotClose("Nothing is booked yet, so there is no month to close.")
    return keep_closed(session, month, figures_of(session, month), first=first, now=now)
