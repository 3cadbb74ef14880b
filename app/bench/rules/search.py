"""In which order steps are given their turn: simple rules to begin with, then small changes that are kept if they help.

The number of plans tried is fixed and chance has a seed, so that the same pieces always get the same plan, on a slow
machine too. Common practice for lists of priorities; the figures it was chosen by are in the decision page on planning.
"""

from collections.abc import Callable
from graphlib import TopologicalSorter
from random import Random

from app.bench.rules.board import Board
from app.bench.rules.placing import Placed, Placer

Order = list[int]
Rule = Callable[[Board], Order]

_PATIENCE = 4
"""After so many plans for each step without a gain, the search shakes the best order and goes on from there."""
_SHAKES = 3
_ONE_STEP, _ONE_PIECE = 0.35, 0.75
"""Up to here of all changes move one step, up to here one piece; the rest swap two pieces."""


def by_ratio(board: Board) -> Order:
    """First the piece that brings most for the minutes of work left on it."""
    left = _work_left(board)
    return _ranked(board, lambda index: -board.weights[board.owner[index]] / max(1, left[index]))


def by_weight(board: Board) -> Order:
    """First the piece that brings most."""
    return _ranked(board, lambda index: -board.weights[board.owner[index]])


def as_given(board: Board) -> Order:
    """First the piece that comes first."""
    return list(board.free)


def _ranked(board: Board, rank: Callable[[int], float]) -> Order:
    # Where the rank is the same, one colour after the other keeps the corner set up.
    return sorted(board.free, key=lambda index: (rank(index), board.colours[index], index))


def _work_left(board: Board) -> dict[int, int]:
    """Minutes of work on the piece that are left, by step, when what must come before that step is done."""
    steps, open_now = board.steps, [step.started_at is None for step in board.steps]
    totals = [0] * len(board.jobs)
    for index, step in enumerate(steps):
        totals[board.owner[index]] += step.active * open_now[index]
    left: dict[int, int] = {}
    earlier: dict[int, frozenset[int]] = {}
    for index in TopologicalSorter(dict(enumerate(board.before))).static_order():
        first = board.before[index]
        earlier[index] = frozenset(first).union(*(earlier[one] for one in first))
        left[index] = totals[board.owner[index]] - sum(steps[one].active for one in earlier[index] if open_now[one])
    return left


def search(placer: Placer, evaluations: int, seed: int) -> tuple[Placed, int]:
    """The best plan among `evaluations` tried, and how many were tried; at least the one by ratio."""
    chance = Random(seed)  # noqa: S311 - repeatable on purpose
    owner = placer.board.owner
    found = [placer.place(rule(placer.board)) for rule in (by_ratio, by_weight, as_given)[: max(1, evaluations)]]
    best = current = min(found, key=lambda placed: placed.cost)
    made, idle = len(found), 0
    order = current.order()
    patience = _PATIENCE * len(order)
    while made < evaluations and len(order) > 1:
        is_shaken = idle > patience
        trial = best.order() if is_shaken else order
        for _ in range(_SHAKES if is_shaken else 1):
            trial = _changed(trial, owner, chance)
        placed = placer.place(trial)
        made, idle = made + 1, idle + 1
        if is_shaken or placed.cost <= current.cost:
            if is_shaken or placed.cost < current.cost:
                idle = 0
            current, order = placed, placed.order()
            best = min(best, current, key=lambda one: one.cost)
    return best, made


def _changed(order: Order, owner: tuple[int, ...], chance: Random) -> Order:
    """The order with one small change; near places are more likely than far ones."""
    size, kind = len(order), chance.random()
    place = int(chance.random() * size)
    far = 1 + int(size * chance.random() ** 3)
    if chance.random() < 0.5:  # noqa: PLR2004 - either way
        far = -far
    if kind < _ONE_STEP:
        return _with_step_moved(order, place, far)
    if kind < _ONE_PIECE:
        return _with_piece_moved(order, owner, place, far)
    return _with_pieces_swapped(order, owner, place, (place + far) % size)


def _with_step_moved(order: Order, place: int, far: int) -> Order:
    moved = order.copy()
    moved.insert(max(0, min(len(order) - 1, place + far)), moved.pop(place))
    return moved


def _with_piece_moved(order: Order, owner: tuple[int, ...], place: int, far: int) -> Order:
    """Every step of a piece from a place on, moved by as many ranks."""
    piece = owner[order[place]]
    # Twice the rank leaves room between two ranks for a step that lands there.
    step = 2 * far + (1 if far > 0 else -1)
    ranks = [2 * rank + (step if rank >= place and owner[index] == piece else 0) for rank, index in enumerate(order)]
    return [order[rank] for rank in sorted(range(len(order)), key=ranks.__getitem__)]


def _with_pieces_swapped(order: Order, owner: tuple[int, ...], one: int, other: int) -> Order:
    """The steps of two pieces from a place on: all of the one before all of the other."""
    begin = min(one, other)
    first, then = owner[order[max(one, other)]], owner[order[begin]]
    places = [rank for rank in range(begin, len(order)) if owner[order[rank]] in {first, then}]
    steps = [order[rank] for rank in places]
    swapped = order.copy()
    parted = [
        *(index for index in steps if owner[index] == first),
        *(index for index in steps if owner[index] != first),
    ]
    for rank, index in zip(places, parted, strict=True):
        swapped[rank] = index
    return swapped
