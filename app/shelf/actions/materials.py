"""Put a material on the shelf, and put right what is known of it."""

from datetime import datetime

from sqlalchemy import select
from sqlalchemy.orm import Session

from app.basics.errors import RuleError, StaleEdit
from app.basics.words import fold
from app.pieces.actions.ground import the_shop
from app.shelf.actions.charging import the_material
from app.shelf.models import Material
from app.shelf.queries import facts_of, has_rows
from app.shelf.rules import CLASS_WORDS, MaterialFacts, quantity_plain, sound_facts


def add_material(session: Session, facts: MaterialFacts, *, now: datetime) -> Material:
    """Put a new material on the shelf; nothing of it is bought yet.

    Refuses a missing name, one the shelf has already, and what is out of range (RuleError).
    """
    the_shop(session)
    sound = sound_facts(facts)
    _require_free_name(session, sound.name, None)
    material = Material(made_at=now, unit=sound.unit)
    _write(material, sound)
    session.add(material)
    session.flush()
    return material


def correct_material(session: Session, material_id: int, facts: MaterialFacts, *, version: int | None) -> Material:
    """Put right what is known of a material, or put it away.

    Refuses another unit once anything of it was bought, used or counted ("unit"), and what `add_material` refuses;
    raises StaleEdit when it is not at `version` any more, NotFound.
    """
    material = the_material(session, material_id)
    if version is not None and material.version != version:
        raise StaleEdit("material", _as_words(session, material), material.version)
    sound = sound_facts(facts)
    _require_free_name(session, sound.name, material_id)
    if sound.unit is not material.unit and has_rows(session, material_id):
        raise RuleError("Quantities of it stand in the ledger, so how it is measured cannot change.", "unit")
    _write(material, sound)
    session.flush()
    return material


def _write(material: Material, facts: MaterialFacts) -> None:
    material.name = facts.name
    material.klass = facts.klass
    material.unit = facts.unit
    material.colour = facts.colour
    material.sheen = facts.sheen
    material.volume_solids_hundredths = facts.volume_solids_hundredths
    material.reorder_milli = facts.reorder_milli
    material.note = facts.note
    material.is_put_away = facts.is_put_away


def _require_free_name(session: Session, name: str, own_id: int | None) -> None:
    taken = session.execute(select(Material.id, Material.name))
    if any(fold(other) == fold(name) and other_id != own_id for other_id, other in taken):
        raise RuleError("There is a material of that name already. Give this one another.", "name")


def _as_words(session: Session, material: Material) -> dict[str, str]:
    facts, units = facts_of(material), the_shop(session).units
    level = "" if facts.reorder_milli is None else quantity_plain(facts.reorder_milli, facts.unit, units)
    return {
        "Name": facts.name,
        "What it is for": CLASS_WORDS[facts.klass],
        "Sheen": facts.sheen,
        "Buy more at": level,
        "Note": facts.note,
    }
