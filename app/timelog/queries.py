"""Read minutes worked: the running clock, a week, a piece's entries and sums over many pieces."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from itertools import groupby

from sqlalchemy import ColumnElement, func, select
from sqlalchemy.orm import Session

from app.basics.errors import NotFound
from app.pieces.models import Piece, Transfer
from app.pieces.rules import Stage, shown_name
from app.timelog.models import RunningTimer, TimeEntry
from app.timelog.rules import ACTIVITY_WORDS, DAYS_IN_WEEK, Activity


@dataclass(frozen=True)
class TimerRow:
    """The clock that is running; without a piece it runs for the shop."""

    piece_id: int | None
    piece_tag: str | None
    piece_name: str | None
    activity: Activity
    activity_words: str
    started_at: datetime


@dataclass(frozen=True)
class TimeRow:
    """One entry of work as a page shows it, struck out or counting; `piece_tag` is None for work for the shop."""

    id: int
    piece_id: int | None
    piece_tag: str | None
    piece_name: str | None
    activity: Activity
    activity_words: str
    on_date: date
    minutes: int
    started_at: datetime | None
    ended_at: datetime | None
    note: str
    made_at: datetime
    struck_at: datetime | None
    struck_reason: str | None

    @property
    def is_struck(self) -> bool:
        """Whether the entry was struck out and counts no more."""
        return self.struck_at is not None


@dataclass(frozen=True)
class DaySheet:
    """The entries of one day and the minutes of those that count."""

    on_date: date
    minutes: int
    rows: tuple[TimeRow, ...]


@dataclass(frozen=True)
class WorkRow:
    """What was last done on a piece, and when."""

    activity: Activity
    on_date: date


def running_timer(session: Session) -> TimerRow | None:
    """The clock that is running now, or None."""
    found = session.execute(select(RunningTimer, Piece).outerjoin(Piece, Piece.id == RunningTimer.piece_id)).first()
    if found is None:
        return None
    timer, piece = found
    return TimerRow(
        piece_id=timer.piece_id,
        piece_tag=piece.tag if piece else None,
        piece_name=shown_name(piece.title, piece.form) if piece else None,
        activity=timer.activity,
        activity_words=ACTIVITY_WORDS[timer.activity],
        started_at=timer.started_at,
    )


def times_of(session: Session, piece_id: int) -> list[TimeRow]:
    """Every entry on a piece, the newest day first, struck ones too."""
    return _rows(session, TimeEntry.piece_id == piece_id)


def times_between(session: Session, first: date, last: date) -> list[TimeRow]:
    """Every entry from `first` to `last`, both included, the newest day first, struck ones too."""
    return _rows(session, TimeEntry.on_date.between(first, last))


def week_of(session: Session, monday: date) -> list[DaySheet]:
    """The days of a week that hold entries, the newest first."""
    rows = times_between(session, monday, monday + timedelta(days=DAYS_IN_WEEK - 1))
    days = groupby(rows, key=lambda row: row.on_date)
    return [_day_sheet(on_date, tuple(entries)) for on_date, entries in days]


def first_day_worked(session: Session) -> date | None:
    """The day of the oldest entry, or None without any."""
    return session.scalar(select(func.min(TimeEntry.on_date)))


def time_by_id(session: Session, entry_id: int) -> TimeRow:
    """An entry by its number; raises NotFound."""
    for row in _rows(session, TimeEntry.id == entry_id):
        return row
    raise NotFound("time entry")


def last_work(session: Session, piece_ids: Iterable[int]) -> dict[int, WorkRow]:
    """What was last done on each of the pieces that were worked on, by the piece's id; one query for all."""
    newest = func.row_number().over(
        partition_by=TimeEntry.piece_id, order_by=(TimeEntry.on_date.desc(), TimeEntry.id.desc())
    )
    ranked = (
        select(TimeEntry.piece_id, TimeEntry.activity, TimeEntry.on_date, newest.label("place"))
        .where(TimeEntry.piece_id.in_(list(piece_ids)), TimeEntry.struck_at.is_(None))
        .subquery()
    )
    found = session.execute(select(ranked.c.piece_id, ranked.c.activity, ranked.c.on_date).where(ranked.c.place == 1))
    return {piece_id: WorkRow(activity, on_date) for piece_id, activity, on_date in found}


def minutes_of(session: Session, piece_ids: Iterable[int]) -> dict[int, int]:
    """Minutes worked on each piece that count, with what splitting a set moved to it or away from it.

    Pieces without any are left out; three queries for all.
    """
    ids = list(piece_ids)
    logged = session.execute(
        select(TimeEntry.piece_id, func.sum(TimeEntry.minutes))
        .where(TimeEntry.piece_id.in_(ids), TimeEntry.struck_at.is_(None))
        .group_by(TimeEntry.piece_id)
    )
    minutes = {piece_id: worked for piece_id, worked in logged if piece_id is not None}
    for piece_id, moved in moved_minutes(session, ids).items():
        minutes[piece_id] = minutes.get(piece_id, 0) + moved
    return minutes


def moved_minutes(session: Session, piece_ids: Iterable[int]) -> dict[int, int]:
    """Minutes that splitting a set moved to each piece, below zero for away from it; two queries for all."""
    ids = list(piece_ids)
    moved: dict[int, int] = {}
    for side, sign in ((Transfer.to_piece_id, 1), (Transfer.from_piece_id, -1)):
        sums = select(side, func.sum(Transfer.minutes)).where(side.in_(ids)).group_by(side)
        for piece_id, minutes in session.execute(sums):
            moved[piece_id] = moved.get(piece_id, 0) + sign * minutes
    return moved


def pieces_in_hand(session: Session, also: str | None = None) -> list[tuple[str, str]]:
    """Tag and name of each piece that is neither sold nor gone, and of the one tagged `also`; by name."""
    wanted = (Piece.stage != Stage.SOLD) & Piece.left_as.is_(None) & Piece.struck_at.is_(None)
    if also:
        wanted |= Piece.tag == also.upper()
    found = [(piece.tag, shown_name(piece.title, piece.form)) for piece in session.scalars(select(Piece).where(wanted))]
    return sorted(found, key=lambda pair: (pair[1].casefold(), pair[0]))


def counted_minutes(rows: Iterable[TimeRow]) -> int:
    """Minutes of the entries that count: those not struck out."""
    return sum(row.minutes for row in rows if not row.is_struck)


def _day_sheet(on_date: date, rows: tuple[TimeRow, ...]) -> DaySheet:
    return DaySheet(on_date, counted_minutes(rows), rows)


def _rows(session: Session, *wanted: ColumnElement[bool]) -> list[TimeRow]:
    entries = session.execute(
        select(TimeEntry, Piece)
        .outerjoin(Piece, Piece.id == TimeEntry.piece_id)
        .where(*wanted)
        .order_by(TimeEntry.on_date.desc(), TimeEntry.id.desc())
    )
    return [_row(entry, piece) for entry, piece in entries]


def _row(entry: TimeEntry, piece: Piece | None) -> TimeRow:
    return TimeRow(
        id=entry.id,
        piece_id=entry.piece_id,
        piece_tag=piece.tag if piece else None,
        piece_name=shown_name(piece.title, piece.form) if piece else None,
        activity=entry.activity,
        activity_words=ACTIVITY_WORDS[entry.activity],
        on_date=entry.on_date,
        minutes=entry.minutes,
        started_at=entry.started_at,
        ended_at=entry.ended_at,
        note=entry.note,
        made_at=entry.made_at,
        struck_at=entry.struck_at,
        struck_reason=entry.struck_reason,
    )
