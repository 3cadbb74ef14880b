"""What the sums in SQL stand on: rows under the key of a line, pieces that were gone, and costs that were late.

Every sum is made from the rows a line opens to, so the two cannot differ. The dates a statement is about are named
parameters, so that it is written once and kept.
"""

from dataclasses import dataclass
from datetime import date
from typing import Any, Final

from sqlalchemy import (
    CTE,
    BigInteger,
    BindParameter,
    ColumnElement,
    Date,
    FromClause,
    Integer,
    Select,
    String,
    and_,
    bindparam,
    exists,
    func,
    literal,
    null,
    or_,
    select,
    type_coerce,
    union_all,
)
from sqlalchemy.ext.compiler import compiles
from sqlalchemy.orm import aliased
from sqlalchemy.sql.compiler import SQLCompiler
from sqlalchemy.sql.functions import FunctionElement

from app.pieces.models import LeavingRow, Piece
from app.sales.models import Sale, SaleReturn

Day = ColumnElement[Any] | Any

FIRST: Final[BindParameter[date]] = bindparam("first", type_=Date)
LAST: Final[BindParameter[date]] = bindparam("last", type_=Date)
EVE: Final[BindParameter[date]] = bindparam("eve", type_=Date)
"""The day before the first."""


class MonthText(FunctionElement[str]):
    """The month of a day, written as 2026-11."""

    name = "month_text"
    inherit_cache = True
    type = String()


@compiles(MonthText)
def _month_anywhere(element: MonthText, compiler: SQLCompiler, **more: Any) -> str:
    return f"to_char({compiler.process(element.clauses, **more)}, 'YYYY-MM')"


@compiles(MonthText, "sqlite")
def _month_in_sqlite(element: MonthText, compiler: SQLCompiler, **more: Any) -> str:
    # A day is stored as 2026-11-25, so its first seven letters are its month; asking the calendar takes far longer.
    return f"substr({compiler.process(element.clauses, **more)}, 1, 7)"


@dataclass(frozen=True)
class Arm:
    """Rows of one kind: `heads` are the lines they can stand on, `rows` the rows of the period with their columns.

    The columns are `path` (the key), `day`, `cents` (signed), `piece_id`, `at_table`, `row_id`, `page_id` (of the
    row on whose page it is shown, where that is another) and `note`.
    """

    heads: tuple[str, ...]
    rows: Select[Any]


def arm(
    heads: str | tuple[str, ...],
    *,
    cents: ColumnElement[Any] | Any,
    day: Day,
    row: tuple[ColumnElement[Any] | Any, ColumnElement[Any] | Any],
    path: ColumnElement[Any] | str | None = None,
    piece: ColumnElement[Any] | Any = None,
    page: ColumnElement[Any] | Any = None,
    note: ColumnElement[Any] | Any = None,
    source: FromClause | Any,
    where: tuple[ColumnElement[bool], ...] = (),
) -> Arm:
    """An arm from its parts; without a path of their own its rows stand on the one line it feeds."""
    lines = (heads,) if isinstance(heads, str) else heads
    table, row_id = row
    columns = (
        as_text(lines[0] if path is None else path).label("path"),
        day.label("day"),
        type_coerce(cents, BigInteger).label("cents"),
        (type_coerce(null(), Integer) if piece is None else piece).label("piece_id"),
        as_text(table).label("at_table"),
        row_id.label("row_id"),
        (row_id if page is None else page).label("page_id"),
        as_text("" if note is None else note).label("note"),
    )
    return Arm(lines, select(*columns).select_from(source).where(*where))


def as_text(words: ColumnElement[Any] | Any) -> ColumnElement[str]:
    """Words of a path or a note as a plain text, whatever kind of column they come from."""
    return literal(words, String) if isinstance(words, str) else type_coerce(words, String)


def in_period(day: Day) -> ColumnElement[bool]:
    """The condition that a day lies in the period."""
    inside: ColumnElement[bool] = day.between(FIRST, LAST)
    return inside


def struck_pieces() -> Select[Any]:
    """The pieces logged by mistake: nothing that is booked on them counts."""
    return select(_STRUCK.c.id)


_STRUCK: Final = select(Piece.id).where(Piece.struck_at.is_not(None)).cte("struck")


def counts(piece: ColumnElement[Any] | Any) -> ColumnElement[bool]:
    """The condition that a piece was not logged by mistake."""
    counted: ColumnElement[bool] = piece.not_in(struck_pieces())
    return counted


def is_gone_on(piece: ColumnElement[Any] | Any, day: Day) -> ColumnElement[bool]:
    """The condition that the piece is gone, sold or left, at the end of a day."""
    sale, came_back, leaving = aliased(Sale), aliased(SaleReturn), aliased(LeavingRow)
    sold = (
        select(sale.id)
        .outerjoin(came_back, and_(came_back.sale_id == sale.id, came_back.struck_at.is_(None)))
        .where(sale.piece_id == piece, sale.struck_at.is_(None), sale.sold_on <= day)
        .where(or_(came_back.returned_on.is_(None), came_back.returned_on > day))
    )
    left = select(leaving.id).where(
        leaving.piece_id == piece, leaving.on_date <= day, or_(leaving.back_on.is_(None), leaving.back_on > day)
    )
    return or_(exists(sold.correlate_except(sale, came_back)), exists(left.correlate_except(leaving)))


def _times_gone() -> CTE:
    """Every time a piece was gone in the period, whenever it went: from `out_on` until `back_on`, if it came back."""
    sold = (
        select(Sale.piece_id, Sale.sold_on.label("out_on"), SaleReturn.returned_on.label("back_on"))
        .outerjoin(SaleReturn, and_(SaleReturn.sale_id == Sale.id, SaleReturn.struck_at.is_(None)))
        .where(Sale.struck_at.is_(None), Sale.sold_on < LAST)
        .where(or_(SaleReturn.returned_on.is_(None), SaleReturn.returned_on > FIRST))
    )
    left = select(LeavingRow.piece_id, LeavingRow.on_date, LeavingRow.back_on).where(
        LeavingRow.on_date < LAST, or_(LeavingRow.back_on.is_(None), LeavingRow.back_on > FIRST)
    )
    return union_all(sold, left).cte("times_gone")


TIMES_GONE: Final = _times_gone()


def gone_between(piece: ColumnElement[Any] | Any, day: Day) -> ColumnElement[bool]:
    """How times gone are joined to a cost of a day that was dated strictly between going and coming back."""
    return and_(
        TIMES_GONE.c.piece_id == piece,
        TIMES_GONE.c.out_on < day,
        or_(TIMES_GONE.c.back_on.is_(None), TIMES_GONE.c.back_on > day),
    )


def monthly(rows: Select[Any]) -> Select[Any]:
    """The sums of rows by path and month."""
    inner = rows.subquery()
    month = MonthText(inner.c.day)
    return select(inner.c.path, month.label("month"), func.sum(inner.c.cents).label("cents")).group_by(
        inner.c.path, month
    )
