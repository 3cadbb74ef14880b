"""Say what the label of a material says: once, and again when the can has another."""

from datetime import datetime

from sqlalchemy.orm import Session

from app.basics.errors import NotFound, StaleEdit
from app.basics.quantities import format_wait
from app.recipes.models import MaterialLabel
from app.recipes.queries import NEVER_SAID, label_row
from app.recipes.rules import PRODUCTS, Label, sound_label
from app.shelf.models import Material


def say_label(session: Session, material_id: int, label: Label, *, version: int | None, now: datetime) -> MaterialLabel:
    """Keep what the label of a material says, in place of what was typed of it before.

    `version` is that of the label the edit was made on, 0 where none was said yet, None for whatever stands there.
    Refuses times and rates no label has (RuleError); raises StaleEdit when it was changed since, NotFound.
    """
    if session.get(Material, material_id) is None:
        raise NotFound("material")
    there = label_row(session, material_id)
    if version is not None and there.version != version:
        raise StaleEdit("label", _as_words(there.label), there.version)
    row = session.get(MaterialLabel, material_id) or MaterialLabel(material_id=material_id)
    for name, said in vars(sound_label(label)).items():
        setattr(row, name, said)
    if there.version == NEVER_SAID:
        session.add(row)
    row.made_at = now
    session.flush()
    return row


def _as_words(label: Label) -> dict[str, str]:
    times = {
        "Next coat from": label.recoat,
        "Next coat until": label.recoat_by,
        "Light handling": label.handle,
        "Hard through": label.cure,
        "Left to work": label.dwell,
    }
    return {
        "Sort of product": PRODUCTS[label.product].words if label.product else "",
        **{words: "" if minutes is None else format_wait(minutes) for words, minutes in times.items()},
    }
