"""In which order the sales, returns, leavings and comings back of a piece happened.

A day can hold several of them, and two made in one moment carry the same instant. What tells them apart are the
piece's steps: each sale, return, leaving and coming back appended exactly one step of its own kind, steps are
never deleted, and their ids only grow. So the first sale of a piece (by id, struck ones counted) belongs to its
first step of the kind "sale", the second to the second, and the step's id is the row's place in the order. A
coming back belongs to the leaving before it.
"""

from collections import defaultdict
from collections.abc import Iterable, Iterator, Mapping, Sequence

from sqlalchemy import SelectBase, select
from sqlalchemy.orm import Session

from app.pieces.models import Step
from app.pieces.rules import StepKind
from app.reports.queries.chosen import within
from app.reports.rules import RowRef

SALE = "sale"
RETURN = "sale_return"
LEAVING = "leaving"
BACK = "leaving_back"

_TABLES: Mapping[StepKind, str] = {StepKind.SALE: SALE, StepKind.RETURN: RETURN, StepKind.OUT: LEAVING}

PieceAndRow = tuple[int, RowRef]


def places_in_order(session: Session, chosen: SelectBase | None, made: Iterable[PieceAndRow]) -> dict[RowRef, int]:
    """The place in the order of each row in `made` (piece id and row, struck rows too); one query.

    A row without its step, which the check of the records reports, has no place.
    """
    rows: dict[tuple[int, str], list[int]] = defaultdict(list)
    for piece_id, row in made:
        rows[piece_id, row.table].append(row.id)
    steps: dict[int, list[tuple[int, StepKind]]] = defaultdict(list)
    wanted = (*_TABLES, StepKind.IN_AGAIN)
    found = select(Step.piece_id, Step.id, Step.kind).where(Step.kind.in_(wanted), *within(Step.piece_id, chosen))
    for piece_id, step_id, kind in session.execute(found.order_by(Step.id)):
        steps[piece_id].append((step_id, kind))
    places: dict[RowRef, int] = {}
    for piece_id, of_piece in steps.items():
        places.update(_paired(of_piece, {table: sorted(rows[piece_id, table]) for table in _TABLES.values()}))
    return places


def _paired(steps: Sequence[tuple[int, StepKind]], rows: Mapping[str, Sequence[int]]) -> Iterator[tuple[RowRef, int]]:
    waiting = {table: iter(ids) for table, ids in rows.items()}
    last_leaving: int | None = None
    for step_id, kind in steps:
        if kind is StepKind.IN_AGAIN:
            if last_leaving is not None:
                yield RowRef(BACK, last_leaving), step_id
            continue
        row_id = next(waiting[_TABLES[kind]], None)
        if row_id is None:
            continue
        if kind is StepKind.OUT:
            last_leaving = row_id
        yield RowRef(_TABLES[kind], row_id), step_id
