"""Rules for sanding, mending and filling: grits in their order, and each before what covers it."""

from typing import Final

from app.basics.words import fold
from app.recipes.rules.grits import LADDER
from app.recipes.rules.kinds import FILMS, Aim, Task
from app.recipes.rules.levels import Level
from app.recipes.rules.order.facts import Check, OrderRule, Told
from app.recipes.rules.order.place import SHELLACS, Place, is_waterborne
from app.recipes.rules.order.sources import LADDER_PAGES, WOOD_SCIENCE
from app.recipes.rules.products import COMMON_PRACTICE, WOOD_HANDBOOK_16, Product
from app.recipes.rules.steps import StepFacts
from app.recipes.rules.surface import OldFinish

SCALES_PART_AT: Final = 220
COARSEST_SCUFF, FINEST_SCUFF = 150, 220
COARSEST_BETWEEN: Final = 220
FINEST_UNDER_STAIN: Final = 220
COARSEST_FIRST: Final = 120
"""The finest grit a rough film is taken off with at first; about 80 is usual."""

_NEEDS_NO_GRIP: Final = SHELLACS | {Product.OIL_FINISH}
_STEEL: Final = ("steel wool", "wire wool")


def _sands(step: StepFacts) -> bool:
    return step.task is Task.SAND


def _grit_before(place: Place) -> StepFacts | None:
    """The sanding with a known grit that this one goes on from; a coat, a filling or a repair begins a new run."""
    if not _sands(place.step) or place.step.grit is None:
        return None
    for step in reversed(place.steps_before):
        if step.is_coating or step.task in {Task.STRIP, Task.FILL, Task.REPAIR}:
            return None
        if _sands(step) and step.grit is not None:
            return step if _are_comparable(step, place.step) else None
    return None


def _are_comparable(one: StepFacts, other: StepFacts) -> bool:
    finest = max(one.grit or 0, other.grit or 0)
    return one.grit_scale is other.grit_scale or finest <= SCALES_PART_AT


def _jumps(place: Place) -> bool:
    before, grit = _grit_before(place), place.step.grit
    if before is None or before.grit is None or grit is None:
        return False
    return sum(before.grit < rung < grit for rung in LADDER) > 1


def _gets_coarser(place: Place) -> bool:
    before, grit = _grit_before(place), place.step.grit
    if before is None or before.grit is None or grit is None:
        return False
    return grit < before.grit and not place.step.note


def _scuffs_old_finish(place: Place) -> bool:
    is_scuff = _sands(place.step) and place.step.aim is Aim.SCUFF and place.step.grit is not None
    return is_scuff and place.surface.old_finish is not OldFinish.BARE and not place.is_bared and not place.coats


def _is_unfit_scuff(place: Place) -> bool:
    grit = place.step.grit or 0
    return _scuffs_old_finish(place) and not COARSEST_SCUFF <= grit <= FINEST_SCUFF


def _is_coarse_between(place: Place) -> bool:
    step = place.step
    if not _sands(step) or step.aim is Aim.LEVEL or step.grit is None or step.grit >= COARSEST_BETWEEN:
        return False
    is_over_filler = place.open_since(lambda each: each.task is Task.FILL, lambda each: each.is_coating)
    return bool(place.films) and not is_over_filler and place.next_coat() is not None


def _begins_too_fine(place: Place) -> bool:
    step = place.step
    is_first = _sands(step) and step.aim is Aim.LEVEL and not place.is_bared and not place.coats
    has_film = place.surface.old_finish in {OldFinish.PAINT, OldFinish.CLEAR}
    return is_first and has_film and step.grit is not None and step.grit > COARSEST_FIRST


def _is_burnished(place: Place) -> bool:
    if place.step.task is not Task.STAIN or place.coats:
        return False
    last = next((step for step in reversed(place.steps_before) if _sands(step) and step.grit is not None), None)
    return last is not None and (last.grit or 0) > FINEST_UNDER_STAIN


def _is_unscuffed(place: Place) -> bool:
    if place.step.task not in FILMS or place.step.product in _NEEDS_NO_GRIP:
        return False
    has_old = place.surface.old_finish is not OldFinish.BARE and not place.is_bared
    return has_old and not place.had(lambda step: _sands(step) or step.task in FILMS)


def _is_mended_late(place: Place) -> bool:
    if place.step.task is not Task.REPAIR:
        return False
    is_late = place.had(lambda step: _sands(step) or step.task is Task.FILL or step.is_coating)
    for step in place.after:
        if _sands(step):
            return False
        if step.is_coating:
            break
    return is_late


def _fills(step: StepFacts) -> bool:
    is_grain = step.aim is Aim.GRAIN or step.product is Product.GRAIN_FILLER
    return step.task is Task.FILL and not is_grain


def _is_filled_over_primer(place: Place) -> bool:
    following = place.next_coat()
    if not _fills(place.step) or following is None:
        return False
    return any(coat.step.task is Task.PRIME for coat in place.coats) and following.task not in {Task.PRIME, Task.SEAL}


def _wets_bare_wood(place: Place) -> bool:
    if not place.is_bare or place.coats or not is_waterborne(place.step):
        return False
    return place.step.coats > 1 or place.next_coat(unless=_sands) is not None


def _leaves_iron(place: Place) -> bool:
    is_steel = any(words in fold(place.step.note) for words in _STEEL)
    return is_steel and place.surface.is_tannin_wood and place.is_bare and place.will(is_waterborne)


SANDING: Final = (
    Check(
        OrderRule(
            "grit_jump",
            Level.WARN,
            "Do not skip more than one grade of abrasive.",
            "A finer sheet does not take the deep scratches of a much coarser one out; the coat shows them.",
            LADDER_PAGES,
        ),
        Told.BEFORE,
        _jumps,
    ),
    Check(
        OrderRule(
            "grit_coarser",
            Level.WARN,
            "Do not go back to a coarser sheet within one run of sanding, or note why.",
            "It scratches anew what was smooth.",
            COMMON_PRACTICE,
        ),
        Told.BEFORE,
        _gets_coarser,
    ),
    Check(
        OrderRule(
            "scuff_grit",
            Level.NOTE,
            "Scuff a sound old finish with about 180 before a primer or paint; 150 to 220 will do.",
            "Coarser leaves scratches, finer leaves too little grip.",
            COMMON_PRACTICE,
        ),
        Told.BEFORE,
        _is_unfit_scuff,
    ),
    Check(
        OrderRule(
            "between_grit",
            Level.NOTE,
            "Between coats 220 or finer is usual.",
            "A coarser sheet cuts through a thin coat or leaves scratches that show.",
            COMMON_PRACTICE,
        ),
        Told.ALL,
        _is_coarse_between,
    ),
    Check(
        OrderRule(
            "level_grit",
            Level.NOTE,
            "Take a rough old film off with about 80 first, then go finer.",
            "A finer sheet clogs and polishes the film without taking it off.",
            COMMON_PRACTICE,
        ),
        Told.BEFORE,
        _begins_too_fine,
    ),
    Check(
        OrderRule(
            "too_fine_for_stain",
            Level.NOTE,
            "Stop at 220 before a stain.",
            "Finer sanding closes the wood, and it takes less stain.",
            COMMON_PRACTICE,
        ),
        Told.BEFORE,
        _is_burnished,
    ),
    Check(
        OrderRule(
            "no_scuff",
            Level.WARN,
            "Scuff the old finish before the first coat; about 180 will do.",
            "Coats peel apart where the surface was not prepared. Where a label says that its product needs no"
            " sanding, the label rules.",
            WOOD_HANDBOOK_16,
        ),
        Told.BEFORE,
        _is_unscuffed,
    ),
    Check(
        OrderRule(
            "repair_late",
            Level.WARN,
            "Repair and glue before you fill and sand.",
            "Glue squeezed out seals the wood and shows, and clamps mark what was smooth.",
            COMMON_PRACTICE,
        ),
        Told.ALL,
        _is_mended_late,
    ),
    Check(
        OrderRule(
            "fill_unprimed",
            Level.WARN,
            "Fill before the primer, or prime the filled places again.",
            "Bare filler drinks the paint and shows as a dull patch.",
            COMMON_PRACTICE,
        ),
        Told.ALL,
        _is_filled_over_primer,
    ),
    Check(
        OrderRule(
            "fill_unsanded",
            Level.WARN,
            "Sand the filler flush before the next coat.",
            "Every coat shows the edge of filler that was not sanded.",
            COMMON_PRACTICE,
        ),
        Told.ALL,
        lambda place: _fills(place.step) and place.next_coat(unless=_sands) is not None,
    ),
    Check(
        OrderRule(
            "grain_raised",
            Level.NOTE,
            "Sand lightly after the first waterborne coat on bare wood.",
            "Water raises the grain, and the next coat fixes it rough. Wetting the wood, letting it dry and scuffing it"
            " beforehand does the same.",
            WOOD_HANDBOOK_16,
        ),
        Told.ALL,
        _wets_bare_wood,
    ),
    Check(
        OrderRule(
            "steel_wool",
            Level.WARN,
            "Keep steel wool off bare oak and woods like it before a waterborne coat; use a plastic pad.",
            "Splinters of iron and the tannin of the wood make blue-black spots when they get wet.",
            WOOD_SCIENCE,
        ),
        Told.ALL,
        _leaves_iron,
    ),
)
