"""Read the pile as its page shows it: groups by time, and for each the pieces it most likely belongs to."""

from collections.abc import Collection, Mapping
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from typing import Any

from sqlalchemy import select, union_all
from sqlalchemy.orm import Session

from app.basics.dates import local_day
from app.photos.queries import PhotoRow, pile
from app.photos.rules import group_by_time
from app.pieces.models import Piece, Step
from app.pieces.queries import pieces_chosen
from app.pieces.rules import PieceChoice, PieceSort, Whereabouts
from app.timelog.models import TimeEntry


@dataclass(frozen=True)
class PieceOption:
    """A piece that photos may be put on."""

    tag: str
    words: str


@dataclass(frozen=True)
class PhotoGroup:
    """Photos taken one soon after the other; `likely` are the pieces found or worked on that day."""

    photos: tuple[PhotoRow, ...]
    likely: tuple[PieceOption, ...] = ()
    others: tuple[PieceOption, ...] = ()
    is_one_day: bool = True

    @property
    def first(self) -> datetime:
        """When its first photo was taken."""
        return self.photos[0].instant

    @property
    def last(self) -> datetime:
        """When its last photo was taken."""
        return self.photos[-1].instant


def pile_groups(session: Session, gap: timedelta) -> list[PhotoGroup]:
    """The pile in groups, the newest group first; one query."""
    return [PhotoGroup(photos) for photos in reversed(group_by_time(pile(session), gap))]


def with_pieces(session: Session, groups: Collection[PhotoGroup], *, zone: str) -> list[PhotoGroup]:
    """The groups with the pieces on hand, the newest first, those found or worked on that day apart; two queries."""
    on_hand = pieces_chosen(session, PieceChoice(whereabouts=Whereabouts.ON_HAND, sort=PieceSort.NEWEST))
    options = {piece.id: PieceOption(piece.tag, f"{piece.name}, {piece.tag}") for piece in on_hand}
    days: dict[PhotoGroup, set[date]] = {group: _days_of(group, zone) for group in groups}
    busy = _pieces_by_day(session, set().union(*days.values()))
    found = []
    for group in groups:
        that_day = {piece_id for day in days[group] for piece_id in busy.get(day, ())}
        likely = tuple(option for piece_id, option in options.items() if piece_id in that_day)
        others = tuple(option for piece_id, option in options.items() if piece_id not in that_day)
        found.append(PhotoGroup(group.photos, likely, others, is_one_day=len(days[group]) == 1))
    return found


def _days_of(group: PhotoGroup, zone: str) -> set[date]:
    return {local_day(photo.instant, zone) for photo in group.photos}


def _pieces_by_day(session: Session, days: Collection[date]) -> Mapping[date, set[int]]:
    """The pieces found, moved on or worked on each of the days."""
    moves: Any = union_all(
        select(Piece.id, Piece.sourced_on.label("on")).where(Piece.sourced_on.in_(days)),
        select(Step.piece_id, Step.on_date).where(Step.on_date.in_(days), Step.struck_at.is_(None)),
        select(TimeEntry.piece_id, TimeEntry.on_date).where(
            TimeEntry.on_date.in_(days), TimeEntry.struck_at.is_(None), TimeEntry.piece_id.is_not(None)
        ),
    )
    found: dict[date, set[int]] = {}
    for piece_id, day in session.execute(moves):
        found.setdefault(day, set()).add(piece_id)
    return found
