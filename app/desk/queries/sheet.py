"""Read a piece's sheet: the piece, where it stands, its money and hours, and its history."""

from dataclasses import dataclass
from datetime import date, datetime

from sqlalchemy.orm import Session

from app.basics.dates import local_day
from app.desk.queries.history import HistoryLine, history_of
from app.desk.rules import RailStop, rail_stops
from app.floor.queries import ListingSheet, open_listing
from app.photos.queries import PhotoRow, photos_of
from app.photos.rules import before_and_after
from app.pieces.queries import (
    PieceRow,
    PurchaseRow,
    TransferRow,
    piece_by_tag,
    purchases_of,
    steps_of,
    transfers_of,
)
from app.pieces.rules import Caution, Stage, StepRow, back_by_hand, next_by_hand, undoable_step
from app.recipes.queries import FinishSheet, FinishStepRow, finishes_of, surface_of
from app.recipes.rules import LeadTest, StepState, cautions_for_buying
from app.reports.queries import profit_of_piece
from app.reports.rules import PieceProfit
from app.sales.queries import DepositRow, SaleRow, deposits_of, sales_of
from app.timelog.queries import TimerRow, WorkRow, last_work, running_timer


@dataclass(frozen=True)
class PieceSheet:
    """All a piece's page shows; `profit` is in cents and knows whether the piece is still on hand.

    A piece struck out has no profit. `slip` is the step made today that may be undone.
    """

    piece: PieceRow
    stops: tuple[RailStop, ...]
    photos: tuple[PhotoRow, ...]
    purchase: PurchaseRow | None
    listing: ListingSheet | None
    sale: SaleRow | None
    deposits: tuple[DepositRow, ...]
    profit: PieceProfit | None
    timer: TimerRow | None
    last_work: WorkRow | None
    history: tuple[HistoryLine, ...]
    moved: tuple[TransferRow, ...]
    finishes: tuple[FinishSheet, ...]
    lead_test: LeadTest
    slip: StepRow | None
    days_here: int
    days_at_stage: int

    @property
    def before_and_after(self) -> tuple[PhotoRow, PhotoRow] | None:
        """The photos that tell what the work made of it; None while one of them is missing."""
        return before_and_after(self.photos)

    @property
    def next_stage(self) -> Stage | None:
        """The stage the piece may be marked as next by hand; None when it goes on by listing or selling."""
        return next(iter(next_by_hand(self.piece.stage)), None)

    @property
    def back_stages(self) -> tuple[Stage, ...]:
        """The stages it may step back to by hand."""
        return back_by_hand(self.piece.stage)

    def next_work(self, now: datetime) -> tuple[FinishStepRow, datetime | None] | None:
        """The step to do next on it, and until when it must wait to dry; None where no finish has one left.

        A step that is begun goes before one that is dry, and that before the one that is dry first.
        """
        steps = [(each, step) for each in reversed(self.finishes) for step in each.steps]
        for _, step in steps:
            if step.state is StepState.STARTED:
                return step, None
        ready = [(each.dry_from(step) or now, step) for each, step in steps if each.is_next(step)]
        if not ready or not self.piece.is_on_hand:
            return None
        dry_at, step = min(ready, key=lambda each: max(each[0], now))
        return step, dry_at if dry_at > now else None

    @property
    def cautions(self) -> tuple[Caution, ...]:
        """What to look out for before work on it begins; nothing once it is finished or gone."""
        piece = self.piece
        if not _is_before_finishing(piece):
            return ()
        words = (piece.title, piece.materials, piece.notes)
        return cautions_for_buying(piece.form, piece.age, *words, lead_test=self.lead_test)

    @property
    def is_clock_on_it(self) -> bool:
        """Whether the running clock counts for this piece."""
        return self.timer is not None and self.timer.piece_id == self.piece.id

    @property
    def photo_count(self) -> int:
        """How many photos it has."""
        return len(self.photos)

    @property
    def is_set(self) -> bool:
        """Whether it is several things sold together."""
        return self.piece.count > 1


def piece_sheet(session: Session, tag: str, *, today: date, zone: str) -> PieceSheet:
    """The sheet of the piece with that tag; NotFound when there is none."""
    piece = piece_by_tag(session, tag)
    steps, sales = steps_of(session, piece.id), sales_of(session, piece.id)
    purchases, moved = purchases_of(session, piece.id), transfers_of(session, piece.id)
    finishes = tuple(finishes_of(session, piece))
    return PieceSheet(
        piece=piece,
        stops=rail_stops(piece.stage, piece.left_as, steps),
        photos=tuple(photos_of(session, piece.id)),
        purchase=next((purchase for purchase in purchases if not purchase.is_struck), None),
        listing=open_listing(session, piece.id),
        sale=next((sale for sale in reversed(sales) if sale.stands), None),
        deposits=tuple(deposits_of(session, piece.id)),
        profit=None if piece.is_struck else profit_of_piece(session, piece.id),
        timer=running_timer(session),
        last_work=last_work(session, [piece.id]).get(piece.id),
        history=tuple(
            history_of(session, piece.id, steps, sales, zone, purchases=purchases, moved=moved, finishes=finishes)
        ),
        moved=tuple(moved),
        finishes=finishes,
        lead_test=surface_of(session, piece.id).surface.lead_test if _is_before_finishing(piece) else LeadTest.NONE,
        slip=None if piece.is_struck or piece.left_as else _slip(steps, today, zone),
        days_here=(today - piece.sourced_on).days,
        days_at_stage=(today - piece.stage_since).days,
    )


def _is_before_finishing(piece: PieceRow) -> bool:
    return piece.is_on_hand and piece.stage in {Stage.SOURCED, Stage.PREPPED}


def _slip(steps: list[StepRow], today: date, zone: str) -> StepRow | None:
    step = undoable_step(steps)
    return step if step is not None and local_day(step.made_at, zone) == today else None
