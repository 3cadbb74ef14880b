"""The times at which coats are dry, written for a calendar (iCalendar, RFC 5545)."""

from collections.abc import Iterable
from datetime import datetime, timedelta

from icalendar import Alarm, Calendar, Event, Timezone, TimezoneStandard

from app.bench.queries import DryingPart

NAME = "Ready at the bench"
READ_EVERY = timedelta(hours=1)
MAKER = "-//Tackcloth//Bench//EN"
DOMAIN = "tackcloth"
"""Stands behind the number of a step, so that a calendar that is fed again moves the event and adds none."""
LABEL_RULES = "The time holds as a rule. The label of the product rules: feel the coat before you go over it."


def write_calendar(parts: Iterable[DryingPart], *, now: datetime) -> bytes:
    """One event for each part that dries, at the moment it is ready, with an alarm; times are in UTC.

    A calendar that reads it again and again is told its name and how often to come (RFC 7986).
    """
    calendar = Calendar()
    calendar.add("prodid", MAKER)
    calendar.add("version", "2.0")
    calendar.add("name", NAME)
    calendar.add("refresh-interval", READ_EVERY, parameters={"VALUE": "DURATION"})
    for part in parts:
        calendar.add_component(_event(part, now))
    if not calendar.subcomponents:
        calendar.add_component(_empty())
    return bytes(calendar.to_ical())


def _empty() -> Timezone:
    """What stands in a calendar without events: the format asks for one component at least (RFC 5545, 3.6)."""
    zone, standard = Timezone(), TimezoneStandard()
    zone.add("tzid", "Etc/UTC")
    standard.add("dtstart", datetime(1970, 1, 1))  # noqa: DTZ001 - local time, as RFC 5545, 3.6.5 asks here
    standard.add("tzoffsetfrom", timedelta(0))
    standard.add("tzoffsetto", timedelta(0))
    zone.add_component(standard)
    return zone


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
