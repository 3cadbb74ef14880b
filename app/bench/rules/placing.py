"""Placing steps in an order: whenever the owner is free, the first step of the order that can begin is begun.

A list scheduler that goes forward in time and never waits on purpose. A set of steps is one whole number with a bit
for each, by its rank in the order: what is ready, what is sprayed and what needs a place meet in single operations,
and the lowest bit left is the step to begin.
"""

from bisect import bisect_left
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from heapq import heapify, heappop, heappush
from operator import mul

from app.bench.rules.board import Board, Corner, take_corner

_MOST_LENGTHS = 16
"""Into so many groups steps are put by their minutes, so that what is too long for a spell goes in one piece."""


@dataclass(frozen=True, slots=True)
class Placed:
    """What an order comes to: `starts` by the index of the step, in the order in which they are begun.

    `cost` is what is to be small: the value of the plan, and among equal ones the times a corner is set up.
    """

    starts: dict[int, int]
    left: list[int]
    cost: tuple[int, int]

    def order(self) -> list[int]:
        """The order in which the steps were begun; it comes to the same plan again."""
        return [*self.starts, *self.left]


class Placer:
    """Places the free steps of one board, as often as asked."""

    def __init__(self, board: Board) -> None:
        self.board = board
        self.count = max(1, len(board.steps))
        self.active = [step.active for step in board.steps]
        self.passive = [step.passive for step in board.steps]
        self.sprays = [step.sprays for step in board.steps]
        self.places = [step.takes_place for step in board.steps]
        self.sprayed = [index for index in board.free if self.sprays[index]]
        self.of_colour: dict[int, list[int]] = {colour: [] for colour in board.colours}
        for index in self.sprayed:
            self.of_colour[board.colours[index]].append(index)
        self.placed = [index for index in board.free if self.places[index]]
        lengths = sorted({self.active[index] for index in board.free})
        lengths = lengths[:: 1 + len(lengths) // _MOST_LENGTHS]
        self.length = [bisect_left(lengths, minutes) for minutes in self.active]
        self.as_long_as = [[index for index in board.free if self.active[index] >= minutes] for minutes in lengths]
        self.as_long_as.append([])
        self.powers = [1 << rank for rank in range(len(board.free))]
        self.opening = [board.earliest[index] * self.count + index for index in board.free if not board.unmet[index]]
        heapify(self.opening)
        self.penalty = Penalty(board)

    def place(self, order: Sequence[int]) -> Placed:
        """The plan that an order of all free steps comes to; what was begun and left goes on first in any order."""
        resumed = self.board.resumed
        if resumed:
            order = [*resumed, *(index for index in order if index not in resumed)]
        run = _Run(self, order)
        for opens, closes in self.board.windows:
            if not run.waiting and not run.ready and not run.later:
                break
            run.fill(opens, closes)
        left = [index for index in order if index not in run.starts] if len(run.starts) < len(order) else []
        value = sum(map(mul, self.board.weights, self.penalty.done_at(run.done, left)))
        return Placed(run.starts, left, (value, run.set_ups))


class Penalty:
    """Pieces that are not finished count as done after everything else, later the more of them is left.

    What is left counts at the pace at which free time comes, and its drying one after the other, so that every step
    that can be done still pays.
    """

    def __init__(self, board: Board) -> None:
        ends = board.windows[-1][1] if board.windows else 0
        longest_dry = max((step.passive for step in board.steps), default=0)
        free_minutes = sum(end - start for start, end in board.windows)
        self._board = board
        self._beyond = max((ends + longest_dry, *board.fixed_dry)) + 1
        self._stretch = -(-ends // max(1, free_minutes))
        self._stuck = tuple(board.stuck)

    def done_at(self, done: list[int], left: Iterable[int]) -> list[int]:
        """When each piece is done, the unfinished ones at their penalty."""
        lacking: dict[int, int] = {}
        for index in (*left, *self._stuck):
            step, job = self._board.steps[index], self._board.owner[index]
            lacking[job] = lacking.get(job, self._beyond) + step.active * self._stretch + step.passive
        for job, minute in lacking.items():
            done[job] = minute
        return done


class _Run:
    """One placing under way: what is ready, dry, held and taken as the time goes on."""

    __slots__ = (
        "corners",
        "done",
        "earliest",
        "facts",
        "held",
        "later",
        "long",
        "order",
        "placed",
        "ranked",
        "ready",
        "same",
        "set_ups",
        "sprayed",
        "starts",
        "unmet",
        "waiting",
    )

    def __init__(self, facts: Placer, order: Sequence[int]) -> None:
        self.facts, self.order = facts, order
        self.ranked = ranked = [0] * facts.count
        for power, index in zip(facts.powers, order, strict=True):
            ranked[index] = power
        self.sprayed = sum([ranked[index] for index in facts.sprayed])
        self.placed = sum([ranked[index] for index in facts.placed])
        self.same: dict[int, int] = {}
        self.long: dict[int, int] = {}
        board = facts.board
        self.waiting, self.unmet, self.earliest = facts.opening.copy(), list(board.unmet), list(board.earliest)
        self.held, self.corners, self.done = list(board.held), list(board.corners), list(board.fixed_dry)
        self.starts: dict[int, int] = {}
        self.ready = self.later = self.set_ups = 0

    def fill(self, now: int, closes: int) -> None:
        """Begin what can be begun in one free spell."""
        order, active = self.order, self.facts.active
        self.ready, self.later = self.ready | self.later, 0
        while now < closes:
            can, wake = self._open_at(now, closes)
            while can:
                bit = can & -can
                index = order[bit.bit_length() - 1]
                if active[index] <= closes - now:
                    self.ready ^= bit
                    now = self._begin(index, now)
                    break
                # It will fit no better in what is left of this spell: it is looked at again in the next.
                too_long = self.ready & (bit | self._as_long_as(self.facts.length[index]))
                self.ready ^= too_long
                self.later |= too_long
                can &= ~too_long
            else:
                now = wake

    def _as_long_as(self, length: int) -> int:
        """The steps of this length and longer ones; where lengths share a group, some of them."""
        if length not in self.long:
            self.long[length] = sum([self.ranked[index] for index in self.facts.as_long_as[length]])
        return self.long[length]

    def _open_at(self, now: int, closes: int) -> tuple[int, int]:
        """What can be begun now, as bits, and when there may be more."""
        count, waiting, ready = self.facts.count, self.waiting, self.ready
        soon = (now + 1) * count
        while waiting and waiting[0] < soon:
            ready |= self.ranked[heappop(waiting) % count]
        self.ready = can = ready
        wake = waiting[0] // count if waiting else closes
        if can & self.sprayed and now < self.corners[0][0]:
            can &= ~self._shut_out()
            wake = min(wake, self.corners[0][0])
        if can & self.placed:
            held = self.held
            while held and held[0] <= now:
                heappop(held)
            if len(held) >= self.facts.board.resources.drying_places:
                can &= ~self.placed
                wake = min(wake, held[0])
        return can, wake

    def _shut_out(self) -> int:
        """The spray steps that wait for a corner while none is clear: all but those of a colour that one holds."""
        same = 0
        for _, colour in self.corners:
            if colour:
                same |= self._of_colour(colour)
        return self.sprayed & ~same

    def _of_colour(self, colour: int) -> int:
        if colour not in self.same:
            self.same[colour] = sum([self.ranked[index] for index in self.facts.of_colour[colour]])
        return self.same[colour]

    def _begin(self, index: int, now: int) -> int:
        """Begin a step, and say when the owner is done with it."""
        facts, board = self.facts, self.facts.board
        self.starts[index] = now
        end = now + facts.active[index]
        dry = end + facts.passive[index]
        if facts.sprays[index]:
            taken: Corner = (end + board.resources.spray_clear, board.colours[index])
            self.corners, is_joined = take_corner(self.corners, taken, now)
            self.set_ups += not is_joined
        if facts.places[index]:
            heappush(self.held, dry)
        job = board.owner[index]
        self.done[job] = max(self.done[job], dry)
        for after in board.following[index]:
            self.earliest[after] = max(self.earliest[after], dry)
            self.unmet[after] -= 1
            if not self.unmet[after]:
                heappush(self.waiting, self.earliest[after] * facts.count + after)
        return end
