"""What pieces stood at: on a day, and when they were sold or left, from the costs that were in stock then."""

from typing import Any, Final

from sqlalchemy import (
    CTE,
    ColumnElement,
    Date,
    FromClause,
    Select,
    String,
    and_,
    func,
    literal,
    or_,
    select,
    type_coerce,
    union_all,
)

from app.pieces.models import LeavingRow, Piece
from app.pieces.rules import Leaving
from app.reports.queries.sum_costs import COSTS, CostSource
from app.reports.queries.sum_ground import (
    Arm,
    Day,
    arm,
    as_text,
    counts,
    in_period,
    is_gone_on,
)
from app.reports.rules.sums import BACK, LEFT, WAYS_OUT
from app.sales.models import Sale, SaleReturn

_RETURNED: Final = and_(SaleReturn.sale_id == Sale.id, SaleReturn.struck_at.is_(None))

SOLD: Final = "sold"


def _times_back() -> CTE:
    """Every time a piece was gone and came back: a cost dated strictly between never entered stock."""
    returned = (
        select(Sale.piece_id, Sale.sold_on.label("out_on"), SaleReturn.returned_on.label("back_on"))
        .join(SaleReturn, _RETURNED)
        .where(Sale.struck_at.is_(None), SaleReturn.returned_on > Sale.sold_on)
    )
    brought_back = select(LeavingRow.piece_id, LeavingRow.on_date, LeavingRow.back_on).where(
        LeavingRow.back_on > LeavingRow.on_date
    )
    return union_all(returned, brought_back).cte("times_back")


_TIMES_BACK: Final = _times_back()


def costs_in_stock(holder: FromClause, *kept: Any) -> Select[Any]:
    """The sum of what was in stock, for each row of `holder`, told by its columns `kept`.

    The holder has a `piece_id` and the last day `until` that counts. The piece must be on hand on that day, so that
    only the times it came back from can have made a cost late.
    """
    each = union_all(*(_of_source(source, holder, kept) for source in COSTS)).subquery()
    names = [each.c[column.key] for column in kept]
    return select(*names, func.sum(each.c.cents).label("cents")).group_by(*names)


def _of_source(source: CostSource, holder: FromClause, kept: tuple[Any, ...]) -> Select[Any]:
    late = and_(
        _TIMES_BACK.c.piece_id == holder.c.piece_id,
        _TIMES_BACK.c.out_on < source.day,
        _TIMES_BACK.c.back_on > source.day,
    )
    return (
        select(*kept, func.sum(source.cents).label("cents"))
        .select_from(holder)
        .join(source.source, source.piece == holder.c.piece_id)
        .outerjoin(_TIMES_BACK, late)
        .where(*source.where, source.day <= holder.c.until, _TIMES_BACK.c.piece_id.is_(None))
        .group_by(*kept)
    )


def _gone_in_period() -> CTE:
    """Every sale and leaving of the period, and those undone in it; `until` is the day the piece went."""
    sold = (
        select(
            literal("sale", String).label("at_table"),
            Sale.id.label("row_id"),
            literal(SOLD, String).label("how"),
            Sale.piece_id.label("piece_id"),
            Sale.sold_on.label("until"),
            SaleReturn.returned_on.label("back_on"),
            literal("sale_return", String).label("back_table"),
            SaleReturn.id.label("back_id"),
        )
        .outerjoin(SaleReturn, _RETURNED)
        .where(Sale.struck_at.is_(None), counts(Sale.piece_id))
        .where(or_(in_period(Sale.sold_on), in_period(SaleReturn.returned_on)))
    )
    left = select(
        literal("leaving", String),
        LeavingRow.id,
        as_text(LeavingRow.how),
        LeavingRow.piece_id,
        LeavingRow.on_date,
        LeavingRow.back_on,
        literal("leaving", String),
        LeavingRow.id,
    ).where(counts(LeavingRow.piece_id), or_(in_period(LeavingRow.on_date), in_period(LeavingRow.back_on)))
    return union_all(sold, left).cte("gone")


def _at_cost() -> CTE:
    gone = _gone_in_period()
    columns = ("at_table", "row_id", "how", "piece_id", "until", "back_on", "back_table", "back_id")
    return costs_in_stock(gone, *(gone.c[name] for name in columns)).cte("at_cost")


AT_COST: Final = _at_cost()
"""Every sale and leaving of the period, and those undone in it, with what its piece stood at when it went."""


def stock_arms() -> tuple[Arm, ...]:
    """What went out of stock and came back into it, at cost."""
    how, is_sale = AT_COST.c.how, AT_COST.c.how == SOLD
    return (
        _went("cost_of_goods_sold", where=is_sale),
        _came("cost_back", where=is_sale),
        _went(WAYS_OUT, path=how + literal(f":{LEFT}", String), where=~is_sale),
        _came(WAYS_OUT, path=how + literal(f":{BACK}", String), where=~is_sale),
    )


def _went(heads: str | tuple[str, ...], *, where: ColumnElement[bool], path: ColumnElement[str] | None = None) -> Arm:
    at = AT_COST.c
    return arm(
        heads,
        path=path,
        cents=-at.cents,
        day=at.until,
        piece=at.piece_id,
        row=(at.at_table, at.row_id),
        source=AT_COST,
        where=(in_period(at.until), where),
    )


def _came(heads: str | tuple[str, ...], *, where: ColumnElement[bool], path: ColumnElement[str] | None = None) -> Arm:
    at = AT_COST.c
    return arm(
        heads,
        path=path,
        cents=at.cents,
        day=at.back_on,
        piece=at.piece_id,
        row=(at.back_table, at.back_id),
        source=AT_COST,
        where=(in_period(at.back_on), where),
    )


def standing_stock(day: Day, name: str) -> Select[Any]:
    """Each piece on hand at the end of a day, and what it stands at; pieces that cost nothing yet are not in it."""
    until = type_coerce(day, Date).label("until")
    here = select(Piece.id.label("piece_id"), until).where(Piece.struck_at.is_(None), ~is_gone_on(Piece.id, day))
    holder = here.cte(f"here_{name}")
    return costs_in_stock(holder, holder.c.piece_id)


def standing_kept(day: Day, name: str) -> Select[Any]:
    """Each piece the owner has kept and still has at the end of a day, and what it stood at when it left."""
    kept = select(LeavingRow.piece_id, LeavingRow.on_date.label("until")).where(
        LeavingRow.how == Leaving.KEPT,
        LeavingRow.on_date <= day,
        or_(LeavingRow.back_on.is_(None), LeavingRow.back_on > day),
        counts(LeavingRow.piece_id),
    )
    holder = kept.cte(f"kept_{name}")
    return costs_in_stock(holder, holder.c.piece_id)
