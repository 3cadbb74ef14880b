"""Read the bench: pieces and steps in hand, what the workshop has, what pieces bring, and the plan."""

from app.bench.queries.cards import BenchCard, BenchSheet, StageCard, bench_sheet, by_stage
from app.bench.queries.planning import PlannedPiece, PlanRow, PlanSession, PlanSheet, plan_sheet
from app.bench.queries.steps import BenchStep, DryingPart, drying_in_hand
from app.bench.queries.workshop import ExpectationRow, brings, expectation, workshop

__all__ = [
    "BenchCard",
    "BenchSheet",
    "BenchStep",
    "DryingPart",
    "ExpectationRow",
    "PlanRow",
    "PlanSession",
    "PlanSheet",
    "PlannedPiece",
    "StageCard",
    "bench_sheet",
    "brings",
    "by_stage",
    "drying_in_hand",
    "expectation",
    "plan_sheet",
    "workshop",
]
