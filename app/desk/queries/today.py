"""Read what Today shows: the month so far, what waits, what sits too long, what was logged last."""

from dataclasses import dataclass
from datetime import date, datetime

from sqlalchemy import exists, func, select
from sqlalchemy.orm import Session, aliased

from app.basics.dates import Month
from app.costs.models import CostLine
from app.costs.rules import COST_WORDS
from app.desk.rules import LATEST_SHOWN, NOTES_SHOWN, latest_first, step_words
from app.floor.models import AskingPrice, Hold, Listing
from app.photos.queries import count_pile
from app.pieces.models import Piece, Step
from app.pieces.queries import PieceRow, rows_of, rows_query
from app.pieces.rules import HAND_STAGES, Form, shown_name
from app.pocket.queries import count_captures
from app.pocket.rules import CaptureState
from app.reports.queries import sitting
from app.reports.queries.chosen import with_rows_between
from app.reports.queries.ledgers import ledgers_of
from app.reports.queries.shop_rows import shop_cost_rows
from app.reports.rules import MonthProfit, SittingPiece, month_profit, return_on_time
from app.reports.rules.hours import HoursRate
from app.shelf.queries import MaterialRow, low_materials
from app.timelog.models import TimeEntry
from app.timelog.queries import TimerRow, running_timer
from app.timelog.rules import ACTIVITY_WORDS


@dataclass(frozen=True)
class MonthCard:
    """The month so far: its profit, and what an hour earned on what sold in it."""

    month: Month
    profit: MonthProfit
    rate: HoursRate


@dataclass(frozen=True)
class HeldCard:
    """A piece held for somebody until a day that is today or over."""

    tag: str
    name: str
    held_for: str
    until: date


@dataclass(frozen=True)
class LatestRow:
    """One thing logged lately: on which piece (None: the shop), what, and its cents or minutes."""

    at: datetime
    tag: str | None
    name: str | None
    words: str
    cents: int | None = None
    minutes: int | None = None


@dataclass(frozen=True)
class TodaySheet:
    """All that Today shows; a shop without any piece has nothing to show but where to begin."""

    pieces: int
    timer: TimerRow | None
    month: MonthCard
    sitting: tuple[SittingPiece, ...]
    held: tuple[HeldCard, ...]
    notes: tuple[PieceRow, ...]
    notes_left_out: int
    low: tuple[MaterialRow, ...]
    latest: tuple[LatestRow, ...]
    captures_held: int = 0
    photos_piled: int = 0

    @property
    def sitting_count(self) -> int:
        """How many pieces sit too long."""
        return len(self.sitting)

    @property
    def is_empty(self) -> bool:
        """Whether nothing was ever logged."""
        return self.pieces == 0 and not self.latest and not (self.captures_held or self.photos_piled)


def today_sheet(session: Session, today: date, *, too_long_days: int) -> TodaySheet:
    """What Today shows on a day; the same number of queries for any number of pieces."""
    notes = _noted(session)
    return TodaySheet(
        pieces=session.scalar(select(func.count(Piece.id))) or 0,
        timer=running_timer(session),
        month=_month_so_far(session, Month.of(today)),
        sitting=sitting(session, today, too_long_days),
        held=_held_until(session, today),
        notes=tuple(notes[:NOTES_SHOWN]),
        notes_left_out=max(len(notes) - NOTES_SHOWN, 0),
        low=tuple(low_materials(session)),
        latest=_latest(session),
        captures_held=count_captures(session, CaptureState.HELD),
        photos_piled=count_pile(session),
    )


def _month_so_far(session: Session, month: Month) -> MonthCard:
    ledgers = ledgers_of(session, with_rows_between(month.first, month.last))
    profit = month_profit(ledgers, shop_cost_rows(session, month.first, month.last), month)
    rates = {each.month: each.rate for each in return_on_time(ledgers).months}
    return MonthCard(month, profit, rates.get(month, HoursRate(0, 0, 0, 0)))


def _noted(session: Session) -> list[PieceRow]:
    """The pieces in hand whose owner said what comes next, the one longest at its stage first."""
    query = rows_query().where(Piece.stage.in_(HAND_STAGES), Piece.left_as.is_(None), Piece.next_note != "")
    query = query.where(Piece.struck_at.is_(None))
    return rows_of(session, query.order_by(Piece.stage_since, Piece.id))


def _held_until(session: Session, today: date) -> tuple[HeldCard, ...]:
    query = (
        select(Piece.tag, Piece.title, Piece.form, Hold.held_for, Hold.until)
        .join(Piece, Piece.id == Hold.piece_id)
        .where(Hold.lifted_at.is_(None), Hold.until <= today)
        .order_by(Hold.until, Hold.id)
    )
    return tuple(
        HeldCard(tag, shown_name(title, form), held_for, until)
        for tag, title, form, held_for, until in session.execute(query)
    )


def _latest(session: Session) -> tuple[LatestRow, ...]:
    # Rows are numbered as they are written down, so the newest are found without sorting all there ever were.
    rows = [*_latest_steps(session), *_latest_costs(session), *_latest_times(session)]
    rows += [*_latest_holds(session), *_latest_prices(session)]
    return tuple(latest_first(rows, LATEST_SHOWN))


def _latest_steps(session: Session) -> list[LatestRow]:
    query = (
        select(Step, Piece.tag, Piece.title, Piece.form)
        .join(Piece, Piece.id == Step.piece_id)
        .where(Step.struck_at.is_(None), Piece.struck_at.is_(None))
        .order_by(Step.id.desc())
        .limit(LATEST_SHOWN)
    )
    return [
        LatestRow(step.made_at, tag, shown_name(title, form), step_words(step.kind, step.to_stage))
        for step, tag, title, form in session.execute(query)
    ]


def _latest_costs(session: Session) -> list[LatestRow]:
    query = (
        select(CostLine, Piece.tag, Piece.title, Piece.form)
        .outerjoin(Piece, Piece.id == CostLine.piece_id)
        .where(CostLine.struck_at.is_(None))
        .order_by(CostLine.id.desc())
        .limit(LATEST_SHOWN)
    )
    return [
        LatestRow(line.made_at, tag, _name(title, form), COST_WORDS[line.kind], cents=line.amount_cents)
        for line, tag, title, form in session.execute(query)
    ]


def _latest_times(session: Session) -> list[LatestRow]:
    query = (
        select(TimeEntry, Piece.tag, Piece.title, Piece.form)
        .outerjoin(Piece, Piece.id == TimeEntry.piece_id)
        .where(TimeEntry.struck_at.is_(None))
        .order_by(TimeEntry.id.desc())
        .limit(LATEST_SHOWN)
    )
    return [
        LatestRow(entry.made_at, tag, _name(title, form), ACTIVITY_WORDS[entry.activity], minutes=entry.minutes)
        for entry, tag, title, form in session.execute(query)
    ]


def _latest_holds(session: Session) -> list[LatestRow]:
    query = (
        select(Hold.made_at, Hold.held_for, Piece.tag, Piece.title, Piece.form)
        .join(Piece, Piece.id == Hold.piece_id)
        .order_by(Hold.id.desc())
        .limit(LATEST_SHOWN)
    )
    return [
        LatestRow(made_at, tag, shown_name(title, form), f"Held for {held_for}")
        for made_at, held_for, tag, title, form in session.execute(query)
    ]


def _latest_prices(session: Session) -> list[LatestRow]:
    """The prices changed last; the first price of a listing is part of its listing."""
    before = aliased(AskingPrice)
    is_change = exists().where(before.listing_id == AskingPrice.listing_id, before.id < AskingPrice.id)
    query = (
        select(AskingPrice.made_at, AskingPrice.cents, Piece.tag, Piece.title, Piece.form)
        .join(Listing, Listing.id == AskingPrice.listing_id)
        .join(Piece, Piece.id == Listing.piece_id)
        .where(is_change)
        .order_by(AskingPrice.id.desc())
        .limit(LATEST_SHOWN)
    )
    return [
        LatestRow(made_at, tag, shown_name(title, form), "Price changed", cents=cents)
        for made_at, cents, tag, title, form in session.execute(query)
    ]


def _name(title: str | None, form: Form | None) -> str | None:
    return None if title is None or form is None else shown_name(title, form)
