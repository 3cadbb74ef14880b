"""Read the shop's facts, its usual hours, and which months are closed."""

from dataclasses import dataclass
from datetime import date, datetime

from sqlalchemy import func, select
from sqlalchemy.orm import Session

from app.basics.dates import Month
from app.shop.models import ClosedMonth, Shop, UsualHours
from app.shop.rules import MonthFigures, ShopFacts, UsualSpell, require_open_day


@dataclass(frozen=True)
class ClosedMonthRow:
    """A closed month, when it was closed, and its figures as they stood then."""

    month: Month
    closed_at: datetime
    figures: MonthFigures


def shop_facts(session: Session) -> ShopFacts | None:
    """The shop's facts, or None before the first start."""
    row = session.get(Shop, 1)
    if row is None:
        return None
    return ShopFacts(
        name=row.name,
        currency=row.currency,
        time_zone=row.time_zone,
        units=row.units,
        started_on=row.started_on,
        sits_too_long_days=row.sits_too_long_days,
        version=row.version,
    )


def usual_hours(session: Session) -> list[UsualSpell]:
    """The spells of the owner's week for the bench, from Monday on; none where nobody said; one query."""
    rows = session.scalars(select(UsualHours).order_by(UsualHours.weekday, UsualHours.from_minute))
    return [UsualSpell(row.weekday, row.from_minute, row.minutes) for row in rows]


def closed_months(session: Session) -> list[ClosedMonthRow]:
    """Every closed month, the oldest first; one query."""
    rows = session.scalars(select(ClosedMonth).order_by(ClosedMonth.month))
    return [
        ClosedMonthRow(
            Month.parse(row.month),
            row.closed_at,
            MonthFigures(row.profit_cents, row.cash_cents, row.stock_cents, row.shelf_cents, row.deposits_cents),
        )
        for row in rows
    ]


def closed_through(session: Session) -> Month | None:
    """The last closed month, or None while none is; one query."""
    newest = session.scalar(select(func.max(ClosedMonth.month)))
    return Month.parse(newest) if newest else None


def last_closed_day(session: Session) -> date | None:
    """The last day of the last closed month, or None while none is closed; one query."""
    month = closed_through(session)
    return month.last if month else None


def require_open(session: Session, day: date, field: str | None = None) -> None:
    """Refuse, at `field`, a day in a closed month (MonthIsClosed)."""
    require_open_day(day, last_closed_day(session), field)
