"""Closed months for tests: months closed in their order up to one, and a correction of a row in one of them."""

from datetime import UTC, date, datetime
from uuid import uuid4

from sqlalchemy import select
from sqlalchemy.orm import Session

from app.basics.dates import Month
from app.costs.models import Adjustment
from app.costs.rules import AdjustedPart
from app.desk.actions import correct_closed_row
from app.pieces.models import Purchase
from app.pieces.rules import PurchaseKind
from app.reports.actions import close_month
from app.reports.queries import first_month
from app.shop.queries import closed_through, last_closed_day

NOW = datetime(2026, 11, 25, 15, 30, tzinfo=UTC)


def closed_up_to(session: Session, last: Month, *, now: datetime = NOW) -> None:
    """Every month in its order closed, up to `last`."""
    done = closed_through(session)
    month = done.next if done else first_month(session)
    while month is not None and month <= last:
        close_month(session, month, now=now)
        month = month.next


def a_correction(
    session: Session,
    table: str,
    row_id: int,
    *,
    on_date: date = date(2026, 11, 20),
    reason: str = "misread the receipt",
    capture_id: str | None = None,
    now: datetime = NOW,
    **should_be: int,
) -> list[Adjustment]:
    """What the amounts of a row should have been, by the name of their part."""
    return correct_closed_row(
        session,
        table,
        row_id,
        {AdjustedPart(part): cents for part, cents in should_be.items()},
        on_date=on_date,
        reason=reason,
        capture_id=capture_id or str(uuid4()),
        now=now,
    )


def a_corrected_purchase(session: Session, *, now: datetime = NOW) -> list[Adjustment]:
    """The first month closed if none is, and the oldest purchase in a closed month raised by 1.00."""
    if last_closed_day(session) is None:
        closed_up_to(session, first_month(session) or Month(2026, 1), now=now)
    oldest = session.scalars(
        select(Purchase).where(Purchase.struck_at.is_(None), Purchase.on_date <= last_closed_day(session))
    ).first()
    assert oldest is not None
    paid = oldest.price_cents + oldest.premium_cents + oldest.tax_cents
    if oldest.kind is PurchaseKind.OPENING:
        return a_correction(session, "purchase", oldest.id, on_date=now.date(), now=now, opening=paid + 100)
    return a_correction(session, "purchase", oldest.id, on_date=now.date(), now=now, cost=paid + 100)
