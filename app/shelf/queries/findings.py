"""Check what the shelf keeps against itself: its charges against their replay, its value against its rows."""

from collections.abc import Iterator
from dataclasses import dataclass

from sqlalchemy import func, or_, select
from sqlalchemy.orm import Session

from app.shelf.models import Material, ShelfCharge, ShelfCount, ShelfPurchase, ShelfUse
from app.shelf.queries.counting import charge_of, counting_rows
from app.shelf.rules import Charge, MovingAverage, NothingBought, RowKind, ShelfRow, in_order, walk_material


@dataclass(frozen=True)
class ShelfFinding:
    """One identity of the shelf: both sides in cents or in rows, and which materials are at fault."""

    name: str
    left: int
    right: int
    materials: tuple[str, ...] = ()

    @property
    def sides(self) -> tuple[int, int]:
        """The two that must be the same."""
        return self.left, self.right

    @property
    def holds(self) -> bool:
        """Whether they are."""
        return self.left == self.right


def shelf_findings(session: Session) -> list[ShelfFinding]:
    """Every identity of the shelf; seven queries for any number of materials."""
    rows = counting_rows(session)
    names: dict[int, str] = dict(session.execute(select(Material.id, Material.name)).all())
    kept: dict[int, list[Charge]] = {}
    for stored in session.scalars(select(ShelfCharge)):
        kept.setdefault(stored.material_id, []).append(charge_of(stored))
    return [
        _replayed(rows, kept, names),
        *_values(rows, kept, names),
        _without_its_row(session),
        _of_struck_rows(session),
    ]


def _replayed(rows: dict[int, list[ShelfRow]], kept: dict[int, list[Charge]], names: dict[int, str]) -> ShelfFinding:
    wrong = []
    for material_id, name in names.items():
        if _told_anew(rows.get(material_id, [])) != sorted(kept.get(material_id, []), key=_by_key):
            wrong.append(name)
    return ShelfFinding("Materials whose charges are not those their rows give", len(wrong), 0, tuple(wrong))


def _told_anew(rows: list[ShelfRow]) -> list[Charge] | None:
    try:
        return sorted(walk_material(rows).charges, key=_by_key)
    except NothingBought:
        return None


def _by_key(charge: Charge) -> tuple[str, int, int, int]:
    kind, use_id, purchase_id, count_id = charge.key
    return kind.value, use_id or 0, purchase_id or 0, count_id or 0


def _values(
    rows: dict[int, list[ShelfRow]], kept: dict[int, list[Charge]], names: dict[int, str]
) -> Iterator[ShelfFinding]:
    """What was bought less what was charged, against what the moving average says stands there."""
    told = stands = 0
    wrong = []
    for material_id, name in names.items():
        value = sum(row.cents for row in rows.get(material_id, ())) - sum(
            charge.cents for charge in kept.get(material_id, ())
        )
        there = _stands_at(rows.get(material_id, []))
        told, stands = told + value, stands + there
        if value != there:
            wrong.append(name)
    yield ShelfFinding("On the shelf: bought less charged = value at the moving average", told, stands)
    yield ShelfFinding("Materials of which that is not so", len(wrong), 0, tuple(wrong))


def _stands_at(rows: list[ShelfRow]) -> int:
    """The value of a material straight from the accumulator, without its charges."""
    shelf = MovingAverage()
    for row in in_order(rows):
        try:
            _play(shelf, row)
        except NothingBought:
            continue
    return shelf.value


def _play(shelf: MovingAverage, row: ShelfRow) -> None:
    if row.kind is RowKind.BOUGHT:
        shelf.buy(row.milli, row.cents)
    elif row.kind is RowKind.USED:
        shelf.use(row.milli)
    else:
        shelf.count(row.milli)


def _without_its_row(session: Session) -> ShelfFinding:
    made_by = (ShelfCharge.use_id, ShelfCharge.count_id)
    lost = select(func.count(ShelfCharge.id)).where(*(column.is_(None) for column in made_by))
    unlike = (
        select(func.count(ShelfCharge.id))
        .outerjoin(ShelfUse, ShelfUse.id == ShelfCharge.use_id)
        .outerjoin(ShelfCount, ShelfCount.id == ShelfCharge.count_id)
        .where(func.coalesce(ShelfUse.material_id, ShelfCount.material_id) != ShelfCharge.material_id)
    )
    found = (session.scalar(lost) or 0) + (session.scalar(unlike) or 0)
    return ShelfFinding("Charges of the shelf without a use or count of their material", found, 0)


def _of_struck_rows(session: Session) -> ShelfFinding:
    query = (
        select(func.count(ShelfCharge.id))
        .outerjoin(ShelfUse, ShelfUse.id == ShelfCharge.use_id)
        .outerjoin(ShelfCount, ShelfCount.id == ShelfCharge.count_id)
        .outerjoin(ShelfPurchase, ShelfPurchase.id == ShelfCharge.purchase_id)
        .where(
            or_(
                ShelfUse.struck_at.is_not(None),
                ShelfCount.struck_at.is_not(None),
                ShelfPurchase.struck_at.is_not(None),
            )
        )
    )
    return ShelfFinding("Charges of the shelf for rows that were struck out", session.scalar(query) or 0, 0)
