"""A plan gone through from its beginning: at each step what else could have been begun just then."""

from bisect import bisect_right
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from heapq import heapify, heappop, heappush

from app.bench.rules.board import NO_COLOUR, Board, start_of, take_corner


@dataclass(frozen=True, slots=True)
class Moment:
    """A step that is begun: `others` could have been instead, `joins` is the spray step whose set-up it uses.

    `work_left` are the minutes of work not yet begun on each piece; the list is used on for the next moment.
    """

    index: int
    others: frozenset[int]
    joins: int | None
    work_left: list[int]


def moments_of(board: Board, starts: Mapping[int, int]) -> Iterator[Moment]:
    """Every moment at which a step is begun, in order; `starts` has the steps in that order."""
    steps, work_left = board.steps, [0] * len(board.jobs)
    for index, step in enumerate(steps):
        if step.started_at is None:
            work_left[board.owner[index]] += step.active
    ready, workshop = _Ready(board), _Workshop(board)
    for index, now in starts.items():
        ready.until(now)
        ready.steps.discard(index)
        others = workshop.could_take(ready.steps, now, _minutes_left(board, now))
        yield Moment(index, others, workshop.take(index, now), work_left)
        work_left[board.owner[index]] -= steps[index].active
        ready.is_begun(index, now)


def _minutes_left(board: Board, now: int) -> int:
    return board.windows[bisect_right(board.windows, (now, board.windows[-1][1])) - 1][1] - now


class _Ready:
    """The steps for which all that comes before is done and dry."""

    def __init__(self, board: Board) -> None:
        self.steps: set[int] = set()
        self._board, self._unmet, self._earliest = board, list(board.unmet), list(board.earliest)
        self._waiting = [(board.earliest[index], index) for index in board.free if not board.unmet[index]]
        heapify(self._waiting)

    def until(self, now: int) -> None:
        while self._waiting and self._waiting[0][0] <= now:
            self.steps.add(heappop(self._waiting)[1])

    def is_begun(self, index: int, now: int) -> None:
        step = self._board.steps[index]
        for after in self._board.following[index]:
            self._earliest[after] = max(self._earliest[after], now + step.active + step.passive)
            self._unmet[after] -= 1
            if not self._unmet[after]:
                heappush(self._waiting, (self._earliest[after], after))


class _Workshop:
    """Which corners and places are taken."""

    def __init__(self, board: Board) -> None:
        self._board, self._corners, self._held = board, list(board.corners), list(board.held)
        self._last: dict[int, int] = {}
        begun = [
            index for index, step in enumerate(board.steps) if step.started_at is not None and board.colours[index]
        ]
        for index in sorted(begun, key=lambda one: start_of(board.steps[one])):
            self._last[board.colours[index]] = index

    def could_take(self, ready: Iterable[int], now: int, minutes: int) -> frozenset[int]:
        """Those of some steps that take no longer and find the place and the corner they need."""
        steps, colours = self._board.steps, self._board.colours
        has_place = sum(until > now for until in self._held) < self._board.resources.drying_places
        is_clear = any(until <= now for until, _ in self._corners)
        set_up = {colour for _, colour in self._corners if colour != NO_COLOUR}
        return frozenset(
            index
            for index in ready
            if steps[index].active <= minutes
            and (has_place or not steps[index].takes_place)
            and (is_clear or not steps[index].sprays or colours[index] in set_up)
        )

    def take(self, index: int, now: int) -> int | None:
        """Take what a step needs; the step whose colour the corner still holds, where there is one."""
        step, colour = self._board.steps[index], self._board.colours[index]
        end = now + step.active
        if step.takes_place:
            self._held = [until for until in self._held if until > now]
            self._held.append(end + step.passive)
        if not step.sprays:
            return None
        clear_at = end + self._board.resources.spray_clear
        self._corners, is_joined = take_corner(self._corners, (clear_at, colour), now)
        joins = self._last.get(colour) if is_joined else None
        self._last[colour] = index
        return joins
