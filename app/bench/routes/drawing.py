"""The strip chart of a plan: its geometry with the words of a page."""

from collections import defaultdict
from datetime import datetime, timedelta
from zoneinfo import ZoneInfo

from babel.dates import format_date

from app.basics.quantities import format_minutes
from app.bench.queries import DryingPart, PlanRow, PlanSheet
from app.bench.rules.strip import Strip, StripPiece, StripSpell, StripWork, strip
from app.recipes.rules import TASK_WORDS
from app.web.filters import clock_time
from app.web.frame import frame

DRAWN_SESSIONS = 8
MINUTE = timedelta(minutes=1)


def strip_of(sheet: PlanSheet) -> Strip | None:
    """The chart of a plan's first sessions; None where nothing is begun in any."""
    spells = _spells(sheet)
    if not spells:
        return None
    works: dict[str, list[StripWork]] = defaultdict(list)
    for row in sheet.rows:
        if _minute(sheet, row.start) < spells[-1].end:
            works[row.piece.tag].append(_work(sheet, row))
    for part in sheet.drying:
        if part.finish.piece.tag in works:
            works[part.finish.piece.tag].append(_drying(sheet, part))
    return strip(spells, [StripPiece(tag, held) for tag, held in works.items()])


def _spells(sheet: PlanSheet) -> list[StripSpell]:
    """The first sessions, and before them the time that is worked on already."""
    spans = [(max(session.start, sheet.zero), session.end) for session in sheet.sessions[:DRAWN_SESSIONS]]
    if sheet.going_on:
        spans.insert(0, (sheet.zero, max(row.end for row in sheet.going_on)))
    joined: list[tuple[datetime, datetime]] = []
    for start, end in spans:
        if joined and start <= joined[-1][1]:
            joined[-1] = (joined[-1][0], max(end, joined[-1][1]))
        elif start < end:
            joined.append((start, end))
    return [_spell(sheet, start, end) for start, end in joined]


def _spell(sheet: PlanSheet, start: datetime, end: datetime) -> StripSpell:
    local = start.astimezone(ZoneInfo(frame().zone))
    label = "Now" if start == sheet.zero else format_date(local.date(), "EEE d MMM", locale=frame().locale)
    return StripSpell(_minute(sheet, start), _minute(sheet, end), local.hour * 60 + local.minute, label)


def _work(sheet: PlanSheet, row: PlanRow) -> StripWork:
    told = f"{row.piece.name} {row.piece.tag}: {row.step.words}, {clock_time(row.start)}, {format_minutes(row.minutes)}"
    if row.dries:
        told += f", dry {clock_time(row.dry_at)}"
    return StripWork(
        start=max(_minute(sheet, row.start), 0),
        end=_minute(sheet, row.end),
        dry_at=_minute(sheet, row.dry_at),
        word=TASK_WORDS[row.step.facts.task],
        told=told,
        is_fixed=row.is_fixed,
    )


def _drying(sheet: PlanSheet, part: DryingPart) -> StripWork:
    told = (
        f"{part.finish.piece.name} {part.finish.piece.tag}: {part.step.words} dries until {clock_time(part.ready_at)}"
    )
    return StripWork(0, 0, _minute(sheet, part.ready_at), "", told)


def _minute(sheet: PlanSheet, instant: datetime) -> int:
    return (instant - sheet.zero) // MINUTE
