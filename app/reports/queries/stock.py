"""Read the stock at cost: the total, piece by piece, and how it came from one day to another."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date

from sqlalchemy import select
from sqlalchemy.orm import Session

from app.basics.dates import Month, months_between
from app.pieces.models import LeavingRow, Piece
from app.pieces.rules import STAGE_ORDER, Stage
from app.reports import rules
from app.reports.queries.chosen import here_or_moved_since, left_pieces, on_hand
from app.reports.queries.ledgers import ledgers_of_money
from app.reports.queries.months import days_known
from app.reports.queries.pieces import ledger_of_piece
from app.reports.rules import (
    LeftPiece,
    PieceLedger,
    StockMovement,
    left_list,
    stock_at_cost,
    stock_at_ends,
    stock_list,
    stock_movement,
)

MONTHS_SHOWN = 24
"""How many months the stock over time goes back."""


@dataclass(frozen=True)
class StockRow:
    """One piece that is here, where it stands, and what it stands at in cents."""

    piece_id: int
    tag: str
    title: str
    count: int
    stage: Stage
    sourced_on: date
    cents: int


@dataclass(frozen=True)
class StageSum:
    """The pieces at one stage: how many, and what they stand at in cents."""

    stage: Stage
    pieces: int
    cents: int


@dataclass(frozen=True)
class StockSheet:
    """The stock at cost with how it moved; `names` holds the shown name of each piece, by its id.

    `over_time` holds what the stock stood at when each of the last months ended, and now; `earlier` and `later` are
    the months beside the chosen one, None where the books hold none.
    """

    month: Month
    rows: tuple[StockRow, ...]
    stages: tuple[StageSum, ...]
    in_month: StockMovement
    in_year: StockMovement
    names: dict[int, str]
    over_time: tuple[tuple[Month, int], ...]
    earlier: Month | None
    later: Month | None

    @property
    def piece_count(self) -> int:
        """How many pieces are on hand."""
        return len(self.rows)

    @property
    def cents(self) -> int:
        """What all pieces on hand stand at."""
        return sum(row.cents for row in self.rows)


@dataclass(frozen=True)
class LeftRow:
    """One piece that left without a sale, and the reason that was given."""

    piece: LeftPiece
    reason: str


def stock_now(session: Session, today: date) -> int:
    """Cents that all the pieces on hand stand at, at the end of `today`."""
    return stock_at_cost(ledgers_of_money(session, on_hand()), today)


def stock_of_piece(session: Session, piece_id: int) -> int:
    """Cents one piece stands at with all its rows, the newest too; 0 once it is gone. Raises NotFound."""
    return rules.stock_of_piece(ledger_of_piece(session, piece_id), date.max)


def stock_rows(session: Session, today: date) -> list[StockRow]:
    """Each piece on hand with its stage and what it stands at, the dearest first."""
    return _rows(session, ledgers_of_money(session, on_hand()), today)


def _rows(session: Session, ledgers: Iterable[PieceLedger], today: date) -> list[StockRow]:
    here = session.execute(select(Piece.id, Piece.stage, Piece.sourced_on).where(Piece.id.in_(on_hand())))
    stages = {piece_id: (stage, sourced_on) for piece_id, stage, sourced_on in here}
    return [
        StockRow(piece.piece_id, piece.tag, piece.title, piece.count, *stages[piece.piece_id], piece.cents)
        for piece in stock_list(ledgers, today)
        if piece.piece_id in stages
    ]


def stage_sums(rows: list[StockRow]) -> list[StageSum]:
    """Count and cost of the rows by stage, in stage order; stages without a piece are left out."""
    sums = []
    for stage in STAGE_ORDER:
        at_stage = [row.cents for row in rows if row.stage is stage]
        if at_stage:
            sums.append(StageSum(stage, len(at_stage), sum(at_stage)))
    return sums


def stock_sheet(session: Session, month: Month, today: date) -> StockSheet:
    """The stock at cost now, and how it moved in a month that is not to come and in that month's year so far."""
    year_began = date(month.year, 1, 1)
    span = days_known(session)
    months = _months_shown(span[0] if span else today, today)
    ledgers = ledgers_of_money(session, here_or_moved_since(min(year_began, months[0].first), date.max))
    rows = _rows(session, ledgers, today)
    levels = stock_at_ends(ledgers, months, today)
    return StockSheet(
        month=month,
        rows=tuple(rows),
        stages=tuple(stage_sums(rows)),
        in_month=stock_movement(ledgers, month.first, min(month.last, today)),
        in_year=stock_movement(ledgers, year_began, min(date(month.year, 12, 31), today)),
        names={ledger.piece_id: ledger.title for ledger in ledgers},
        over_time=tuple(zip(months, levels, strict=True)),
        earlier=month.previous if span and Month.of(span[0]) < month else None,
        later=month.next if month < Month.of(today) else None,
    )


def _months_shown(first_day: date, today: date) -> list[Month]:
    present = Month.of(today)
    return months_between(min(Month.of(first_day), present), present)[-MONTHS_SHOWN:]


def left_rows(session: Session, today: date) -> list[LeftRow]:
    """Each piece that left without a sale and is still gone, the latest first, with what was said of it."""
    said = select(LeavingRow.id, LeavingRow.reason).where(LeavingRow.back_on.is_(None))
    reasons = {row.id: row.reason for row in session.execute(said)}
    gone = left_list(ledgers_of_money(session, left_pieces()), today)
    return [LeftRow(piece, reasons.get(piece.row.id, "")) for piece in gone]


def stock_moved(session: Session, first: date, last: date) -> StockMovement:
    """How the stock at cost came from the start of `first` to the end of `last`, a day not after today.

    What stood in stock then and is gone now left in a row dated since `first`, so the pieces that are here
    and those with a row from `first` on are all that is needed.
    """
    return stock_movement(ledgers_of_money(session, here_or_moved_since(first, date.max)), first, last)
