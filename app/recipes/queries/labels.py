"""Read what the labels of materials say."""

from collections.abc import Collection
from dataclasses import dataclass

from sqlalchemy import select
from sqlalchemy.orm import Session

from app.recipes.models import MaterialLabel
from app.recipes.rules import NO_LABEL, Label

NEVER_SAID = 0
"""The version of a label nobody has typed yet."""


@dataclass(frozen=True)
class LabelRow:
    """What a label says, and the version it stands at."""

    label: Label = NO_LABEL
    version: int = NEVER_SAID


def labels_of(session: Session, material_ids: Collection[int]) -> dict[int, Label]:
    """What the labels of materials say, by material; one without a label typed is left out. One query."""
    if not material_ids:
        return {}
    found = session.scalars(select(MaterialLabel).where(MaterialLabel.material_id.in_(material_ids)))
    return {row.material_id: label_in(row) for row in found}


def label_of(session: Session, material_id: int) -> Label:
    """What the label of a material says; nothing where nobody typed it."""
    return label_row(session, material_id).label


def label_row(session: Session, material_id: int) -> LabelRow:
    """What the label of a material says, with the version an edit is made on."""
    row = session.get(MaterialLabel, material_id)
    return LabelRow() if row is None else LabelRow(label_in(row), row.version)


def label_in(row: MaterialLabel) -> Label:
    """The label a row holds."""
    return Label(
        product=row.product,
        recoat=row.recoat,
        recoat_by=row.recoat_by,
        handle=row.handle,
        cure=row.cure,
        dwell=row.dwell,
        spread_hundredths=row.spread_hundredths,
    )
