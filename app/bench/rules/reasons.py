"""Why each step stands where it does: one sentence that is true of that line, told from the plan itself."""

from bisect import bisect_right
from collections.abc import Iterator, Mapping
from typing import Final

from app.bench.rules.board import Board, dry_of, start_of
from app.bench.rules.moments import Moment, moments_of
from app.bench.rules.spans import span_words

LONG_DRY: Final = 4 * 60
"""Minutes of drying from which on it is worth saying what is done meanwhile."""

HARDENS: Final = "it must harden as the label says before it is wrapped or delivered"


def reasons_of(board: Board, starts: Mapping[int, int]) -> Iterator[tuple[int, str]]:
    """The reason of every step that began, and of every one begun at `starts`, which is in the order of the plan."""
    for index, step in enumerate(board.steps):
        if step.started_at is not None:
            yield index, _why_fixed(board, index)
    tale = _Tale(board, starts)
    for moment in moments_of(board, starts):
        yield moment.index, tale.reason(moment)


def _why_fixed(board: Board, index: int) -> str:
    step = board.steps[index]
    start, dry = start_of(step), dry_of(step)
    end = start + step.active
    if start > 0:
        return "It stays where it was begun."
    if end > 0:
        return f"It goes on where it was begun; work left: {span_words(end)}."
    if dry > 0:
        return f"It is done, and dry in {span_words(dry)}."
    return "It is done and dry."


class _Tale:
    """What comes of each step in the plan."""

    def __init__(self, board: Board, starts: Mapping[int, int]) -> None:
        self._board, self._starts = board, starts
        self._begun = list(starts)
        self._rank = {index: rank for rank, index in enumerate(self._begun)}
        self._closes = [closes for _, closes in board.windows]
        self._appointments = {start_of(step) for step in board.steps if step.started_at is not None}
        self._last = {board.owner[index]: index for index in self._begun}
        self._unfinished = {board.owner[index] for index in (*board.free, *board.stuck) if index not in starts}
        self._done = list(board.fixed_dry)
        for index in self._begun:
            self._done[board.owner[index]] = max(self._done[board.owner[index]], self._dry(index))

    def reason(self, moment: Moment) -> str:
        """The first that holds, from what says most to what is always so."""
        return (
            self._resumed(moment.index)
            or self._same_colour(moment)
            or self._finishes(moment.index)
            or self._dries_long(moment.index)
            or self._nothing_else(moment)
            or self._brings_most(moment)
            or self._before_a_stop(moment.index)
            or self._goes_on(moment.index)
        )

    def _resumed(self, index: int) -> str:
        return (
            ""
            if self._board.steps[index].left_since is None
            else "It was begun and left: it goes on as soon as it can."
        )

    def _same_colour(self, moment: Moment) -> str:
        if moment.joins is None:
            return ""
        return f"The same colour as {self._named(moment.joins)}: the corner is still set up for it."

    def _finishes(self, index: int) -> str:
        job = self._board.owner[index]
        begun_later = any(start_of(step) > self._starts[index] for step in self._board.jobs[job].steps)
        if job in self._unfinished or self._last[job] != index or begun_later:
            return ""
        wait, piece = self._done[job] - self._end(index), self._piece(index)
        is_done = f"{span_words(wait)} later {piece} is dry" if wait else f"then {piece} is done"
        if not any(step.takes_place for step in self._board.jobs[job].steps):
            return f"The last step: {is_done}."
        return f"The last step: {is_done}; {HARDENS}."

    def _dries_long(self, index: int) -> str:
        passive = self._board.steps[index].passive
        if passive < LONG_DRY:
            return ""
        for rank in range(self._rank[index] + 1, len(self._begun)):
            one = self._begun[rank]
            if self._starts[one] > self._dry(index):
                break
            if self._board.owner[one] != self._board.owner[index] and self._end(one) <= self._dry(index):
                return f"It then dries {span_words(passive)}; meanwhile: {self._deed(one)}."
        return ""

    def _nothing_else(self, moment: Moment) -> str:
        return "" if moment.others else "Nothing else can be begun at that time."

    def _brings_most(self, moment: Moment) -> str:
        weights, left, owner = self._board.weights, moment.work_left, self._board.owner
        job = owner[moment.index]
        others = {owner[one] for one in moment.others} - {job}
        if not weights[job] or not all(weights[job] * left[one] > weights[one] * left[job] for one in others):
            return ""
        if not any(piece.weight for piece in self._board.jobs):
            return f"Of what can be begun, {self._piece(moment.index)} has the least work left."
        return f"Of what can be begun, {self._piece(moment.index)} brings most for the work left."

    def _before_a_stop(self, index: int) -> str:
        passive, rank = self._board.steps[index].passive, self._rank[index] + 1
        stop = self._closes[bisect_right(self._closes, self._starts[index])]
        goes_on = rank < len(self._begun) and self._starts[self._begun[rank]] < stop
        if not passive or goes_on or stop in self._appointments:
            return ""
        return f"The last thing before you stop: it dries {span_words(passive)} without you."

    def _goes_on(self, index: int) -> str:
        waiting = [one for one in self._board.following[index] if one in self._starts]
        if waiting:
            return f"{self._named(min(waiting, key=self._starts.__getitem__))} waits for it."
        job = self._board.owner[index]
        if any(step.held_by for step in self._board.jobs[job].steps):
            return f"Other steps of {self._piece(index)} are held up; this one is not."
        if job in self._unfinished:
            return f"{self._piece(index)} cannot be finished in your free time; this step of it can."
        return f"{self._piece(index)} has more steps after it."

    def _end(self, index: int) -> int:
        return self._starts[index] + self._board.steps[index].active

    def _dry(self, index: int) -> int:
        return self._end(index) + self._board.steps[index].passive

    def _piece(self, index: int) -> str:
        return self._board.jobs[self._board.owner[index]].words

    def _named(self, index: int) -> str:
        return f"“{self._board.steps[index].words}” of {self._piece(index)}"

    def _deed(self, index: int) -> str:
        words = self._board.steps[index].words
        # A word in capitals, or a single letter, is a name or a code and stays as it is.
        deed = words[:1].lower() + words[1:] if words[1:2].islower() else words
        return f"{deed} on {self._piece(index)}"
