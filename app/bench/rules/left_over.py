"""Why a step has no place in a plan."""

from collections.abc import Iterator, Mapping

from app.bench.rules.board import Board, because_of
from app.bench.rules.planned import LeftOver
from app.bench.rules.spans import span_words

NO_STEPS = "No steps are written down for it."


def left_over_of(board: Board, starts: Mapping[int, int]) -> Iterator[LeftOver]:
    """Every step without a place, piece by piece, and every piece without steps."""
    gaps = _gaps(board, starts)
    first = 0
    for job in board.jobs:
        if not job.steps:
            yield LeftOver(job.key, "", NO_STEPS)
        for index, step in enumerate(job.steps, start=first):
            if step.started_at is None and index not in starts:
                yield LeftOver(job.key, step.key, board.stuck.get(index) or _why(board, starts, gaps, index))
        first += len(job.steps)


def _gaps(board: Board, starts: Mapping[int, int]) -> list[tuple[int, int]]:
    """Free time at which nothing is worked on."""
    gaps: list[tuple[int, int]] = []
    lines = iter([(start, start + board.steps[index].active) for index, start in starts.items()])
    line = next(lines, None)
    for opens, closes in board.windows:
        begin = opens
        while line is not None and line[0] < closes:
            gaps.append((begin, line[0]))
            begin, line = line[1], next(lines, None)
        gaps.append((begin, closes))
    return [(begin, end) for begin, end in gaps if begin < end]


def _why(board: Board, starts: Mapping[int, int], gaps: list[tuple[int, int]], index: int) -> str:
    step = board.steps[index]
    waits_for = [one for one in board.before[index] if board.steps[one].started_at is None]
    missing = [one for one in waits_for if one not in starts]
    if missing:
        return because_of(board.steps[missing[0]])
    dry = [starts[one] + board.steps[one].active + board.steps[one].passive for one in waits_for]
    ready = max((board.earliest[index], *dry))
    if not _fits(board.windows, ready, step.active):
        return f"It can begin in {span_words(ready)} at the earliest; after that no free spell is long enough."
    if not _fits(gaps, ready, step.active):
        return "Other work takes your free time before its turn comes."
    if step.takes_place and step.sprays:
        return "No place to dry and corner to spray in are free for it while you have time."
    what = "place to dry" if step.takes_place else "corner to spray in"
    return f"No {what} is free for it while you have time."


def _fits(spells: list[tuple[int, int]] | tuple[tuple[int, int], ...], ready: int, minutes: int) -> bool:
    return any(max(begin, ready) + minutes <= end for begin, end in spells)
