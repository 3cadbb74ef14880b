"""Keep a material's charges as its rows make them; in closed months none is ever touched."""

from dataclasses import replace
from datetime import date, datetime

from sqlalchemy.orm import Session

from app.basics.dates import local_day
from app.basics.errors import NotFound
from app.pieces.actions.ground import the_shop
from app.shelf.models import Material, ShelfCharge
from app.shelf.queries import Plan, charge_of, stored_charges
from app.shelf.rules import (
    NEWEST,
    Charge,
    ClosedCharge,
    NotAsShown,
    RowKind,
    mark_of,
    require_day,
)
from app.shop.queries import last_closed_day, require_open


def the_material(session: Session, material_id: int) -> Material:
    """The stored material; NotFound when there is none."""
    material = session.get(Material, material_id)
    if material is None:
        raise NotFound("material")
    return material


def require_day_to_enter(session: Session, day: date, now: datetime) -> None:
    """Refuse a day to come, before the books began, or in a closed month, at "on_date" (RuleError)."""
    shop = the_shop(session)
    require_day(day, today=local_day(now, shop.time_zone), books_begin=shop.started_on)
    require_open(session, day, "on_date")


def require_as_shown(plan: Plan, agreed: str | None) -> None:
    """Refuse to change other charges than were shown (NotAsShown); `agreed` None asks for no showing."""
    if agreed is not None and mark_of(plan.others) != agreed:
        raise NotAsShown(
            "This changes what other rows are charged, or more of them than were shown. Nothing is saved yet:"
            " look at the changes and save again."
        )


def numbered(charges: list[Charge], kind: RowKind, row_id: int) -> list[Charge]:
    """Charges worked out before their row was entered, with the number the row has now."""
    name = {RowKind.BOUGHT: "purchase_id", RowKind.USED: "use_id", RowKind.COUNTED: "count_id"}[kind]
    return [
        replace(charge, **{name: row_id}) if getattr(charge, name) == NEWEST else charge  # type: ignore[arg-type]
        for charge in charges
    ]


def keep_charges(session: Session, material_id: int, charges: list[Charge]) -> None:
    """Make the kept charges of a material those given: what did not change stays, the rest is written anew.

    Refuses to touch one in a closed month (ClosedCharge): no row can be entered or struck out that would.
    """
    kept = {charge_of(row): row for row in stored_charges(session, material_id)}
    wanted = set(charges)
    gone = [row for charge, row in kept.items() if charge not in wanted]
    new = [charge for charge in charges if charge not in kept]
    closed = last_closed_day(session)
    touched = [*(row.on_date for row in gone), *(charge.on for charge in new)]
    if closed is not None and touched and min(touched) <= closed:
        raise ClosedCharge(
            "This would change what the shelf charged in a closed month, so nothing was saved. Check the books."
        )
    for row in gone:
        session.delete(row)
    session.flush()
    session.add_all(_row(material_id, charge) for charge in new)
    session.flush()


def _row(material_id: int, charge: Charge) -> ShelfCharge:
    return ShelfCharge(
        material_id=material_id,
        kind=charge.kind,
        use_id=charge.use_id,
        purchase_id=charge.purchase_id,
        count_id=charge.count_id,
        piece_id=charge.piece_id,
        on_date=charge.on,
        quantity_milli=charge.milli,
        short_milli=charge.short_milli,
        cents=charge.cents,
    )
