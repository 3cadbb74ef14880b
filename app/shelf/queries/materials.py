"""Read materials: the list of the shelf with what is left and what it is worth, one by its number, the low ones."""

from dataclasses import dataclass
from datetime import date, datetime
from fractions import Fraction
from typing import Any

from sqlalchemy import case, func, or_, select
from sqlalchemy.orm import Session

from app.basics.errors import NotFound
from app.pieces.models import Piece
from app.pieces.queries import PieceRow, rows_of, rows_query
from app.pieces.rules import Stage
from app.shelf.models import Material, ShelfCharge, ShelfCount, ShelfPurchase, ShelfUse
from app.shelf.rules import CLASS_WORDS, MaterialClass, MaterialFacts, Unit, is_low


@dataclass(frozen=True)
class Can:
    """What one purchase brought, the last one, and when: what people mean by "the can"."""

    milli: int
    on: date


@dataclass(frozen=True)
class MaterialRow:
    """One material: its facts, what is left in thousandths of its unit, and what that stands at in cents."""

    id: int
    version: int
    facts: MaterialFacts
    made_at: datetime
    left_milli: int
    value_cents: int
    is_bought: bool

    @property
    def name(self) -> str:
        """What the owner calls it."""
        return self.facts.name

    @property
    def klass(self) -> MaterialClass:
        """What it is for."""
        return self.facts.klass

    @property
    def class_words(self) -> str:
        """What it is for, in words."""
        return CLASS_WORDS[self.klass]

    @property
    def unit(self) -> Unit:
        """In what it is counted."""
        return self.facts.unit

    @property
    def average(self) -> Fraction | None:
        """Cents for a thousandth of its unit, unrounded; None where nothing is left."""
        return Fraction(self.value_cents, self.left_milli) if self.left_milli > 0 else None

    @property
    def is_short(self) -> bool:
        """Whether more was used than the books had."""
        return self.left_milli < 0

    @property
    def is_low(self) -> bool:
        """Whether more of it should be bought."""
        return self.is_short or (not self.facts.is_put_away and is_low(self.left_milli, self.facts.reorder_milli))


def material_rows(session: Session, *, include_put_away: bool = True) -> list[MaterialRow]:
    """Every material by class and name, with what is left of it; five queries for any number of rows."""
    rows = _rows(session)
    places = {klass: place for place, klass in enumerate(MaterialClass)}
    rows = [row for row in rows if include_put_away or not row.facts.is_put_away]
    return sorted(rows, key=lambda row: (places[row.klass], row.name.casefold(), row.id))


def low_materials(session: Session) -> list[MaterialRow]:
    """The materials in use of which more should be bought, the emptiest class first as the list has them."""
    return [row for row in material_rows(session, include_put_away=False) if row.is_low]


def material_by_id(session: Session, material_id: int) -> MaterialRow:
    """A material by its number; raises NotFound."""
    for row in _rows(session, material_id):
        return row
    raise NotFound("material")


def last_can(session: Session, material_id: int) -> Can | None:
    """What the last purchase brought; None where nothing was bought, parts taken off a piece apart."""
    query = select(ShelfPurchase.quantity_milli, ShelfPurchase.on_date).where(
        ShelfPurchase.material_id == material_id,
        ShelfPurchase.struck_at.is_(None),
        ShelfPurchase.from_piece_id.is_(None),
    )
    found = session.execute(query.order_by(ShelfPurchase.on_date.desc(), ShelfPurchase.id.desc()).limit(1)).first()
    return Can(*found) if found else None


def places_bought_at(session: Session, most: int = 30) -> list[str]:
    """Where materials were bought before, each place once, the most recent first."""
    places = select(ShelfPurchase.bought_at).where(ShelfPurchase.bought_at != "").group_by(ShelfPurchase.bought_at)
    return list(session.scalars(places.order_by(func.max(ShelfPurchase.id).desc()).limit(most)))


def pieces_on_hand(session: Session) -> list[PieceRow]:
    """The pieces that are here, the one moved last first: what a material is likely to be used on."""
    query = rows_query().where(Piece.stage != Stage.SOLD, Piece.left_as.is_(None), Piece.struck_at.is_(None))
    return rows_of(session, query.order_by(Piece.stage_since.desc(), Piece.id.desc()))


def has_rows(session: Session, material_id: int) -> bool:
    """Whether anything was ever bought, used or counted of it, struck rows too."""
    tables = (ShelfPurchase, ShelfUse, ShelfCount)
    asked = (select(table.id).where(table.material_id == material_id).limit(1) for table in tables)
    return any(session.scalar(query) is not None for query in asked)


def facts_of(row: Material) -> MaterialFacts:
    """What is known of a material."""
    return MaterialFacts(
        name=row.name,
        klass=row.klass,
        unit=row.unit,
        colour=row.colour,
        sheen=row.sheen,
        volume_solids_hundredths=row.volume_solids_hundredths,
        reorder_milli=row.reorder_milli,
        note=row.note,
        is_put_away=row.is_put_away,
    )


def _rows(session: Session, material_id: int | None = None) -> list[MaterialRow]:
    query = select(Material) if material_id is None else select(Material).where(Material.id == material_id)
    counted = _last_counts(session)
    bought = _sums(session, ShelfPurchase, ShelfPurchase.price_cents + ShelfPurchase.tax_cents)
    used = _sums(session, ShelfUse, None)
    charged = _charged(session)
    rows = []
    for material in session.scalars(query):
        came, cost, is_bought = bought.get(material.id, (0, 0, False))
        went, _, _ = used.get(material.id, (0, 0, False))
        rows.append(
            MaterialRow(
                id=material.id,
                version=material.version,
                facts=facts_of(material),
                made_at=material.made_at,
                left_milli=counted.get(material.id, 0) + came - went,
                value_cents=cost - charged.get(material.id, 0),
                is_bought=is_bought,
            )
        )
    return rows


def _last_counts(session: Session) -> dict[int, int]:
    query = select(ShelfCount.material_id, ShelfCount.counted_milli).where(ShelfCount.struck_at.is_(None))
    return dict(session.execute(query.order_by(ShelfCount.on_date, ShelfCount.id)).all())


def _sums(session: Session, table: Any, cost: Any) -> dict[int, tuple[int, int, bool]]:
    """By material: what came or went since it was last counted, the cost of all of it, and that there was any."""
    last = (
        select(ShelfCount.material_id, func.max(ShelfCount.on_date).label("on_date"))
        .where(ShelfCount.struck_at.is_(None))
        .group_by(ShelfCount.material_id)
        .subquery()
    )
    since = or_(last.c.on_date.is_(None), table.on_date > last.c.on_date)
    moved = func.sum(case((since, table.quantity_milli), else_=0))
    query = select(table.material_id, moved, func.sum(0 if cost is None else cost))
    query = query.outerjoin(last, last.c.material_id == table.material_id).where(table.struck_at.is_(None))
    found = session.execute(query.group_by(table.material_id))
    return {material: (int(milli), int(cents), True) for material, milli, cents in found}


def _charged(session: Session) -> dict[int, int]:
    query = select(ShelfCharge.material_id, func.sum(ShelfCharge.cents)).group_by(ShelfCharge.material_id)
    return {material: int(cents) for material, cents in session.execute(query)}
