"""Read recipes, their steps and labels, surfaces, finishes as done, and what speaks against a step."""

from app.recipes.queries.amounts import KnownAmounts, known_amounts
from app.recipes.queries.care import CareNote, care_of
from app.recipes.queries.checks import AIR, StepChecks, air_lately, checks_before
from app.recipes.queries.findings import FinishFinding, finish_findings
from app.recipes.queries.finish_rows import FinishSheet, FinishStepRow, MaterialOfStep
from app.recipes.queries.finishes import (
    finish_by_id,
    finish_of_step,
    finishes_by_piece,
    finishes_drying,
    finishes_in_hand,
    finishes_of,
    step_in,
    written_steps,
)
from app.recipes.queries.labels import NEVER_SAID, LabelRow, label_in, label_of, label_row, labels_of
from app.recipes.queries.learned import LearnedMinutes, learned_minutes
from app.recipes.queries.leaving import Leaving, leaving_of
from app.recipes.queries.listing import RecipeRow, recipe_rows
from app.recipes.queries.pricing import priced_materials
from app.recipes.queries.proposals import DoneProposal, amount_of, done_proposal
from app.recipes.queries.recipes import (
    EditionRow,
    EditionSheet,
    Overruled,
    RecipeSheet,
    RecipeUse,
    edition_by_number,
    recipe_by_id,
    recipe_facts,
    recipe_of_step,
    stored_steps,
)
from app.recipes.queries.steps import StepRow, facts_of_step, materials_of, step_by_id, step_rows
from app.recipes.queries.surfaces import NEVER_LOOKED_OVER, SurfaceRow, surface_of, surfaces_of
from app.recipes.queries.times import (
    WorkedSoFar,
    clock_on_step,
    entries_since,
    worked_so_far,
)

__all__ = [
    "AIR",
    "NEVER_LOOKED_OVER",
    "NEVER_SAID",
    "CareNote",
    "DoneProposal",
    "EditionRow",
    "EditionSheet",
    "FinishFinding",
    "FinishSheet",
    "FinishStepRow",
    "KnownAmounts",
    "LabelRow",
    "LearnedMinutes",
    "Leaving",
    "MaterialOfStep",
    "Overruled",
    "RecipeRow",
    "RecipeSheet",
    "RecipeUse",
    "StepChecks",
    "StepRow",
    "SurfaceRow",
    "WorkedSoFar",
    "air_lately",
    "amount_of",
    "care_of",
    "checks_before",
    "clock_on_step",
    "done_proposal",
    "edition_by_number",
    "entries_since",
    "facts_of_step",
    "finish_by_id",
    "finish_findings",
    "finish_of_step",
    "finishes_by_piece",
    "finishes_drying",
    "finishes_in_hand",
    "finishes_of",
    "known_amounts",
    "label_in",
    "label_of",
    "label_row",
    "labels_of",
    "learned_minutes",
    "leaving_of",
    "materials_of",
    "priced_materials",
    "recipe_by_id",
    "recipe_facts",
    "recipe_of_step",
    "recipe_rows",
    "step_by_id",
    "step_in",
    "step_rows",
    "stored_steps",
    "surface_of",
    "surfaces_of",
    "worked_so_far",
    "written_steps",
]
