"""Enter the demo's shelf, close its months and correct what stands in them, through the actions of the rooms."""

from datetime import datetime, timedelta

from sqlalchemy import select

from app.basics.dates import Month
from app.costs.models import CostLine
from app.costs.rules import AdjustedPart
from app.demo.actions.entering import DemoShop, capture_id, known
from app.demo.rules import books as told
from app.desk.actions import correct_closed_row, take_parts
from app.reports.actions import close_month
from app.reports.queries import days_known
from app.shelf.actions import add_material, buy_material, count_material, strike_use, use_material
from app.shelf.rules import MaterialFacts, NewCount, NewParts, NewPurchase, NewUse
from app.shop.queries import closed_through


def put_on_the_shelf(shop: DemoShop, row: told.MaterialRecord, now: datetime) -> None:
    """Give a material its place on the shelf, with nothing of it there yet."""
    facts = MaterialFacts(
        name=row.name,
        klass=row.klass,
        unit=row.unit,
        colour=row.colour or None,
        sheen=row.sheen,
        volume_solids_hundredths=row.volume_solids,
        reorder_milli=row.reorder,
    )
    shop.materials[row.material] = add_material(shop.session, facts, now=now)


def buy_for_the_shelf(shop: DemoShop, row: told.ShelfPurchaseRecord, now: datetime) -> None:
    """Buy for the shelf, or take parts off the piece that is named."""
    material, on_date = _material(shop, row.material), shop.date_of(row.day)
    number = capture_id("shelf_purchases", row.line)
    if row.from_piece:
        parts = NewParts(material, shop.piece_id(row.from_piece), row.quantity, row.price, on_date, row.note)
        take_parts(shop.session, parts, new_name="", capture_id=number, now=now)
        return
    new = NewPurchase(material, row.quantity, row.price, on_date, row.sales_tax, row.bought_at, row.note)
    buy_material(shop.session, new, capture_id=number, now=now)


def use_from_the_shelf(shop: DemoShop, row: told.ShelfUseRecord, now: datetime) -> None:
    """Use something on a piece, or for the shop."""
    piece_id = shop.piece_id(row.piece) if row.piece else None
    new = NewUse(_material(shop, row.material), piece_id, row.quantity, shop.date_of(row.day), row.note)
    shop.uses[row.line] = use_material(shop.session, new, capture_id=capture_id("shelf_uses", row.line), now=now).id


def strike_what_was_used(shop: DemoShop, row: told.ShelfUseRecord, now: datetime) -> None:
    """Strike a use out again."""
    strike_use(shop.session, shop.uses[row.line], reason=row.struck_reason, now=now)


def count_the_shelf(shop: DemoShop, row: told.ShelfCountRecord, now: datetime) -> None:
    """Count what is there."""
    new = NewCount(_material(shop, row.material), row.counted, shop.date_of(row.day), row.note)
    count_material(shop.session, new, capture_id=capture_id("shelf_counts", row.line), now=now)


def close_months(shop: DemoShop, row: told.ClosingRecord, now: datetime) -> None:
    """Close every month that had ended so many days before, in their order."""
    last_day = shop.date_of(row.day) - timedelta(days=row.ended_days)
    span, closed = days_known(shop.session), closed_through(shop.session)
    month = closed.next if closed else Month.of(span[0] if span else last_day)
    while month.last <= last_day:
        close_month(shop.session, month, now=now)
        month = month.next


def correct_a_cost(shop: DemoShop, row: told.CorrectionRecord, now: datetime) -> None:
    """Say what a cost line of a closed month should have been."""
    lines = select(CostLine.id).where(
        CostLine.piece_id == (shop.piece_id(row.piece) if row.piece else None),
        CostLine.on_date == shop.date_of(row.cost_day),
        CostLine.kind == row.kind,
        CostLine.struck_at.is_(None),
    )
    correct_closed_row(
        shop.session,
        CostLine.__tablename__,
        shop.session.scalars(lines).one(),
        {AdjustedPart.COST if row.piece else AdjustedPart.SHOP_COST: row.amount},
        on_date=shop.date_of(row.day),
        reason=row.reason,
        capture_id=capture_id("corrections", row.line),
        now=now,
    )


def _material(shop: DemoShop, key: str) -> int:
    return known(shop.materials, key, "material").id
