"""Read the bench: every piece in hand with its age, its last work, what is done to it next and the owner's note."""

from collections import defaultdict
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from datetime import date, datetime
from typing import Any, TypeVar

from sqlalchemy import select
from sqlalchemy.orm import Session

from app.basics.words import fold
from app.bench.queries.steps import BenchStep, DryingPart, StepsInHand, steps_in_hand
from app.bench.rules import BENCH_STAGES, BenchOrder
from app.photos.queries import PhotoRow, front_photos
from app.pieces.models import Piece
from app.pieces.queries import PieceRow, rows_of, rows_query
from app.pieces.rules import Stage
from app.recipes.models import Finish
from app.recipes.queries import FinishSheet, finishes_in_hand
from app.recipes.rules import FinishState
from app.timelog.queries import WorkRow, last_work, minutes_of


@dataclass(frozen=True)
class BenchCard:
    """One piece in hand: whole days here and at its stage, minutes so far, its last work and its front photo.

    Of its finishes: the steps that are begun, those that may begin now, the parts that dry, and one under way that has
    no step left to tell. `has_finish` says that one is under way or done.
    """

    piece: PieceRow
    photo: PhotoRow | None
    days_here: int
    days_at_stage: int
    minutes: int
    last_work: WorkRow | None
    begun: tuple[BenchStep, ...] = ()
    ready: tuple[BenchStep, ...] = ()
    drying: tuple[DryingPart, ...] = ()
    unwritten: FinishSheet | None = None
    has_finish: bool = False

    @property
    def is_under_way(self) -> bool:
        """Whether a step of it is begun, may begin, or waits for a coat to dry."""
        return bool(self.begun or self.ready or any(part.then for part in self.drying))

    @property
    def next_step(self) -> str:
        """What is done to it next, by its finish: "Paint, coat 1 of 2: Body"; nothing where none says."""
        steps = [line.step for line in (*self.begun, *self.ready)] or [part.then for part in self.drying if part.then]
        return "; ".join(f"{step.words}: {step.facts.part_words}" for step in steps)

    @property
    def ready_at(self) -> datetime | None:
        """From when something may be done to it; None where nothing has to dry first."""
        waits = [part.ready_at for part in self.drying if part.then]
        return None if self.begun or self.ready else min(waits, default=None)


@dataclass(frozen=True)
class BenchSheet:
    """The bench at a moment: what is begun, the pieces that can be worked on, the parts that dry, all others by stage.

    `cards` are all pieces in hand, each once.
    """

    cards: tuple[BenchCard, ...]
    begun: tuple[BenchCard, ...]
    ready: tuple[BenchCard, ...]
    drying: tuple[DryingPart, ...]
    groups: tuple["StageCard", ...]


@dataclass(frozen=True)
class StageCard:
    """All pieces in hand at one stage."""

    stage: Stage
    cards: tuple[BenchCard, ...]

    @property
    def number(self) -> int:
        """How many there are."""
        return len(self.cards)


def bench_sheet(
    session: Session, now: datetime, today: date, order: BenchOrder = BenchOrder.STAGE_LONGEST
) -> BenchSheet:
    """Every piece in hand: sourced, prepped or finished, or on the floor with a finish under way.

    The same few queries for any number of pieces.
    """
    finishes = finishes_in_hand(session, now)
    steps = steps_in_hand(session, finishes, now)
    cards = _cards(session, today, finishes, steps)
    key = _KEYS[order]
    cards.sort(key=lambda card: (_place_of(card.piece.stage), key(card), card.piece.id))
    return BenchSheet(
        cards=tuple(cards),
        begun=tuple(card for card in cards if card.begun),
        ready=tuple(sorted((card for card in cards if card.ready), key=_closes)),
        drying=steps.drying,
        groups=tuple(by_stage([card for card in cards if not card.is_under_way])),
    )


def _cards(session: Session, today: date, finishes: Sequence[FinishSheet], steps: StepsInHand) -> list[BenchCard]:
    here = (Piece.stage.in_(BENCH_STAGES), Piece.left_as.is_(None), Piece.struck_at.is_(None))
    pieces = {piece.id: piece for piece in rows_of(session, rows_query().where(*here))}
    under_way = [finish for finish in finishes if finish.state is FinishState.UNDER_WAY]
    pieces |= {finish.piece.id: finish.piece for finish in under_way}
    photos, minutes = front_photos(session, list(pieces)), minutes_of(session, pieces)
    works, with_finish = last_work(session, pieces), _with_finish(session)
    begun, ready = _by_piece(steps.begun), _by_piece(steps.ready)
    drying, unwritten = _by_piece(steps.drying), {each.piece.id: each for each in steps.unwritten}
    return [
        BenchCard(
            piece=piece,
            photo=photos.get(piece.id),
            days_here=(today - piece.sourced_on).days,
            days_at_stage=(today - piece.stage_since).days,
            minutes=minutes.get(piece.id, 0),
            last_work=works.get(piece.id),
            begun=begun.get(piece.id, ()),
            ready=ready.get(piece.id, ()),
            drying=drying.get(piece.id, ()),
            unwritten=unwritten.get(piece.id),
            has_finish=piece.id in with_finish,
        )
        for piece in pieces.values()
    ]


Line = TypeVar("Line", BenchStep, DryingPart)


def _by_piece(lines: Iterable[Line]) -> dict[int, tuple[Line, ...]]:
    found: dict[int, list[Line]] = defaultdict(list)
    for line in lines:
        found[line.finish.piece.id].append(line)
    return {piece_id: tuple(held) for piece_id, held in found.items()}


def _with_finish(session: Session) -> frozenset[int]:
    query = select(Finish.piece_id).where(Finish.state != FinishState.STOPPED).distinct()
    return frozenset(session.scalars(query))


def _place_of(stage: Stage) -> int:
    return BENCH_STAGES.index(stage) if stage in BENCH_STAGES else len(BENCH_STAGES)


def _closes(card: BenchCard) -> tuple[bool, float]:
    """Coats whose window closes come first, the nearest before all; the others stay in their order."""
    closing = [line.closes_at.timestamp() for line in card.ready if line.closes_at]
    return (not closing, min(closing, default=0))


def by_stage(cards: Sequence[BenchCard]) -> list[StageCard]:
    """The cards under their stages, a stage without any left away."""
    stages = (*BENCH_STAGES, Stage.LISTED)
    groups = [StageCard(stage, tuple(card for card in cards if card.piece.stage is stage)) for stage in stages]
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
