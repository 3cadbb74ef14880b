"""How wide the columns of a table on paper are."""

from collections.abc import Sequence
from typing import Final

NARROWEST: Final = 42.0
"""Points a column of words keeps at least, so that words are not cut into letters."""


def column_widths(natural: Sequence[float], is_number: Sequence[bool], room: float) -> list[float]:
    """Share `room` over columns that would need their `natural` widths.

    Numbers keep theirs; words share what is left, each as far as it needs it. What nobody needs goes to the widest
    column of words. Where even the numbers do not fit, every column shrinks alike.
    """
    fixed = sum(wide for wide, number in zip(natural, is_number, strict=True) if number)
    words = [place for place, number in enumerate(is_number) if not number]
    left = room - fixed
    if left < NARROWEST * len(words) or not words:
        scale = room / max(sum(natural), 1)
        return [wide * scale for wide in natural]
    widths = list(natural)
    for place, wide in zip(words, _shared([natural[place] for place in words], left), strict=True):
        widths[place] = wide
    widths[max(words, key=lambda place: widths[place])] += room - sum(widths)
    return widths


def _shared(wanted: list[float], room: float) -> list[float]:
    """Give each what it wants; where there is too little, those that want less than an equal share get all of it."""
    given = [0.0] * len(wanted)
    open_places = sorted(range(len(wanted)), key=lambda place: wanted[place])
    while open_places:
        fair = room / len(open_places)
        place = open_places.pop(0)
        given[place] = min(wanted[place], fair)
        room -= given[place]
    return given
