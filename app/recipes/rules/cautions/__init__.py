"""Cautions where work or goods can hurt somebody, as data, and the few that matter at each place."""

from app.recipes.rules.cautions.choosing import (
    cautions_for_buying,
    cautions_for_listing,
    cautions_for_step,
    must_not_be_sold,
    speaks_of_paint,
)
from app.recipes.rules.cautions.selling import SELLING_CAUTIONS
from app.recipes.rules.cautions.working import WORKING_CAUTIONS

CAUTIONS = (*WORKING_CAUTIONS, *SELLING_CAUTIONS)

__all__ = [
    "CAUTIONS",
    "cautions_for_buying",
    "cautions_for_listing",
    "cautions_for_step",
    "must_not_be_sold",
    "speaks_of_paint",
]
