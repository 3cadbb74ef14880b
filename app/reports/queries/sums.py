"""The sums of a period in SQL, a second route beside the walk through every piece, and the rows behind each of them.

`period_sums` and `months_sums` give every line of the books; `line_rows` and `line_total` open one. The keys are
those of `app.reports.rules.sums`: every line of the profit (`sales`, `refunds`, `cost_of_goods_sold`, `late_costs`,
`trips`, ...), `tax`, `kept`, the shop's costs (`shop`, `shop:rent`, `shop:shelf`, `shop:trips:rate`,
`shop:adjusted:rent`), the stock (`stock:bought:price`, `stock:cost_lines:hardware`, ...), the shelf (`shelf:bought`),
deposits (`deposits:taken`), the log of trips (`all_trips:rate`, `car:rate`, `car:extra`). A key takes in all its parts.
Only to be opened, not in the sums: what stood before and after (`opening:stock`, `closing:shelf`, `closing:deposits`,
`closing:written`), and what each piece made (`pieces`).
"""

from dataclasses import dataclass
from datetime import date, timedelta
from functools import lru_cache
from typing import Any

from sqlalchemy import Select, case, func, or_, select, union_all
from sqlalchemy.orm import Session

from app.basics.dates import Month, months_between
from app.pieces.models import Piece
from app.pieces.rules import shown_name
from app.reports.queries.sum_costs import cost_arms
from app.reports.queries.sum_ground import Arm, monthly
from app.reports.queries.sum_lines import at_once_arms, deposit_arms, sale_arms, shelf_arms, shop_arms, trip_arms
from app.reports.queries.sum_standing import pieces_arm, standing_arms, standing_sums
from app.reports.queries.sum_stock import stock_arms
from app.reports.rules.sums import SAME_AMOUNTS, PeriodSums, Standing, is_part_of


@dataclass(frozen=True, slots=True)
class LineRow:
    """One row on a line: its day, its piece where it has one, the full key it stands on, and its signed cents.

    `table` and `row_id` name the stored row, `page_id` the page it is shown on where that is another row's (a charge
    stands on the page of its material); `note` is what the owner wrote on it.
    """

    on: date
    piece_id: int | None
    tag: str
    name: str
    key: str
    note: str
    cents: int
    table: str
    row_id: int
    page_id: int = 0


def period_sums(session: Session, first: date, last: date) -> PeriodSums:
    """Every line from `first` to `last`, both included, and what stood before and after; a fixed number of queries."""
    amounts: dict[str, int] = {}
    for path, _month, cents in session.execute(_by_month(), {"first": first, "last": last}):
        amounts[path] = amounts.get(path, 0) + int(cents)
    opening, closing = standing(session, first - timedelta(days=1)), standing(session, last)
    return PeriodSums(first, last, amounts, opening, closing)


def months_sums(session: Session, first: date, last: date) -> dict[Month, PeriodSums]:
    """The lines of every month from that of `first` to that of `last`, whole months; as many queries as for one.

    What stood at the first month's start is read from what was owned then; each later month begins with what its
    lines made of it.
    """
    months = months_between(Month.of(first), Month.of(last))
    if not months:
        return {}
    amounts: dict[str, dict[str, int]] = {str(month): {} for month in months}
    for path, month, cents in session.execute(_by_month(), {"first": months[0].first, "last": months[-1].last}):
        of_month = amounts[month]
        of_month[path] = of_month.get(path, 0) + int(cents)
    found: dict[Month, PeriodSums] = {}
    opening = standing(session, months[0].first - timedelta(days=1))
    for month in months:
        sums = PeriodSums(month.first, month.last, amounts[str(month)], opening)
        closing = Standing(
            opening.stock + sums.stock_change,
            opening.shelf + sums.shelf_change,
            opening.deposits + sums.deposits_change,
        )
        found[month] = PeriodSums(month.first, month.last, sums.amounts, opening, closing)
        opening = closing
    return found


def standing(session: Session, day: date) -> Standing:
    """The stock at cost, the shelf, and deposits owed at the end of a day, read from what was owned then; one query."""
    stock, shelf, deposits = session.execute(standing_sums(), {"day": day}).one()
    return Standing(int(stock), int(shelf), int(deposits))


def line_rows(
    session: Session, key: str, first: date, last: date, *, limit: int | None = None, offset: int = 0
) -> list[LineRow]:
    """The rows of a line from `first` to `last`, the oldest first (whole pieces: the most first); one query."""
    rows = _rows_of(key)
    if rows is None:
        return []
    each = rows.subquery()
    wanted = (
        select(each, Piece.tag, Piece.title, Piece.form)
        .outerjoin(Piece, Piece.id == each.c.piece_id)
        .order_by(each.c.day, _largest(each), each.c.at_table, each.c.row_id, each.c.path, each.c.piece_id)
        .limit(limit)
        .offset(offset)
    )
    return [_line_row(found) for found in session.execute(wanted, _days(first, last))]


def line_total(session: Session, key: str, first: date, last: date) -> tuple[int, int]:
    """How many rows stand on a line from `first` to `last`, and what they come to in signed cents; one query."""
    found = line_parts(session, key, first, last).values()
    return sum(number for number, _ in found), sum(cents for _, cents in found)


def line_parts(session: Session, key: str, first: date, last: date) -> dict[str, tuple[int, int]]:
    """For each full key on a line how many rows stand on it, and what they come to in signed cents; one query."""
    rows = _rows_of(key)
    if rows is None:
        return {}
    each = rows.subquery()
    wanted = select(each.c.path, func.count(), func.sum(each.c.cents)).group_by(each.c.path).order_by(each.c.path)
    return {path: (int(number), int(cents)) for path, number, cents in session.execute(wanted, _days(first, last))}


def _largest(each: Any) -> Any:
    """The order of whole pieces, which all stand on one day: what came to most first."""
    return case((each.c.at_table == "piece", -each.c.cents), else_=0)


def _days(first: date, last: date) -> dict[str, date]:
    return {"first": first, "last": last, "eve": first - timedelta(days=1)}


@lru_cache(maxsize=1)
def _arms() -> tuple[Arm, ...]:
    return (
        *sale_arms(),
        *at_once_arms(),
        *cost_arms(),
        *stock_arms(),
        *shop_arms(),
        *shelf_arms(),
        *deposit_arms(),
        *trip_arms(),
    )


@lru_cache(maxsize=1)
def _standing_arms() -> tuple[Arm, ...]:
    return (*standing_arms(), pieces_arm())


@lru_cache(maxsize=1)
def _by_month() -> Any:
    return union_all(*(monthly(arm.rows) for arm in _arms()))


@lru_cache(maxsize=256)
def _rows_of(key: str) -> Select[Any] | None:
    lines = SAME_AMOUNTS.get(key, (key,))
    found = []
    for arm in (*_arms(), *_standing_arms()):
        wanted = [line for line in lines if any(is_part_of(line, head) or is_part_of(head, line) for head in arm.heads)]
        if wanted:
            each = arm.rows.subquery()
            on_line = [each.c.path == line for line in wanted]
            on_line += [each.c.path.startswith(f"{line}:", autoescape=True) for line in wanted]
            found.append(select(each).where(or_(*on_line)))
    return select(union_all(*found).subquery()) if found else None


def _line_row(found: Any) -> LineRow:
    return LineRow(
        on=found.day,
        piece_id=found.piece_id,
        tag=found.tag or "",
        name=shown_name(found.title, found.form) if found.tag else "",
        key=found.path,
        note=found.note,
        cents=int(found.cents),
        table=found.at_table,
        row_id=found.row_id,
        page_id=found.page_id,
    )
