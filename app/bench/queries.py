"""Read the bench: every piece in hand with its age, its last work and the owner's next note."""

from collections.abc import Callable
from dataclasses import dataclass
from datetime import date
from typing import Any

from sqlalchemy.orm import Session

from app.basics.words import fold
from app.bench.rules import BENCH_STAGES, BenchOrder
from app.photos.queries import PhotoRow, front_photos
from app.pieces.models import Piece
from app.pieces.queries import PieceRow, rows_of, rows_query
from app.pieces.rules import Stage
from app.timelog.queries import WorkRow, last_work, minutes_of


@dataclass(frozen=True)
class BenchCard:
    """One piece in hand: whole days here and at its stage, minutes so far, its last work and its front photo."""

    piece: PieceRow
    photo: PhotoRow | None
    days_here: int
    days_at_stage: int
    minutes: int
    last_work: WorkRow | None


@dataclass(frozen=True)
class StageCard:
    """All pieces in hand at one stage."""

    stage: Stage
    cards: tuple[BenchCard, ...]

    @property
    def number(self) -> int:
        """How many there are."""
        return len(self.cards)


def bench_cards(session: Session, today: date, order: BenchOrder = BenchOrder.STAGE_LONGEST) -> list[BenchCard]:
    """Every piece sourced, prepped or finished that is here, stage by stage; the same few queries for any number."""
    here = (Piece.stage.in_(BENCH_STAGES), Piece.left_as.is_(None), Piece.struck_at.is_(None))
    found = rows_of(session, rows_query().where(*here))
    ids = [piece.id for piece in found]
    photos, minutes, works = front_photos(session, ids), minutes_of(session, ids), last_work(session, ids)
    cards = [
        BenchCard(
            piece=piece,
            photo=photos.get(piece.id),
            days_here=(today - piece.sourced_on).days,
            days_at_stage=(today - piece.stage_since).days,
            minutes=minutes.get(piece.id, 0),
            last_work=works.get(piece.id),
        )
        for piece in found
    ]
    return sorted(cards, key=lambda card: (BENCH_STAGES.index(card.piece.stage), _KEYS[order](card), card.piece.id))


def by_stage(cards: list[BenchCard]) -> list[StageCard]:
    """The cards under their stages, a stage without any left away."""
    groups = [StageCard(stage, tuple(card for card in cards if card.piece.stage is stage)) for stage in BENCH_STAGES]
    return [group for group in groups if group.cards]


def _worked_on(card: BenchCard) -> date:
    return card.last_work.on_date if card.last_work else date.min


_KEYS: dict[BenchOrder, Callable[[BenchCard], Any]] = {
    BenchOrder.STAGE_LONGEST: lambda card: -card.days_at_stage,
    BenchOrder.OLDEST: lambda card: -card.days_here,
    BenchOrder.LAST_WORKED: lambda card: -_worked_on(card).toordinal(),
    BenchOrder.LEAST_WORKED: lambda card: _worked_on(card).toordinal(),
    BenchOrder.NAME: lambda card: fold(card.piece.name),
}
