"""Strike out what was bought, used, counted or taken off a piece; what follows is charged anew."""

from dataclasses import dataclass
from datetime import datetime
from typing import TypeVar

from sqlalchemy.orm import Session

from app.basics.errors import NotFound
from app.basics.striking import reason_to_keep, require_not_struck
from app.shelf.actions.charging import keep_charges, require_as_shown
from app.shelf.models import ShelfCount, ShelfPurchase, ShelfUse
from app.shelf.queries import plan_without
from app.shelf.rules import RowKind
from app.shop.queries import require_open

Row = TypeVar("Row", ShelfPurchase, ShelfUse, ShelfCount)


@dataclass(frozen=True)
class _Said:
    reason: str
    agreed: str | None
    now: datetime


def strike_purchase(
    session: Session, purchase_id: int, *, reason: str, now: datetime, agreed: str | None = None
) -> ShelfPurchase:
    """Strike out a purchase, or parts taken off a piece, with a reason.

    `agreed` is the mark of the changes to other charges that were shown; without one nothing had to be shown.
    Refuses one struck out before (AlreadyStruck), in a closed month (MonthIsClosed), on which a use or a count
    rests because nothing else was bought before it (NothingBought), no reason (RuleError), and other changes
    than shown (NotAsShown); raises NotFound.
    """
    purchase = session.get(ShelfPurchase, purchase_id)
    if purchase is None:
        raise NotFound("purchase")
    return _strike(session, purchase, RowKind.BOUGHT, _Said(reason, agreed, now))


def strike_use(session: Session, use_id: int, *, reason: str, now: datetime, agreed: str | None = None) -> ShelfUse:
    """Strike out a use with a reason: what it cost goes back to the shelf. Refuses as `strike_purchase`."""
    use = session.get(ShelfUse, use_id)
    if use is None:
        raise NotFound("use")
    return _strike(session, use, RowKind.USED, _Said(reason, agreed, now))


def strike_count(
    session: Session, count_id: int, *, reason: str, now: datetime, agreed: str | None = None
) -> ShelfCount:
    """Strike out a count with a reason: the books say again what was left. Refuses as `strike_purchase`."""
    count = session.get(ShelfCount, count_id)
    if count is None:
        raise NotFound("count")
    return _strike(session, count, RowKind.COUNTED, _Said(reason, agreed, now))


def _strike(session: Session, row: Row, kind: RowKind, said: _Said) -> Row:
    require_not_struck("row", row.struck_reason)
    require_open(session, row.on_date)
    kept = reason_to_keep(said.reason)
    plan = plan_without(session, row.material_id, (kind, row.id))
    require_as_shown(plan, said.agreed)
    row.struck_reason = kept
    row.struck_at = said.now
    session.flush()
    keep_charges(session, row.material_id, plan.charges)
    return row
