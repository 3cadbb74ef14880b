"""What stands at the end of a day, row by row, and what each piece made in a period, told from what was owned.

None of this reads the lines of the period, so that the two can be held against each other.
"""

from functools import lru_cache
from typing import Any, Final

from sqlalchemy import Date, Select, and_, bindparam, exists, func, or_, select, union_all
from sqlalchemy.orm import aliased

from app.pieces.models import LeavingRow
from app.reports.models import WriteDown
from app.reports.queries.sum_costs import COSTS
from app.reports.queries.sum_ground import (
    EVE,
    LAST,
    Arm,
    Day,
    arm,
    counts,
    in_period,
    is_gone_on,
)
from app.reports.queries.sum_lines import at_once_arms, sale_arms
from app.reports.queries.sum_stock import standing_kept, standing_stock
from app.sales.models import Deposit, DepositEnd, Sale, SaleReturn
from app.shelf.models import Material, ShelfCharge, ShelfPurchase

THEN: Final[Any] = bindparam("day", type_=Date)

NOT_PROFIT: Final = "tax"
"""The line of sales that is no profit."""


@lru_cache(maxsize=1)
def standing_sums() -> Select[Any]:
    """The stock at cost, the shelf and deposits owed at the end of the day named `day`, each as one sum."""
    return select(
        _sum_of(standing_stock(THEN, "then")),
        _sum_of(_on_the_shelf(THEN)),
        _sum_of(_deposits_owed(THEN)),
    )


def _sum_of(rows: Select[Any]) -> Any:
    each = rows.subquery()
    return select(func.coalesce(func.sum(each.c.cents), 0)).scalar_subquery()


def standing_arms() -> tuple[Arm, ...]:
    """What stood at the end of the day before the period (opening) and of its last day (closing), row by row."""
    found: list[Arm] = []
    for word, day in (("opening", EVE), ("closing", LAST)):
        found += [_pieces_here(word, day), _shelf_here(word, day), _deposits_here(word, day)]
    return (*found, written_arm())


def _pieces_here(word: str, day: Any) -> Arm:
    rows = standing_stock(day, word).cte(f"stock_{word}")
    row = ("piece", rows.c.piece_id)
    where = (rows.c.cents != 0,)
    return arm(f"{word}:stock", cents=rows.c.cents, day=day, piece=rows.c.piece_id, row=row, source=rows, where=where)


def _shelf_here(word: str, day: Any) -> Arm:
    rows = _on_the_shelf(day).cte(f"shelf_{word}")
    source = rows.join(Material.__table__, Material.id == rows.c.material_id)
    return arm(
        f"{word}:shelf",
        cents=rows.c.cents,
        day=day,
        row=("material", rows.c.material_id),
        note=Material.name,
        source=source,
        where=(rows.c.cents != 0,),
    )


def _deposits_here(word: str, day: Any) -> Arm:
    rows = _deposits_owed(day).cte(f"owed_{word}")
    source = rows.join(Deposit.__table__, Deposit.id == rows.c.deposit_id)
    return arm(
        f"{word}:deposits",
        cents=rows.c.cents,
        day=day,
        piece=Deposit.piece_id,
        row=("deposit", Deposit.id),
        note=Deposit.payer,
        source=source,
        where=(rows.c.cents != 0,),
    )


def _on_the_shelf(day: Day) -> Select[Any]:
    """Each material and its value at the end of a day."""
    came = select(
        ShelfPurchase.material_id.label("material_id"),
        func.sum(ShelfPurchase.price_cents + ShelfPurchase.tax_cents).label("cents"),
    ).where(ShelfPurchase.struck_at.is_(None), ShelfPurchase.on_date <= day)
    left = select(ShelfCharge.material_id, -func.sum(ShelfCharge.cents)).where(ShelfCharge.on_date <= day)
    both = union_all(came.group_by(ShelfPurchase.material_id), left.group_by(ShelfCharge.material_id)).subquery()
    return select(both.c.material_id, func.sum(both.c.cents).label("cents")).group_by(both.c.material_id)


def _deposits_owed(day: Day) -> Select[Any]:
    """Each deposit and what of it is still owed at the end of a day."""
    taken = select(Deposit.id.label("deposit_id"), Deposit.amount_cents.label("cents")).where(
        Deposit.struck_at.is_(None), Deposit.on_date <= day
    )
    ended = select(DepositEnd.deposit_id, -DepositEnd.cents).where(
        DepositEnd.struck_at.is_(None), DepositEnd.on_date <= day
    )
    both = union_all(taken, ended).subquery()
    return select(both.c.deposit_id, func.sum(both.c.cents).label("cents")).group_by(both.c.deposit_id)


def written_arm() -> Arm:
    """The write-downs that count at the end of the period: of pieces on hand, since they last came back."""
    sale, back, leaving = aliased(Sale), aliased(SaleReturn), aliased(LeavingRow)
    returned_since = exists(
        select(back.id)
        .join(sale, and_(sale.id == back.sale_id, sale.piece_id == WriteDown.piece_id))
        .where(back.struck_at.is_(None), sale.struck_at.is_(None))
        .where(back.returned_on > WriteDown.on_date, back.returned_on <= LAST)
        .correlate(WriteDown)
    )
    brought_back_since = exists(
        select(leaving.id)
        .where(leaving.piece_id == WriteDown.piece_id)
        .where(leaving.back_on > WriteDown.on_date, leaving.back_on <= LAST)
        .correlate(WriteDown)
    )
    return arm(
        "closing:written",
        cents=-WriteDown.cents,
        day=WriteDown.on_date,
        piece=WriteDown.piece_id,
        row=("write_down", WriteDown.id),
        note=WriteDown.reason,
        source=WriteDown,
        where=(
            WriteDown.struck_at.is_(None),
            WriteDown.on_date <= LAST,
            counts(WriteDown.piece_id),
            ~is_gone_on(WriteDown.piece_id, LAST),
            ~or_(returned_since, brought_back_since),
        ),
    )


@lru_cache(maxsize=1)
def pieces_arm() -> Arm:
    """What each piece made in the period: all that came in less all that went out, and what it rose by in stock.

    What the owner keeps is still there at cost. The cost of what sold is in none of it: it follows from the rest.
    """
    money = [arm.rows.subquery() for arm in (*sale_arms(), *at_once_arms()) if NOT_PROFIT not in arm.heads]
    parts = [select(rows.c.piece_id.label("piece_id"), rows.c.cents.label("cents")) for rows in money]
    parts += [
        select(source.piece, -source.cents)
        .select_from(source.source)
        .where(*source.where, counts(source.piece), in_period(source.day))
        for source in COSTS
    ]
    for standing, name in ((standing_stock, "stock"), (standing_kept, "kept")):
        after, before = standing(LAST, f"{name}_after").subquery(), standing(EVE, f"{name}_before").subquery()
        parts += [select(after.c.piece_id, after.c.cents), select(before.c.piece_id, -before.c.cents)]
    each = union_all(*parts).subquery()
    made = select(each.c.piece_id, func.sum(each.c.cents).label("cents")).group_by(each.c.piece_id).cte("made")
    return arm(
        "pieces",
        cents=made.c.cents,
        day=LAST,
        piece=made.c.piece_id,
        row=("piece", made.c.piece_id),
        source=made,
        where=(made.c.cents != 0,),
    )
