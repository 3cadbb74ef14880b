"""Spells of a day: read as people type them, "19:00-22:00" or "7pm to 10pm", and shown again."""

import re
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

from app.basics.errors import RuleError

HOUR: Final = 60
DAY: Final = 24 * HOUR
_HALF_DAY: Final = 12
_SHOWN: Final = 40

_TIME = re.compile(r"([0-9]{1,2})(?:[:.]([0-5][0-9]))? ?(am|pm|a\.m\.|p\.m\.)?")
_BETWEEN = re.compile(r" ?(?:-|\bto\b|\btill\b|\buntil\b) ?")
_NEXT = re.compile(r" ?(?:[,;]|\band\b) ?")
_DASHES: Final = str.maketrans(dict.fromkeys("\u2010\u2011\u2012\u2013\u2014\u2212", "-"))
_NAMED: Final = {"noon": "12:00", "midnight": "24:00"}
_ASK: Final = "Type it like 19:00-21:30, or 7pm to 9:30pm; a comma between two."


@dataclass(frozen=True, order=True)
class Spell:
    """From a minute of the day until another, both counted from midnight.

    An end that does not come after the begin is one of the day after.
    """

    start: int
    end: int

    @property
    def passes_midnight(self) -> bool:
        """Whether it ends on the day after."""
        return self.end <= self.start

    @property
    def minutes(self) -> int:
        """How long it is."""
        return self.end - self.start + (DAY if self.passes_midnight else 0)

    @property
    def words(self) -> str:
        """As it is shown and can be typed, like 19:00-21:30."""
        return f"{clock_words(self.start)}-{clock_words(self.end)}"


def clock_words(minute: int) -> str:
    """A minute of the day on a 24-hour clock, like 19:00; the day's own end is 24:00."""
    return f"{minute // HOUR:02d}:{minute % HOUR:02d}"


def parse_clock(text: str) -> int:
    """Read a time of day as minutes from midnight: 19:00, 19.30, 7pm, 7:30 pm, noon, 24:00; refuses all else."""
    return _minute(*_read(_bare(text)))


def parse_spells(text: str) -> list[Spell]:
    """Read spells of one day with commas between them, in their order; nothing typed is none.

    Refuses what is no spell, and one of no length (RuleError). Whether they overlap is the week's to say.
    """
    pieces = [piece for piece in _NEXT.split(_bare(text)) if piece.strip()]
    return sorted(_spell(piece.strip()) for piece in pieces)


def spells_in_words(spells: Sequence[Spell]) -> str:
    """Spells as they are shown and can be typed."""
    return ", ".join(spell.words for spell in spells)


def _bare(text: str) -> str:
    return " ".join(text.translate(_DASHES).casefold().split())


def _spell(text: str) -> Spell:
    try:
        begin, finish = (_read(words) for words in _BETWEEN.split(text))
        start, end = _begin(begin, finish), _minute(*finish)
    except (RuleError, ValueError) as unreadable:
        raise RuleError(f"\u201c{text[:_SHOWN]}\u201d is no spell. {_ASK}") from unreadable
    if start == end:
        raise RuleError(f"\u201c{text[:_SHOWN]}\u201d has no length. {_ASK}")
    return Spell(start % DAY, end or DAY)


def _read(words: str) -> tuple[int, int, str]:
    """Hour, minute and half of the day of a time as typed; the half is a, p, or nothing."""
    match = _TIME.fullmatch(_NAMED.get(words, words))
    if match is None:
        raise RuleError("Type a time like 19:00 or 7pm.")
    return int(match[1]), int(match[2] or 0), (match[3] or "")[:1]


def _begin(begin: tuple[int, int, str], finish: tuple[int, int, str]) -> int:
    """A begin without am or pm before an end with it is in the same half of the day, or in the other to come before."""
    hour, minute, half = begin
    if half or not finish[2] or not 1 <= hour <= _HALF_DAY:
        return _minute(*begin)
    same, other = _minute(hour, minute, finish[2]), _minute(hour, minute, "p" if finish[2] == "a" else "a")
    return same if same < _minute(*finish) else other


def _minute(hour: int, minute: int, half: str) -> int:
    if half and not 1 <= hour <= _HALF_DAY:
        raise RuleError("With am or pm the hours run from 1 to 12, like 7pm.")
    if half:
        hour = hour % _HALF_DAY + (_HALF_DAY if half == "p" else 0)
    if hour * HOUR + minute > DAY:
        raise RuleError("The hours of a day run from 0:00 to 24:00.")
    return hour * HOUR + minute
