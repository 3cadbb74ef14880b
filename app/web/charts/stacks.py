"""One whole and its parts as a bar that lies; parts beyond the whole are drawn beyond its end."""

from collections.abc import Sequence
from dataclasses import dataclass

MOST = 2.0
"""How many times its whole a bar may be long before it is cut off, so that one of them does not dwarf the others."""


@dataclass(frozen=True)
class Share:
    """One part of a whole: its key, its name, its amount, and the amount as it shall be read."""

    key: str
    label: str
    value: int
    text: str


@dataclass(frozen=True)
class Whole:
    """A whole and the shares that lie in it; `missing` is what of them it did not pay for."""

    value: int
    shares: Sequence[Share]
    missing: int = 0


@dataclass(frozen=True)
class DrawnShare:
    """A part's place across, in percent of the width."""

    key: str
    label: str
    text: str
    left: float
    width: float


@dataclass(frozen=True)
class Stack:
    """A bar of parts; `end` is where its whole ends, and from `short` on lies what the whole did not pay for.

    `short` is None where the whole paid for everything; `is_cut` says that the bar goes on beyond the page.
    """

    shares: tuple[DrawnShare, ...]
    end: float
    short: float | None
    is_cut: bool

    @property
    def reach(self) -> float:
        """Where the bar itself ends."""
        return max((round(share.left + share.width, 3) for share in self.shares), default=0.0)


def stacks(wholes: Sequence[Whole]) -> list[Stack | None]:
    """Lay out each whole with its parts, all wholes equally long so that they can be compared; None for one of nothing.

    Parts above zero lie end to end. What is below zero came in besides the whole, or is missing from it, so that
    the bar reaches just as far beyond the whole's end.
    """
    reach = min(max([1.0, *(_length(whole) / whole.value for whole in wholes if whole.value > 0)]), MOST)
    return [_stack(whole, reach) if whole.value > 0 else None for whole in wholes]


def _length(whole: Whole) -> int:
    return sum(share.value for share in whole.shares if share.value > 0)


def _stack(whole: Whole, reach: float) -> Stack:
    room = reach * whole.value
    drawn: list[DrawnShare] = []
    at = 0
    for share in whole.shares:
        start, end = min(at, room), min(at + max(share.value, 0), room)
        at += max(share.value, 0)
        if end > start:
            place = (round(start / room * 100, 3), round((end - start) / room * 100, 3))
            drawn.append(DrawnShare(share.key, share.label, share.text, *place))
    short = round(min((at - whole.missing) / room, 1.0) * 100, 3) if whole.missing > 0 else None
    return Stack(tuple(drawn), round(100 / reach, 3), short, at > room * (1 + 1e-9))
