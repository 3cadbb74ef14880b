"""Rules for what goes over what: stain, glaze, shellac, clear coats, and hardware out of their way."""

from typing import Final

from app.recipes.rules.bases import Base
from app.recipes.rules.kinds import FILMS, Aim, Part, Task
from app.recipes.rules.levels import Level
from app.recipes.rules.order.facts import Check, OrderRule, Told
from app.recipes.rules.order.place import WHITE, Place, is_lighter, is_waterborne
from app.recipes.rules.order.sources import (
    A_HOW_TO,
    A_TRADE_MAGAZINE,
    AN_OLD_HANDBOOK,
    HARDWARE_CIRCULAR,
    SHELLAC_TESTERS,
)
from app.recipes.rules.products import COMMON_PRACTICE, Product, base_of
from app.recipes.rules.steps import StepFacts
from app.recipes.rules.surface import OldFinish

TWO_COATS: Final = 2
_YELLOWS: Final = frozenset({Product.OIL_VARNISH, Product.OIL_FINISH})
_SEALED: Final = frozenset({OldFinish.PAINT, OldFinish.CLEAR})
_PROTECTS: Final = frozenset({Task.CLEAR_COAT, Task.WAX, Task.SEAL})
_COLOURS: Final = frozenset({Task.PAINT, Task.WASH, Task.GLAZE, Task.STAIN})


def _is_over_waxed_shellac(place: Place) -> bool:
    film = place.last_film
    if film is None or film.step.product is not Product.SHELLAC or film.step.aim is Aim.KNOTS:
        return False
    return place.step.product is Product.OIL_VARNISH or is_waterborne(place.step)


def _is_poly_over_sealer(place: Place) -> bool:
    coat = place.last_coat
    is_over_sealer = coat is not None and coat.step.product is Product.SANDING_SEALER
    return is_over_sealer and place.step.product is Product.OIL_VARNISH


def _is_glaze_on_bare(place: Place) -> bool:
    is_sealed = place.surface.old_finish in _SEALED and not place.is_bared
    return place.step.task is Task.GLAZE and not place.films and not is_sealed


def _is_wash_coat(step: StepFacts) -> bool:
    """Whether it is a thinned sealer that only evens out how the wood takes a stain."""
    return step.task is Task.SEAL and bool(step.ratio or step.thin_hundredths)


def _is_stain_over_film(place: Place) -> bool:
    if place.step.task is not Task.STAIN or any(coat.step.task is Task.STAIN for coat in place.coats):
        return False
    if any(not _is_wash_coat(film.step) for film in place.films):
        return True
    is_laid_bare = place.had(
        lambda step: step.task is Task.STRIP or (step.task is Task.SAND and step.aim is not Aim.SCUFF)
    )
    return place.surface.old_finish is not OldFinish.BARE and not is_laid_bare


def _is_clear_over_filler(place: Place) -> bool:
    if place.step.task is not Task.CLEAR_COAT:
        return False
    return place.open_since(
        lambda step: step.aim is Aim.GRAIN or step.product is Product.GRAIN_FILLER, lambda step: step.task in FILMS
    )


def _is_distressed_late(place: Place) -> bool:
    is_over_clear = any(coat.step.task is Task.CLEAR_COAT for coat in place.coats)
    return place.step.task is Task.DISTRESS and is_over_clear and not place.will(lambda step: step.task in _PROTECTS)


def _yellows(place: Place) -> bool:
    if place.step.product not in _YELLOWS or any(coat.step.product in _YELLOWS for coat in place.coats):
        return False
    colours = [coat.step for coat in place.coats if coat.step.task in _COLOURS]
    return bool(colours) and colours[-1].task in {Task.PAINT, Task.WASH} and is_lighter(colours[-1], WHITE)


def _is_thin_cover(place: Place) -> bool:
    if place.step.task is not Task.PAINT or place.had(lambda step: step.task is Task.PAINT):
        return False
    return place.step.coats + sum(step.coats for step in place.after if step.task is Task.PAINT) < TWO_COATS


def _is_unprotected(place: Place) -> bool:
    is_colour = place.step.task in {Task.PAINT, Task.WASH, Task.STAIN}
    is_hard = base_of(place.step.product) is Base.OIL and place.step.task is Task.PAINT
    return is_colour and not is_hard and place.is_wood and place.next_coat() is None


def _coats_the_piece(step: StepFacts) -> bool:
    return step.is_coating and step.part is not Part.HARDWARE


def _is_hardware_off_late(place: Place) -> bool:
    is_off = place.step.task is Task.HARDWARE and place.step.aim is Aim.TAKE_OFF
    return is_off and place.had(_coats_the_piece)


def _is_hardware_on_early(place: Place) -> bool:
    is_on = place.step.task is Task.HARDWARE and place.step.aim is Aim.FIT
    return is_on and place.will(lambda step: _coats_the_piece(step) and step.task is not Task.WAX)


COATS: Final = (
    Check(
        OrderRule(
            "waxed_shellac",
            Level.WARN,
            "Use dewaxed shellac under waterborne coats and polyurethane.",
            "Wax in ordinary shellac can keep them from holding. Testers disagree, so dewaxed is the safe side.",
            SHELLAC_TESTERS,
        ),
        Told.BEFORE,
        _is_over_waxed_shellac,
    ),
    Check(
        OrderRule(
            "sealer_under_varnish",
            Level.WARN,
            "No sanding sealer under polyurethane, unless its label allows it.",
            "It is soft, and the hard coat over it chips.",
            A_HOW_TO,
        ),
        Told.BEFORE,
        _is_poly_over_sealer,
    ),
    Check(
        OrderRule(
            "glaze_on_bare",
            Level.WARN,
            "Put a glaze over at least one sealed coat, never on bare wood.",
            "Bare wood drinks it in blotches, and it cannot be wiped back.",
            A_TRADE_MAGAZINE,
        ),
        Told.BEFORE,
        _is_glaze_on_bare,
    ),
    Check(
        OrderRule(
            "glaze_open",
            Level.WARN,
            "Put at least one clear coat over the glaze.",
            "A glaze is a thin film that rubs off where the piece is handled.",
            A_TRADE_MAGAZINE,
        ),
        Told.ALL,
        lambda place: place.step.task is Task.GLAZE and not place.will(lambda step: step.task in _PROTECTS),
    ),
    Check(
        OrderRule(
            "stain_over_film",
            Level.WARN,
            "Stain bare wood, before any sealer, primer, paint or clear coat.",
            "Stain does not go through a film; it wipes off again.",
            AN_OLD_HANDBOOK,
        ),
        Told.BEFORE,
        _is_stain_over_film,
    ),
    Check(
        OrderRule(
            "filler_unsealed",
            Level.NOTE,
            "Let paste grain filler dry, then seal it before the clear coat.",
            "A clear coat straight on the filler can lift it or turn grey.",
            COMMON_PRACTICE,
        ),
        Told.BEFORE,
        _is_clear_over_filler,
    ),
    Check(
        OrderRule(
            "distress_late",
            Level.NOTE,
            "Rub through after the colour is dry and before the last clear coat or wax.",
            "Rubbed through afterwards, the bare places stay open to water and dirt.",
            COMMON_PRACTICE,
        ),
        Told.ALL,
        _is_distressed_late,
    ),
    Check(
        OrderRule(
            "yellowing",
            Level.WARN,
            "Use a waterborne clear coat over white.",
            "Oil turns yellow with time, and it shows on white.",
            COMMON_PRACTICE,
        ),
        Told.BEFORE,
        _yellows,
    ),
    Check(
        OrderRule(
            "drawer_sides",
            Level.NOTE,
            "Keep thick coats off drawer sides and runners; see that the drawers still run.",
            "A coat on both sides takes up the little room a drawer has, and sticks.",
            COMMON_PRACTICE,
        ),
        Told.BEFORE,
        lambda place: place.step.part is Part.DRAWER_SIDES and place.step.task in FILMS,
    ),
    Check(
        OrderRule(
            "one_coat",
            Level.NOTE,
            "Plan two coats of paint for full cover.",
            "One coat seldom covers, unless it is meant to show what is under it.",
            COMMON_PRACTICE,
        ),
        Told.ALL,
        _is_thin_cover,
    ),
    Check(
        OrderRule(
            "unprotected",
            Level.NOTE,
            "A wax or a clear coat goes on last.",
            "Chalky paint, washes and stains mark and rub off without one. A hard enamel may need none: its label"
            " rules.",
            COMMON_PRACTICE,
        ),
        Told.ALL,
        _is_unprotected,
    ),
    Check(
        OrderRule(
            "hardware_off_late",
            Level.WARN,
            "Take the hardware off before the first coat.",
            "Coats bridge from the wood to the hardware and tear when it comes off.",
            HARDWARE_CIRCULAR,
        ),
        Told.BEFORE,
        _is_hardware_off_late,
    ),
    Check(
        OrderRule(
            "hardware_on_early",
            Level.WARN,
            "Fit the hardware after the last coat.",
            "It is in the way of the brush and gets its own coat of paint.",
            HARDWARE_CIRCULAR,
        ),
        Told.ALL,
        _is_hardware_on_early,
    ),
)
