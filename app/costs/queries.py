"""Read cost lines and corrections of closed months: of a piece, of the shop, of one row, one by its number."""

from dataclasses import dataclass
from datetime import date, datetime

from sqlalchemy import ColumnElement, func, select
from sqlalchemy.orm import Session

from app.basics.dates import Month
from app.basics.errors import NotFound
from app.costs.models import Adjustment, CostLine
from app.costs.rules import COST_WORDS, PART_WORDS, ROW_WORDS, AdjustedPart, CostKind
from app.pieces.models import Piece
from app.pieces.queries import transfers_of
from app.pieces.rules import shown_name

MOST_PLACES = 30


@dataclass(frozen=True)
class CostRow:
    """One cost line as a page shows it, struck out or counting; `piece_tag` is None for a cost of the shop."""

    id: int
    piece_id: int | None
    piece_tag: str | None
    piece_name: str | None
    kind: CostKind
    kind_words: str
    amount_cents: int
    on_date: date
    bought_at: str
    note: str
    receipt_photo_id: int | None
    made_at: datetime
    struck_at: datetime | None
    struck_reason: str | None
    corrected_cents: int = 0

    @property
    def is_struck(self) -> bool:
        """Whether the line was struck out and counts no more."""
        return self.struck_at is not None


@dataclass(frozen=True)
class AdjustmentRow:
    """One correction of a closed month as a page shows it, struck out or counting; `piece_tag` is None for the shop."""

    id: int
    piece_id: int | None
    piece_tag: str | None
    piece_name: str | None
    part: AdjustedPart
    cents: int
    on_date: date
    corrects_table: str
    corrects_id: int
    corrects_on: date
    reason: str
    made_at: datetime
    struck_at: datetime | None
    struck_reason: str | None

    @property
    def part_words(self) -> str:
        """Which amount it changes."""
        return PART_WORDS[self.part]

    @property
    def row_words(self) -> str:
        """What sort of row it corrects."""
        return ROW_WORDS.get(self.corrects_table, self.corrects_table)

    @property
    def is_struck(self) -> bool:
        """Whether it was struck out and counts no more."""
        return self.struck_at is not None


def costs_of(session: Session, piece_id: int) -> list[CostRow]:
    """Every cost line of a piece, the newest day first, struck ones too."""
    return _rows(session, CostLine.piece_id == piece_id)


def shop_costs(session: Session, month: Month | None = None) -> list[CostRow]:
    """Every cost line of the shop in a month, or of all months, the newest day first, struck ones too."""
    of_the_shop = CostLine.piece_id.is_(None)
    if month is None:
        return _rows(session, of_the_shop)
    return _rows(session, of_the_shop, CostLine.on_date.between(month.first, month.last))


def shop_cost_months(session: Session) -> tuple[Month, Month] | None:
    """The first and the last month with a cost line of the shop, or None without any."""
    first, last = session.execute(
        select(func.min(CostLine.on_date), func.max(CostLine.on_date)).where(CostLine.piece_id.is_(None))
    ).one()
    return (Month.of(first), Month.of(last)) if first and last else None


def cost_by_id(session: Session, line_id: int) -> CostRow:
    """A cost line by its number; raises NotFound."""
    for row in _rows(session, CostLine.id == line_id):
        return row
    raise NotFound("cost line")


def sharers_of(session: Session, row: CostRow) -> list[str]:
    """The tags of the pieces that took a share of a cost along when its set was split after it was entered."""
    if row.piece_id is None:
        return []
    moved = transfers_of(session, row.piece_id)
    return [part.other_tag for part in moved if part.cents < 0 and part.made_at >= row.made_at]


def places_bought_at(session: Session) -> list[str]:
    """Where things were bought before, each place once, the most recent first."""
    newest = func.max(CostLine.id)
    return list(
        session.scalars(
            select(CostLine.bought_at)
            .where(CostLine.bought_at != "")
            .group_by(CostLine.bought_at)
            .order_by(newest.desc())
            .limit(MOST_PLACES)
        )
    )


def counted_total(rows: list[CostRow]) -> int:
    """Cents of the lines that count: those not struck out."""
    return sum(row.amount_cents for row in rows if not row.is_struck)


def adjustments(session: Session, *, limit: int | None = None, offset: int = 0) -> list[AdjustmentRow]:
    """Every correction of a closed month, the newest day first, struck ones too; one query."""
    return _adjustments(session, limit=limit, offset=offset)


def count_adjustments(session: Session) -> int:
    """How many corrections of closed months there are, struck ones too."""
    return session.scalar(select(func.count(Adjustment.id))) or 0


def adjustments_of(session: Session, piece_id: int) -> list[AdjustmentRow]:
    """Every correction on a piece, the newest day first, struck ones too."""
    return _adjustments(session, Adjustment.piece_id == piece_id)


def adjustments_of_row(session: Session, table: str, row_id: int) -> list[AdjustmentRow]:
    """Every correction of one row, on whatever piece, the newest day first, struck ones too."""
    return _adjustments(session, Adjustment.corrects_table == table, Adjustment.corrects_id == row_id)


def adjustment_by_id(session: Session, adjustment_id: int) -> AdjustmentRow:
    """A correction by its number; raises NotFound."""
    for row in _adjustments(session, Adjustment.id == adjustment_id):
        return row
    raise NotFound("correction")


def _adjustments(
    session: Session, *wanted: ColumnElement[bool], limit: int | None = None, offset: int = 0
) -> list[AdjustmentRow]:
    found = session.execute(
        select(Adjustment, Piece)
        .outerjoin(Piece, Piece.id == Adjustment.piece_id)
        .where(*wanted)
        .order_by(Adjustment.on_date.desc(), Adjustment.id.desc())
        .limit(limit)
        .offset(offset)
    )
    return [_adjustment(row, piece) for row, piece in found]


def _adjustment(row: Adjustment, piece: Piece | None) -> AdjustmentRow:
    return AdjustmentRow(
        id=row.id,
        piece_id=row.piece_id,
        piece_tag=piece.tag if piece else None,
        piece_name=shown_name(piece.title, piece.form) if piece else None,
        part=row.part,
        cents=row.cents,
        on_date=row.on_date,
        corrects_table=row.corrects_table,
        corrects_id=row.corrects_id,
        corrects_on=row.corrects_on,
        reason=row.reason,
        made_at=row.made_at,
        struck_at=row.struck_at,
        struck_reason=row.struck_reason,
    )


def _rows(session: Session, *wanted: ColumnElement[bool]) -> list[CostRow]:
    corrected = (
        select(Adjustment.corrects_id, func.sum(Adjustment.cents).label("cents"))
        .where(Adjustment.corrects_table == CostLine.__tablename__, Adjustment.struck_at.is_(None))
        .group_by(Adjustment.corrects_id)
        .subquery()
    )
    lines = session.execute(
        select(CostLine, Piece, corrected.c.cents)
        .outerjoin(Piece, Piece.id == CostLine.piece_id)
        .outerjoin(corrected, corrected.c.corrects_id == CostLine.id)
        .where(*wanted)
        .order_by(CostLine.on_date.desc(), CostLine.id.desc())
    )
    return [_row(line, piece, corrected_cents or 0) for line, piece, corrected_cents in lines]


def _row(line: CostLine, piece: Piece | None, corrected_cents: int) -> CostRow:
    return CostRow(
        id=line.id,
        piece_id=line.piece_id,
        piece_tag=piece.tag if piece else None,
        piece_name=shown_name(piece.title, piece.form) if piece else None,
        kind=line.kind,
        kind_words=COST_WORDS[line.kind],
        amount_cents=line.amount_cents,
        on_date=line.on_date,
        bought_at=line.bought_at,
        note=line.note,
        receipt_photo_id=line.receipt_photo_id,
        made_at=line.made_at,
        struck_at=line.struck_at,
        struck_reason=line.struck_reason,
        corrected_cents=corrected_cents,
    )
