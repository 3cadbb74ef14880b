"""Rules for time between steps; planned times where steps are written down, true ones where they were done."""

from typing import Final

from app.recipes.rules.bases import Base
from app.recipes.rules.kinds import FILMS, Aim, Part, Task
from app.recipes.rules.levels import Level
from app.recipes.rules.order.facts import Check, OrderRule, Told
from app.recipes.rules.order.place import Earlier, Place, is_waterborne, wets
from app.recipes.rules.order.sources import HARDWARE_CIRCULAR
from app.recipes.rules.products import COMMON_PRACTICE, DAY, WOOD_HANDBOOK_16, Product, base_of

OIL_STAIN_WAIT: Final = 3 * DAY
SOFT_PAINT_WAIT: Final = 30 * DAY
STICKING_WAIT: Final = 7 * DAY
_INSIDES: Final = frozenset({Part.INSIDE, Part.DRAWER_SIDES})


def is_sooner(earlier: Earlier, minutes: int) -> bool:
    """Whether it is known that less time lies between than the minutes asked for."""
    return earlier.minutes is not None and earlier.minutes < minutes


def _is_on_wet_wood(place: Place) -> bool:
    if place.step.task is not Task.FILL and not place.step.is_coating:
        return False
    for earlier in reversed(place.before):
        if earlier.step.is_coating:
            return False
        if wets(earlier.step) and is_sooner(earlier, DAY):
            return True
    return False


def _is_early_over_blocker(place: Place) -> bool:
    coat = place.last_coat
    if coat is None or coat.step.product is not Product.BLOCKING_PRIMER or not place.surface.bleeds:
        return False
    is_top_coat = place.step.is_coating and place.step.product is not Product.BLOCKING_PRIMER
    return is_top_coat and is_sooner(coat, DAY)


def _is_early_over_oil_stain(place: Place) -> bool:
    coat = place.last_coat
    is_over_stain = coat is not None and coat.step.product is Product.OIL_STAIN and is_sooner(coat, OIL_STAIN_WAIT)
    return is_over_stain and is_waterborne(place.step)


def _is_hard_over_soft(place: Place) -> bool:
    film = place.last_film
    if film is None or film.step.task is not Task.PAINT or not is_waterborne(film.step):
        return False
    return place.step.product is Product.OIL_PAINT and (film.minutes is None or film.minutes < SOFT_PAINT_WAIT)


def _is_lifted_by_solvent(place: Place) -> bool:
    film = place.last_film
    if film is None or base_of(film.step.product) not in {Base.OIL, Base.WATERBORNE}:
        return False
    is_strong = place.step.is_coating and base_of(place.step.product) is Base.LACQUER
    return is_strong and (film.minutes is None or film.minutes < film.drying.cure)


def _waits_too_little(place: Place) -> bool:
    step, label = place.step, place.label
    return step.recoat is not None and label.recoat is not None and step.recoat < label.recoat and bool(place.after)


def _is_fitted_early(place: Place) -> bool:
    is_on = place.step.task is Task.HARDWARE and place.step.aim is Aim.FIT
    return is_on and any(earlier.step.is_coating and is_sooner(earlier, DAY) for earlier in place.before)


def _is_lined_early(place: Place) -> bool:
    insides = [earlier for earlier in place.before if earlier.step.part in _INSIDES and earlier.step.task in FILMS]
    is_early = any(is_sooner(earlier, STICKING_WAIT) for earlier in insides)
    return place.step.task is Task.LINE_DRAWERS and is_early


WET_WOOD: Final = OrderRule(
    "wet_wood",
    Level.WARN,
    "Let wood that was washed or stripped dry 24 to 48 hours before anything goes on.",
    "Coats over wet wood blister. A moisture meter tells more than the clock.",
    COMMON_PRACTICE,
)
STICKING: Final = OrderRule(
    "sticking",
    Level.WARN,
    "Let the last coat harden for about 7 days before you stack, wrap, close or deliver it.",
    "A coat that is dry to the touch still sticks to paper, felt and itself, and marks under weight.",
    COMMON_PRACTICE,
)

WAITS: Final = (
    Check(
        OrderRule(
            "recoat_short",
            Level.STOP,
            "Wait at least as long as the label says before the next coat.",
            "This step plans a shorter time than its material's label. A coat shut in before it is dry wrinkles,"
            " stays soft or peels.",
            COMMON_PRACTICE,
        ),
        Told.ALL,
        _waits_too_little,
    ),
    Check(WET_WOOD, Told.BEFORE, _is_on_wet_wood),
    Check(
        OrderRule(
            "blocker_wait",
            Level.WARN,
            "Leave a waterborne stain blocker 24 to 48 hours before the first top coat.",
            "What it holds back still moves while it dries, and comes through a coat put on too soon.",
            WOOD_HANDBOOK_16,
        ),
        Told.BEFORE,
        _is_early_over_blocker,
    ),
    Check(
        OrderRule(
            "oil_stain_wait",
            Level.WARN,
            "Wait about 72 hours from oil stain to a waterborne coat, or seal with dewaxed shellac between them.",
            "Oil that has not dried keeps a waterborne coat from holding.",
            COMMON_PRACTICE,
        ),
        Told.BEFORE,
        _is_early_over_oil_stain,
    ),
    Check(
        OrderRule(
            "hard_over_soft",
            Level.WARN,
            "No oil or alkyd paint over waterborne paint younger than 30 days.",
            "The hard film cracks over the softer one that still moves.",
            COMMON_PRACTICE,
        ),
        Told.BEFORE,
        _is_hard_over_soft,
    ),
    Check(
        OrderRule(
            "lacquer_lifts",
            Level.STOP,
            "No lacquer over oil or waterborne coats that are not hard through; a shellac seal goes between.",
            "The strong solvent softens and wrinkles them.",
            COMMON_PRACTICE,
        ),
        Told.BEFORE,
        _is_lifted_by_solvent,
    ),
    Check(
        OrderRule(
            "fitted_early",
            Level.WARN,
            "Fit the hardware 24 hours or more after the last coat.",
            "Screws and plates press into a coat that is still soft and tear it.",
            HARDWARE_CIRCULAR,
        ),
        Told.START,
        _is_fitted_early,
    ),
    Check(STICKING, Told.START, _is_lined_early),
)
