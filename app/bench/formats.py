"""The times at which coats are dry, written for a calendar (iCalendar, RFC 5545)."""

from collections.abc import Iterable
from datetime import datetime, timedelta

from icalendar import Alarm, Calendar, Event

from app.bench.queries import DryingPart

MAKER = "-//Tackcloth//Bench//EN"
DOMAIN = "tackcloth"
"""Stands behind the number of a step, so that a calendar that is fed again moves the event and adds none."""
LABEL_RULES = "The time holds as a rule. The label of the product rules: feel the coat before you go over it."


def write_calendar(parts: Iterable[DryingPart], *, now: datetime) -> bytes:
    """One event for each part that dries, at the moment it is ready, with an alarm; times are in UTC."""
    calendar = Calendar()
    calendar.add("prodid", MAKER)
    calendar.add("version", "2.0")
    for part in parts:
        calendar.add_component(_event(part, now))
    return bytes(calendar.to_ical())


def _event(part: DryingPart, now: datetime) -> Event:
    piece, step = part.finish.piece, part.step
    summary = f"{part.words}, {piece.name} {piece.tag}"
    event = Event()
    event.add("uid", f"step-{step.id}@{DOMAIN}")
    event.add("dtstamp", now)
    event.add("sequence", step.version)
    event.add("dtstart", part.ready_at)
    event.add("summary", summary)
    event.add("description", _description(part))
    event.add("transp", "TRANSPARENT")
    event.add_component(_alarm(summary))
    return event


def _description(part: DryingPart) -> str:
    then = f"Then: {part.then.words}.\n" if part.then else ""
    return f"{part.step.words} dries on it.\n{then}{LABEL_RULES}"


def _alarm(summary: str) -> Alarm:
    alarm = Alarm()
    alarm.add("action", "DISPLAY")
    alarm.add("description", summary)
    alarm.add("trigger", timedelta(0))
    return alarm
