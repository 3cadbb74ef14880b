"""Read the stock at cost: the total, piece by piece, and how it came from one day to another."""

from dataclasses import dataclass
from datetime import date

from sqlalchemy import select
from sqlalchemy.orm import Session

from app.pieces.models import Piece
from app.pieces.rules import STAGE_ORDER, Stage
from app.reports import rules
from app.reports.queries.chosen import here_or_moved_since, on_hand
from app.reports.queries.ledgers import ledgers_of
from app.reports.queries.pieces import ledger_of_piece
from app.reports.rules import StockMovement, stock_at_cost, stock_list, stock_movement


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


def stock_now(session: Session, today: date) -> int:
    """Cents that all the pieces on hand stand at, at the end of `today`."""
    return stock_at_cost(ledgers_of(session, on_hand()), today)


def stock_of_piece(session: Session, piece_id: int) -> int:
    """Cents one piece stands at with all its rows, the newest too; 0 once it is gone. Raises NotFound."""
    return rules.stock_of_piece(ledger_of_piece(session, piece_id), date.max)


def stock_rows(session: Session, today: date) -> list[StockRow]:
    """Each piece on hand with its stage and what it stands at, the dearest first."""
    stages = {
        piece_id: (stage, sourced_on)
        for piece_id, stage, sourced_on in session.execute(
            select(Piece.id, Piece.stage, Piece.sourced_on).where(Piece.id.in_(on_hand()))
        )
    }
    listed = stock_list(ledgers_of(session, on_hand()), today)
    return [
        StockRow(piece.piece_id, piece.tag, piece.title, piece.count, *stages[piece.piece_id], piece.cents)
        for piece in listed
    ]


def stage_sums(rows: list[StockRow]) -> list[StageSum]:
    """Count and cost of the rows by stage, in stage order; stages without a piece are left out."""
    sums = []
    for stage in STAGE_ORDER:
        at_stage = [row.cents for row in rows if row.stage is stage]
        if at_stage:
            sums.append(StageSum(stage, len(at_stage), sum(at_stage)))
    return sums


def stock_moved(session: Session, first: date, last: date) -> StockMovement:
    """How the stock at cost came from the start of `first` to the end of `last`, a day not after today.

    What stood in stock then and is gone now left in a row dated since `first`, so the pieces that are here
    and those with a row from `first` on are all that is needed.
    """
    return stock_movement(ledgers_of(session, here_or_moved_since(first, date.max)), first, last)
