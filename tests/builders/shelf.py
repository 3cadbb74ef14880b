"""Materials on the shelf for tests: bought, used, counted and taken off pieces, by the real actions."""

from datetime import date, datetime
from typing import Any
from uuid import uuid4

from sqlalchemy.orm import Session

from app.shelf.actions import add_material, buy_material, count_material, take_parts_off, use_material
from app.shelf.models import Material, ShelfCount, ShelfPurchase, ShelfUse
from app.shelf.rules import MaterialClass, MaterialFacts, NewCount, NewParts, NewPurchase, NewUse, Unit
from tests.builders.pieces import NOW

BOUGHT = date(2026, 11, 2)
USED = date(2026, 11, 10)


def a_material(
    session: Session,
    name: str = "Sage paint",
    *,
    klass: MaterialClass = MaterialClass.PAINT,
    unit: Unit = Unit.ML,
    now: datetime = NOW,
    **said: Any,
) -> Material:
    """A paint measured by volume, of which nothing is bought yet."""
    return add_material(session, MaterialFacts(name, klass, unit, **said), now=now)


def a_purchase(
    session: Session,
    material: Material,
    milli: int = 1_000_000,
    cents: int = 2_000,
    *,
    on_date: date = BOUGHT,
    now: datetime = NOW,
    **said: Any,
) -> ShelfPurchase:
    """A litre (a thousand of anything else) for 20.00."""
    new = NewPurchase(material.id, milli, cents, on_date, **said)
    return buy_material(session, new, capture_id=str(uuid4()), now=now)


def a_use(
    session: Session,
    material: Material,
    piece_id: int | None = None,
    milli: int = 250_000,
    *,
    on_date: date = USED,
    note: str = "",
    now: datetime = NOW,
) -> ShelfUse:
    """A quarter of a litre used on the piece, or for the shop."""
    new = NewUse(material.id, piece_id, milli, on_date, note)
    return use_material(session, new, capture_id=str(uuid4()), now=now)


def a_count(
    session: Session, material: Material, milli: int, *, on_date: date = USED, now: datetime = NOW
) -> ShelfCount:
    """What was really there."""
    return count_material(session, NewCount(material.id, milli, on_date), capture_id=str(uuid4()), now=now)


def some_parts(
    session: Session,
    material: Material,
    piece_id: int,
    milli: int = 4_000,
    cents: int = 800,
    *,
    stands_at_cents: int = 4_000,
    on_date: date = USED,
    now: datetime = NOW,
) -> ShelfPurchase:
    """Four pulls taken off a piece that stands at 40.00, worth 8.00."""
    new = NewParts(material.id, piece_id, milli, cents, on_date)
    return take_parts_off(session, new, stands_at_cents=stands_at_cents, capture_id=str(uuid4()), now=now)


def a_stocked_material(session: Session, name: str = "Sage paint", **said: Any) -> Material:
    """A material of which a litre was bought for 20.00."""
    material = a_material(session, name, **said)
    a_purchase(session, material)
    return material
