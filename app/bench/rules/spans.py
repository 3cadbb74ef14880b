"""How exact a plan speaks and begins: nobody works to the minute, and drying times hold as a rule."""

from typing import Final

from app.basics.quantities import format_minutes

MARK: Final = 5
"""Minutes between two marks of the clock at which something begins."""
_LONG: Final = 4 * 60
_HALF_HOUR: Final = 30


def to_mark(minutes: int) -> int:
    """Minutes rounded up to the next mark of five."""
    return -(-minutes // MARK) * MARK


def span_words(minutes: int) -> str:
    """Minutes from 0 on as they are said: over 4 hours about, to the nearest half hour; below that to the next five."""
    if minutes > _LONG:
        return f"about {format_minutes((minutes + _HALF_HOUR // 2) // _HALF_HOUR * _HALF_HOUR)}"
    return format_minutes(to_mark(minutes))
