"""How the bench is looked at, and the plan of what to work on when."""

from app.bench.rules.horizon import (
    FreeSpell,
    Horizon,
    NothingToPlan,
    asked_horizon,
    free_spell,
    minute_of,
    usual_horizon,
    windows_of,
)
from app.bench.rules.order import BENCH_ORDER_WORDS, BENCH_STAGES, BenchOrder, order_asked_for
from app.bench.rules.planned import (
    CannotPlan,
    Job,
    LeftOver,
    Plan,
    PlanLine,
    PlanStep,
    Resources,
    Window,
)
from app.bench.rules.planning import USUAL_EVALUATIONS, by_value, first_in, greedy_plan, plan
from app.bench.rules.spans import MARK, span_words, to_mark
from app.bench.rules.waiting import Waiting, waiting_of
from app.bench.rules.workshop import NEVER_SAID, Brings, BringsFrom, Workshop, brings_of, require_workshop

__all__ = [
    "BENCH_ORDER_WORDS",
    "BENCH_STAGES",
    "MARK",
    "NEVER_SAID",
    "USUAL_EVALUATIONS",
    "BenchOrder",
    "Brings",
    "BringsFrom",
    "CannotPlan",
    "FreeSpell",
    "Horizon",
    "Job",
    "LeftOver",
    "NothingToPlan",
    "Plan",
    "PlanLine",
    "PlanStep",
    "Resources",
    "Waiting",
    "Window",
    "Workshop",
    "asked_horizon",
    "brings_of",
    "by_value",
    "first_in",
    "free_spell",
    "greedy_plan",
    "minute_of",
    "order_asked_for",
    "plan",
    "require_workshop",
    "span_words",
    "to_mark",
    "usual_horizon",
    "waiting_of",
    "windows_of",
]
