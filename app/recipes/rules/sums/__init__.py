"""The sums of the bench worked out and put into words, in the shop's units and the others."""

from app.recipes.rules.sums.answers import (
    AirAnswer,
    CoverageAnswer,
    MixAnswer,
    ShellacAnswer,
    air_answer,
    coverage_answer,
    mix_answer,
    shellac_answer,
)
from app.recipes.rules.sums.measures import parse_area, parse_count, parse_film, parse_number
from app.recipes.rules.sums.need import CoatingJob, NeedAnswer, Priced, need_answer
from app.recipes.rules.sums.showing import (
    Shown,
    amount_shown,
    amounts_shown,
    area_shown,
    film_shown,
    spread_of_number,
    spread_shown,
    temperature_shown,
)
from app.recipes.rules.sums.thinning import Diluted, Scaled, ThinAnswer, ThinnedPaint, diluted, scaled, thinned_paint

__all__ = [
    "AirAnswer",
    "CoatingJob",
    "CoverageAnswer",
    "Diluted",
    "MixAnswer",
    "NeedAnswer",
    "Priced",
    "Scaled",
    "ShellacAnswer",
    "Shown",
    "ThinAnswer",
    "ThinnedPaint",
    "air_answer",
    "amount_shown",
    "amounts_shown",
    "area_shown",
    "coverage_answer",
    "diluted",
    "film_shown",
    "mix_answer",
    "need_answer",
    "parse_area",
    "parse_count",
    "parse_film",
    "parse_number",
    "scaled",
    "shellac_answer",
    "spread_of_number",
    "spread_shown",
    "temperature_shown",
    "thinned_paint",
]
