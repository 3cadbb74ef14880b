"""Take parts off a piece to the shelf."""

from dataclasses import replace
from datetime import datetime

from sqlalchemy.orm import Session

from app.basics.errors import NotFound, RuleError
from app.desk.queries.parts import stands_at
from app.shelf import actions as shelf
from app.shelf.models import Material, ShelfPurchase
from app.shelf.rules import MaterialClass, MaterialFacts, NewParts, Unit


def take_parts(
    session: Session, new: NewParts, *, new_name: str, capture_id: str, now: datetime, agreed: str | None = None
) -> ShelfPurchase:
    """Put parts of a piece on the shelf at a value that leaves its cost; where `new.material_id` is 0, as new hardware.

    Refuses a name that is missing or taken ("new_name"), a material that is not there or not counted one by one
    ("material"), and what the shelf refuses: a piece that is not here, a value above what it stands at on that day.
    """
    material_id = new.material_id or _new_hardware(session, new_name, now)
    material = session.get(Material, material_id)
    if material is None or material.unit is not Unit.EACH:
        raise RuleError("Choose what comes off out of the list.", "material")
    try:
        stands_at_cents = stands_at(session, new.piece_id, new.on_date)
    except NotFound:
        stands_at_cents = 0  # a piece struck out stands at nothing, and the shelf refuses it
    return shelf.take_parts_off(
        session,
        replace(new, material_id=material_id),
        stands_at_cents=stands_at_cents,
        capture_id=capture_id,
        agreed=agreed,
        now=now,
    )


def _new_hardware(session: Session, name: str, now: datetime) -> int:
    facts = MaterialFacts(name, MaterialClass.HARDWARE, Unit.EACH)
    try:
        return shelf.add_material(session, facts, now=now).id
    except RuleError as refusal:
        raise RuleError(refusal.message, "new_name" if refusal.field == "name" else refusal.field) from refusal
