"""Set the shop up, put its facts right, and close its months."""

from collections.abc import Sequence
from datetime import date, datetime

from sqlalchemy import delete
from sqlalchemy.orm import Session

from app.basics.dates import Month, local_day
from app.basics.errors import NotFound, RuleError, StaleEdit
from app.basics.spells import Spell
from app.shop.models import ClosedMonth, Shop, UsualHours
from app.shop.queries import closed_through, shop_facts
from app.shop.rules import CurrencyIsFixed, MonthFigures, ShopFacts, require_closable, require_sound, usual_week


def set_up_shop(session: Session, facts: ShopFacts, *, now: datetime) -> None:
    """Write the shop's facts for the first time; refuses a second time and unsound facts."""
    require_sound(facts, _today(facts, now))
    if session.get(Shop, 1) is not None:
        raise RuleError("This shop is set up already. Its facts are under Settings.")
    session.add(
        Shop(
            id=1,
            name=facts.name,
            currency=facts.currency,
            time_zone=facts.time_zone,
            units=facts.units,
            started_on=facts.started_on,
            sits_too_long_days=facts.sits_too_long_days,
            made_at=now,
        )
    )
    session.flush()


def correct_shop(session: Session, facts: ShopFacts, *, now: datetime) -> None:
    """Put the shop's facts right.

    `facts.version` is the version they were read at; raises StaleEdit when they changed since, CurrencyIsFixed
    when the currency differs, RuleError when the start date would move (opening stock stands on it).
    """
    row = session.get(Shop, 1)
    if row is None:
        raise NotFound("shop")
    if row.version != facts.version:
        raise StaleEdit("shop", _as_words(session), row.version)
    if facts.currency != row.currency:
        raise CurrencyIsFixed("The currency cannot change once the ledger has begun.", "currency")
    if facts.started_on != row.started_on:
        raise RuleError("The start date cannot change: opening stock stands on it.", "started_on")
    require_sound(facts, _today(facts, now))
    row.name = facts.name
    row.time_zone = facts.time_zone
    row.units = facts.units
    row.sits_too_long_days = facts.sits_too_long_days
    session.flush()


def keep_closed(session: Session, month: Month, figures: MonthFigures, *, first: Month, now: datetime) -> ClosedMonth:
    """Close a month for good, with its figures as they stand.

    `first` is the first month with anything in it. Refuses a month that is closed already, not over, or not the
    next in line (CannotClose); raises NotFound before the shop is set up.
    """
    facts = shop_facts(session)
    if facts is None:
        raise NotFound("shop")
    require_closable(month, closed_through=closed_through(session), first=first, today=local_day(now, facts.time_zone))
    row = ClosedMonth(
        month=str(month),
        profit_cents=figures.profit,
        cash_cents=figures.cash,
        stock_cents=figures.stock,
        shelf_cents=figures.shelf,
        deposits_cents=figures.deposits,
        closed_at=now,
    )
    session.add(row)
    session.flush()
    return row


def set_usual_hours(session: Session, days: Sequence[Sequence[Spell]]) -> None:
    """Let the week be these spells of each day, Monday first, whatever it was; refuses spells that overlap."""
    week = usual_week(days)
    session.execute(delete(UsualHours))
    session.add_all(UsualHours(**vars(spell)) for spell in week)
    session.flush()


def _today(facts: ShopFacts, now: datetime) -> date:
    try:
        return local_day(now, facts.time_zone)
    except (KeyError, ValueError):
        return now.date()


def _as_words(session: Session) -> dict[str, str]:
    facts = shop_facts(session)
    if facts is None:
        return {}
    return {
        "Name": facts.name,
        "Time zone": facts.time_zone,
        "Units": facts.units.value,
        "Sits too long after": f"{facts.sits_too_long_days} days",
    }
