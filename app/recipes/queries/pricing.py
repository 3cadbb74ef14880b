"""Read what a coating on the shelf costs and how far its label says it goes."""

from sqlalchemy import select
from sqlalchemy.orm import Session

from app.recipes.models import MaterialLabel
from app.recipes.rules.sums import Priced
from app.shelf.queries import material_rows
from app.shelf.rules import MILLI, MaterialClass, Unit

_SPREAD = frozenset(MaterialClass) - {
    MaterialClass.CLEANER,
    MaterialClass.STRIPPER,
    MaterialClass.ABRASIVE,
    MaterialClass.HARDWARE,
    MaterialClass.LINING,
    MaterialClass.SUNDRIES,
}


def priced_materials(session: Session) -> list[Priced]:
    """The coatings in use that are poured or weighed and of which something is left, as the shelf lists them."""
    asked = select(MaterialLabel.material_id, MaterialLabel.spread_hundredths)
    labels = {row.material_id: row.spread_hundredths for row in session.execute(asked)}
    return [
        Priced(row.id, row.name, row.unit, row.average * MILLI, labels.get(row.id))
        for row in material_rows(session, include_put_away=False)
        if row.klass in _SPREAD and row.unit in {Unit.ML, Unit.G} and row.average is not None
    ]
