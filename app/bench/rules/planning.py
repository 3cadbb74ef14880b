"""The plan of the bench: what to work on when, one owner, pieces that dry, a corner to spray in."""

from collections.abc import Sequence
from itertools import chain
from types import MappingProxyType
from typing import Final

from app.bench.rules.board import Board, board_of, start_of
from app.bench.rules.left_over import left_over_of
from app.bench.rules.placing import Placed, Placer
from app.bench.rules.planned import Job, Plan, PlanLine, Resources, Window
from app.bench.rules.reasons import reasons_of
from app.bench.rules.search import Rule, as_given, by_ratio, by_weight, search

USUAL_EVALUATIONS: Final = 2500
"""Plans tried as a rule; 25 pieces of seven steps then take about a second."""
MOST_PLACEMENTS: Final = 440_000
"""Steps placed at most in one search, so that very many pieces get fewer plans and not a longer wait."""


def plan(jobs: Sequence[Job], windows: Sequence[Window], resources: Resources, *, evaluations: int, seed: int) -> Plan:
    """The best plan among `evaluations` tried, the same one for the same seed.

    One owner works on one step at a time and never leaves a step for a closed window. Where a piece is done and dry
    sooner, and the more it brings, the better; a piece of which something is left over counts as done after all
    others. Pieces that bring nothing at all count alike. Of equal plans the one with fewer set-ups of the corner is
    taken. What was begun and left goes on before what was not, as soon as it can. Every step with `started_at` stays
    where it is; what begins later than now, by rounding, holds corner and place from now on.

    At least one plan is tried, and at most so many that MOST_PLACEMENTS steps are placed: 2,500 plans of 175 steps,
    125 plans of 3,500. The bound counts steps and not seconds, so that a slow machine finds the same plan.

    Raises CannotPlan where the steps contradict themselves or there is no free time.
    """
    board = board_of(jobs, windows, resources)
    most = min(evaluations, MOST_PLACEMENTS // max(1, len(board.free)))
    placed, made = search(Placer(board), most, seed)
    return _told(board, placed, made)


def greedy_plan(jobs: Sequence[Job], windows: Sequence[Window], resources: Resources) -> Plan:
    """One plan without a search: always the piece that brings most for the work left on it. Raises as `plan`."""
    return _by(by_ratio, board_of(jobs, windows, resources))


def by_value(jobs: Sequence[Job], windows: Sequence[Window], resources: Resources) -> Plan:
    """One plan without a search: always the piece that brings most. Raises as `plan`."""
    return _by(by_weight, board_of(jobs, windows, resources))


def first_in(jobs: Sequence[Job], windows: Sequence[Window], resources: Resources) -> Plan:
    """One plan without a search: always the piece that stands first. Raises as `plan`."""
    return _by(as_given, board_of(jobs, windows, resources))


def _by(rule: Rule, board: Board) -> Plan:
    return _told(board, Placer(board).place(rule(board)), 1)


def _told(board: Board, placed: Placed, evaluations: int) -> Plan:
    reasons = dict(reasons_of(board, placed.starts))
    begun = {index: start_of(step) for index, step in enumerate(board.steps) if step.started_at is not None}
    # What began stands before what begins at the same minute.
    in_order = sorted(chain(begun.items(), placed.starts.items()), key=lambda item: item[1])
    left_over = tuple(left_over_of(board, placed.starts))
    unfinished = {left.job for left in left_over}
    lines = tuple(_line(board, index, start, reasons[index]) for index, start in in_order)
    done_at: dict[str, int | None] = dict.fromkeys((job.key for job in board.jobs), None)
    for line in lines:
        if line.job not in unfinished:
            done_at[line.job] = max(line.dry_at, done_at[line.job] or line.dry_at)
    value, set_ups = placed.cost
    return Plan(lines, left_over, MappingProxyType(done_at), value, set_ups, evaluations)


def _line(board: Board, index: int, start: int, reason: str) -> PlanLine:
    step, job = board.steps[index], board.jobs[board.owner[index]]
    end = start + step.active
    return PlanLine(job.key, step.key, start, end, end + step.passive, reason, step.started_at is not None)
